//! Time stamps: numbers, clock times, dates.

use chrono::{DateTime, NaiveDateTime};

/// What a stamp counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Origin {
    /// Anything: the log's beginning, an epoch.
    Any,
    /// Midnight, so that it goes back once a day.
    Midnight,
}

/// A stamp in seconds from its origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stamp {
    pub seconds: f64,
    pub origin: Origin,
}

/// Reads a cell of a time column; a bare number counts in units of `factor` seconds.
pub(crate) fn stamp(cell: &str, factor: f64, decimal_comma: bool) -> Option<Stamp> {
    let cell = cell.trim();
    if let Some(number) = number(cell, decimal_comma) {
        return Some(Stamp { seconds: number * factor, origin: Origin::Any });
    }
    if let Some(seconds) = of_day(cell) {
        return Some(Stamp { seconds, origin: Origin::Midnight });
    }
    calendar(cell).map(|seconds| Stamp { seconds, origin: Origin::Any })
}

/// Reads a number; with a decimal comma, a point before it parts thousands, else commas before the point do.
#[inline]
pub(crate) fn number(cell: &str, decimal_comma: bool) -> Option<f64> {
    let cell = cell.trim();
    // A leading letter would read "inf", "nan" and the like as numbers.
    if !cell.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | ',' | '−')) {
        return None;
    }
    let plain = |text: &str| text.parse::<f64>().ok().filter(|n| n.is_finite());
    if let Some(comma) = cell.find(',') {
        return if decimal_comma && !cell[comma + 1..].contains([',', '.']) {
            plain(&cell.replace('.', "").replace(',', "."))
        } else {
            parts_thousands(cell).then(|| plain(&cell.replace(',', ""))).flatten()
        };
    }
    plain(cell).or_else(|| cell.strip_prefix('−').and_then(plain).map(|n| -n))
}

/// Whether commas part a number's thousands: "1,234.5".
pub(crate) fn parts_thousands(cell: &str) -> bool {
    let whole = cell.split('.').next().unwrap_or(cell).trim_start_matches(['-', '+']);
    let mut groups = whole.split(',');
    let digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().is_some_and(|g| (1..=3).contains(&g.len()) && digits(g));
    first && whole.contains(',') && groups.all(|g| g.len() == 3 && digits(g))
}

/// hh:mm:ss.sss or mm:ss.sss, with AM or PM behind it.
fn of_day(cell: &str) -> Option<f64> {
    let upper = cell.to_ascii_uppercase();
    let (text, half) = match (upper.strip_suffix("AM"), upper.strip_suffix("PM")) {
        (Some(text), _) => (text, Some(0.0)),
        (_, Some(text)) => (text, Some(12.0)),
        _ => (upper.as_str(), None),
    };
    let mut parts = text.trim().split(':');
    let (first, second, third, none) = (parts.next()?, parts.next()?, parts.next(), parts.next());
    if none.is_some() {
        return None;
    }
    let whole = |text: &str, under: f64| {
        let fits = !text.is_empty() && text.len() <= 3 && text.bytes().all(|b| b.is_ascii_digit());
        text.parse::<f64>().ok().filter(|n| fits && *n < under)
    };
    let seconds = |text: &str| {
        let text = text.replace(',', ".");
        let fits = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        text.parse::<f64>().ok().filter(|n| fits && *n < 61.0)
    };
    match third {
        Some(third) => {
            let hours = whole(first, 1000.0)?;
            let hours = half.map_or(hours, |half| hours % 12.0 + half);
            Some(3600.0 * hours + 60.0 * whole(second, 60.0)? + seconds(third)?)
        }
        None => Some(60.0 * whole(first, 1000.0)? + seconds(second)?),
    }
}

