//! The command that made a report, for its foot.

/// The command as it was given, without what only says where the result goes.
pub(crate) fn command_line() -> String {
    told(std::env::args().skip(1))
}

fn told(args: impl Iterator<Item = String>) -> String {
    let mut words = vec!["bitepoint".to_owned()];
    let mut folder_next = false;
    for arg in args {
        match arg.as_str() {
            _ if folder_next => {
                words.push("DIR".to_owned());
                folder_next = false;
            }
            "--json" => {}
            "--out" => {
                words.push(arg);
                folder_next = true;
            }
            _ if arg.starts_with("--out=") => words.push("--out DIR".to_owned()),
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
        let given = ["run", "my car.toml", "--json", "--out", "reports/today", "--units", "si"];
        assert_eq!(told(given.map(str::to_owned).into_iter()), "bitepoint run \"my car.toml\" --out DIR --units si");
    }
}
