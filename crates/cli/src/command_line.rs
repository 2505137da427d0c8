//! The command that made a report, for its foot.

/// The command as it was given, without what only says where the result goes.
pub(crate) fn command_line() -> String {
    told(std::env::args().skip(1))
}

fn told(args: impl Iterator<Item = String>) -> String {
    let mut words = vec!["bitepoint".to_owned()];
    // What stands in for the place that comes next.
    let mut place_next = None;
    for arg in args {
        match arg.as_str() {
            _ if place_next.is_some() => words.extend(place_next.take().map(str::to_owned)),
            "--json" | "--yes" => {}
            "--out" | "--csv" => {
                place_next = Some(if arg == "--out" { "DIR" } else { "FILE" });
                words.push(arg);
            }
            _ if arg.starts_with("--out=") => words.push("--out DIR".to_owned()),
            _ if arg.starts_with("--csv=") => words.push("--csv FILE".to_owned()),
            _ => words.push(quoted(arg)),
        }
    }
    words.join(" ")
}

/// In quotes where a shell would part it or read it as its own.
fn quoted(word: String) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_./=,:+%°·".contains(c);
    if !word.is_empty() && word.chars().all(plain) { word } else { format!("\"{word}\"") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_tells_the_command_without_the_place_it_was_written_to() {
        let given =
            ["sweep", "my car.toml", "--json", "--out", "reports/today", "--csv=a.csv", "--csv", "b", "--units", "si"];
        assert_eq!(
            told(given.map(str::to_owned).into_iter()),
            "bitepoint sweep \"my car.toml\" --out DIR --csv FILE --csv FILE --units si"
        );
    }
}