/// How a date and a time of day are written that begin so: a year or a day of the month and its mark, a letter, or no mark at all.
fn forms(cell: &str) -> &'static [&'static str] {
    let digits = cell.bytes().take_while(u8::is_ascii_digit).count();
    let halved = cell.ends_with(['M', 'm']);
    match (digits, cell.as_bytes().get(digits)) {
        (4, Some(b'-')) => &["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%d %H:%M:%S%.f"],
        (4, Some(b'/')) => &["%Y/%m/%d %H:%M:%S%.f"],
        (8, Some(b'T')) => &["%Y%m%dT%H%M%S%.f"],
        (1 | 2, Some(b'.')) => &["%d.%m.%Y %H:%M:%S%.f"],
        (1 | 2, Some(b'-' | b' ')) => &["%d-%b-%Y %H:%M:%S%.f", "%d-%m-%Y %H:%M:%S%.f", "%d %b %Y %H:%M:%S%.f"],
        (1 | 2, Some(b'/')) if halved => &["%m/%d/%Y %I:%M:%S%.f %p", "%d/%m/%Y %I:%M:%S%.f %p"],
        (1 | 2, Some(b'/')) => &["%d/%m/%Y %H:%M:%S%.f", "%m/%d/%Y %H:%M:%S%.f"],
        (0, _) if halved => &["%b %d %Y %I:%M:%S%.f %p"],
        (0, _) => &["%b %d %Y %H:%M:%S%.f", "%a %b %d %H:%M:%S %Z %Y", "%a %d %b %Y %H:%M:%S%.f"],
        _ => &[],
    }
}

/// A date and a time of day, with or without an offset: ISO 8601 and its everyday kin. Only differences matter here.
fn calendar(cell: &str) -> Option<f64> {
    let seconds = |utc: DateTime<chrono::Utc>| utc.timestamp() as f64 + 1e-9 * f64::from(utc.timestamp_subsec_nanos());
    let cell = cell.replace(", ", " ").replace(',', ".");
    if let Ok(with_offset) = DateTime::parse_from_rfc3339(&cell) {
        return Some(seconds(with_offset.to_utc()));
    }
    let local = cell.trim_end_matches("UTC").trim_end_matches("GMT").trim_end_matches(['Z', 'z', ' ']);
    let read = forms(local).iter().find_map(|form| NaiveDateTime::parse_from_str(local, form).ok());
    read.map(|t| t.and_utc()).or_else(|| with_offset(&cell)).map(seconds)
}

/// ISO 8601 with an offset without a colon, or with a space before it.
fn with_offset(cell: &str) -> Option<DateTime<chrono::Utc>> {
    let forms = ["%Y-%m-%dT%H:%M:%S%.f%z", "%Y-%m-%d %H:%M:%S%.f%z", "%Y-%m-%d %H:%M:%S%.f %z"];
    forms.iter().find_map(|form| DateTime::parse_from_str(cell, form).ok()).map(|t| t.to_utc())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(cell: &str) -> Option<f64> {
        stamp(cell, 1.0, false).map(|s| s.seconds)
    }

    #[test]
    fn every_usual_stamp_is_read() {
        assert_eq!(seconds("12.25"), Some(12.25));
        assert_eq!(stamp("1250", 1e-3, false).map(|s| s.seconds), Some(1.25));
        assert_eq!(stamp("12,25", 1.0, true).map(|s| s.seconds), Some(12.25));
        assert_eq!(stamp("1.234,5", 1.0, true).map(|s| s.seconds), Some(1234.5));
        assert_eq!(seconds("1,234.5"), Some(1234.5));
        assert_eq!(stamp("1,234.5", 1.0, true).map(|s| s.seconds), Some(1234.5));
        assert_eq!(seconds("01:02:03.5"), Some(3723.5));
        assert_eq!(seconds("1:02:03,5"), Some(3723.5));
        assert_eq!(seconds("01:02:03 PM"), Some(46_923.0));
        assert_eq!(seconds("2:03.5"), Some(123.5));
        // ISO 8601 4.3.2 writes a point in time as date, T, time; RFC 3339 section 5.8 has this very example.
        assert_eq!(seconds("1985-04-12T23:20:50.52Z"), Some(482_196_050.52));
        assert_eq!(seconds("1985-04-12 23:20:50.52"), Some(482_196_050.52));
        assert_eq!(seconds("1996-12-19T16:39:57-08:00"), Some(851_042_397.0));
        for cell in [
            "1985-04-12T23:20:50.52+0000",
            "19850412T232050.52Z",
            "4/12/1985 11:20:50.52 PM",
            "12-Apr-1985 23:20:50,52",
        ] {
            assert_eq!(seconds(cell), Some(482_196_050.52), "{cell}");
        }
    }

    #[test]
    fn what_is_no_stamp_is_none() {
        for cell in ["", "nan", "inf", "speed", "1:99:00", "::", "1e999", "--", "12:3x:10", "1,23", "12,34.5", "km/h"] {
            assert_eq!(seconds(cell), None, "{cell}");
        }
    }
}
