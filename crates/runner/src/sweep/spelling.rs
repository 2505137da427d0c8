//! How a range or a list of values is written: `2000..7000/100 rpm`, `2000 rpm..7000 rpm/100`, `0.3, 0.5, 0.9 s`.

/// A number as it was written, and its unit; the unit may be empty.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spelt {
    pub(super) number: f64,
    /// Digits behind the decimal point.
    pub(super) decimals: usize,
    pub(super) unit: String,
}

/// What stands behind the equals sign.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Spelling {
    Range { from: Spelt, to: Spelt, step: Option<Spelt> },
    List(Vec<Spelt>),
}

/// Most digits behind a decimal point that are told apart.
const MOST_DECIMALS: usize = 9;

/// Nothing where a piece does not begin with a number; the piece.
pub(super) fn read(text: &str) -> Result<Spelling, String> {
    let Some((from, rest)) = text.split_once("..") else {
        return text.split(',').map(spelt).collect::<Result<_, _>>().map(Spelling::List);
    };
    // The slash before a step is the first one that a number follows: those of units (km/h, rad/s) have a letter there.
    let slash = rest.char_indices().find(|&(i, c)| {
        c == '/' && rest[i + 1..].trim_start().starts_with(|c: char| c.is_ascii_digit() || "+-.−".contains(c))
    });
    let (to, step) = slash.map_or((rest, None), |(i, _)| (&rest[..i], Some(&rest[i + 1..])));
    Ok(Spelling::Range { from: spelt(from)?, to: spelt(to)?, step: step.map(spelt).transpose()? })
}

fn spelt(text: &str) -> Result<Spelt, String> {
    let plain = text.trim().replace('−', "-");
    // The longest beginning that is a number: "5e3 rpm" is one with an exponent, "5 e" is not.
    let end = (1..=plain.len().min(40)).rev().filter(|&end| plain.is_char_boundary(end)).find(|&end| {
        plain.as_bytes()[end - 1].is_ascii_digit() && plain[..end].parse::<f64>().is_ok_and(f64::is_finite)
    });
    let end = end.ok_or_else(|| text.trim().to_owned())?;
    let (number, unit) = plain.split_at(end);
    let decimals = match number.split_once('.') {
        _ if number.contains(['e', 'E']) => MOST_DECIMALS,
        Some((_, fraction)) => fraction.len().min(MOST_DECIMALS),
        None => 0,
    };
    let number = number.parse().map_err(|_| text.trim().to_owned())?;
    Ok(Spelt { number, decimals, unit: unit.trim().to_owned() })
}

impl Spelling {
    /// The one unit that all pieces have or leave out; the first two that differ if there are several.
    pub(super) fn unit(&self) -> Result<&str, (String, String)> {
        let pieces: Vec<&Spelt> = match self {
            Self::Range { from, to, step } => [Some(from), Some(to), step.as_ref()].into_iter().flatten().collect(),
            Self::List(pieces) => pieces.iter().collect(),
        };
        let mut found = "";
        for piece in pieces.into_iter().filter(|piece| !piece.unit.is_empty()) {
            if !found.is_empty() && found != piece.unit {
                return Err((found.to_owned(), piece.unit.clone()));
            }
            found = &piece.unit;
        }
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(text: &str) -> (f64, f64, Option<f64>, String) {
        let spelling = read(text).expect(text);
        let unit = spelling.unit().expect(text).to_owned();
        match spelling {
            Spelling::Range { from, to, step } => (from.number, to.number, step.map(|s| s.number), unit),
            Spelling::List(_) => panic!("{text} is read as a list"),
        }
    }

    #[test]
    fn a_unit_may_stand_once_or_on_every_number() {
        for text in
            ["2000..7000/100 rpm", "2000 rpm..7000 rpm/100 rpm", "2000 rpm .. 7000 rpm / 100", "2e3rpm..7e3/1e2"]
        {
            assert_eq!(range(text), (2000.0, 7000.0, Some(100.0), "rpm".to_owned()), "{text}");
        }
        assert_eq!(read("2000 rpm..7000 1/min/100").expect("read").unit(), Err(("rpm".to_owned(), "1/min".to_owned())));
    }

    #[test]
    fn the_slash_of_a_unit_is_not_the_step_s() {
        assert_eq!(range("0 km/h..60 km/h/5 km/h"), (0.0, 60.0, Some(5.0), "km/h".to_owned()));
        assert_eq!(range("0..60 km/h/5"), (0.0, 60.0, Some(5.0), "km/h".to_owned()));
        assert_eq!(range("0..60 km/h"), (0.0, 60.0, None, "km/h".to_owned()));
        assert_eq!(range("−2..2/.5 %"), (-2.0, 2.0, Some(0.5), "%".to_owned()));
        assert_eq!(range("-2..-1/0.5 %"), (-2.0, -1.0, Some(0.5), "%".to_owned()));
    }

    #[test]
    fn a_piece_that_is_no_number_is_named() {
        assert_eq!(read("low..7000/100 rpm"), Err("low".to_owned()));
        assert_eq!(read("1000,many rpm"), Err("many rpm".to_owned()));
        assert_eq!(read(""), Err(String::new()));
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,40}") {
            let _ = read(&text).map(|s| s.unit().map(str::to_owned));
        }
    }
}
