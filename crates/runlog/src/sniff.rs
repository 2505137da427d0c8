//! What kind of log a file is, and how its rows are parted, from its first lines.

/// Formats that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Csv,
    Gpx,
    Nmea,
}

/// Why the beginning of a file is that of no log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum NotALog {
    Empty,
    /// Bytes that no text has; with the format's name where it is a known one.
    Binary(Option<&'static str>),
    /// Text of a known kind that has no rows.
    Other(&'static str),
    /// XML, but no GPX.
    OtherXml,
}

/// Tells the kind from the first bytes.
pub(crate) fn kind(head: &[u8]) -> Result<Kind, NotALog> {
    if head.iter().all(u8::is_ascii_whitespace) {
        return Err(NotALog::Empty);
    }
    for (magic, name) in [
        (&b"\x1f\x8b"[..], "gzip"),
        (b"PK\x03\x04", "zip or spreadsheet"),
        (b"%PDF", "PDF"),
        (b"\x89PNG", "PNG"),
        (b"BZh", "bzip2"),
        (b"\xfd7zXZ", "xz"),
        (b"SQLite format 3", "SQLite"),
    ] {
        if head.starts_with(magic) {
            return Err(NotALog::Binary(Some(name)));
        }
    }
    let odd = head.iter().filter(|b| **b < 0x20 && !matches!(**b, b'\t' | b'\n' | b'\r' | 0x0c | 0x1a)).count();
    if head.contains(&0) || odd * 50 > head.len() {
        return Err(NotALog::Binary(None));
    }
    let text = String::from_utf8_lossy(head);
    let begin = text.trim_start();
    if begin.starts_with("<?xml") || begin.starts_with("<gpx") || begin.starts_with("<!--") {
        return if begin.contains("<gpx") { Ok(Kind::Gpx) } else { Err(NotALog::OtherXml) };
    }
    for (mark, name) in [('{', "JSON"), ('<', "HTML or another page of tags")] {
        if begin.starts_with(mark) {
            return Err(NotALog::Other(name));
        }
    }
    let lines = || begin.lines().take(50).map(str::trim).filter(|l| !l.is_empty());
    let sentences = lines().filter(|l| is_sentence(l)).count();
    if sentences > 0 && 2 * sentences >= lines().count() {
        return Ok(Kind::Nmea);
    }
    Ok(Kind::Csv)
}

/// Whether a line has the look of an NMEA 0183 sentence: a dollar sign, five capitals, a comma.
fn is_sentence(line: &str) -> bool {
    let bytes = line.as_bytes();
    bytes.len() > 6
        && matches!(bytes[0], b'$' | b'!')
        && bytes[1..6].iter().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit())
        && bytes[6] == b','
}

/// Byte at which lines end: a line feed, or a carriage return where there is no line feed.
pub(crate) fn line_end(head: &[u8]) -> u8 {
    if !head.contains(&b'\n') && head.contains(&b'\r') { b'\r' } else { b'\n' }
}

/// Whether a line is a comment or empty.
pub(crate) fn is_comment(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    line.is_empty() || matches!(line[0], b'#' | b'%' | b'!') || line.starts_with(b"//")
}

/// Byte that parts the cells: of those that split most lines into equally many, the one that is least often a decimal mark.
pub(crate) fn delimiter(lines: &[String]) -> u8 {
    // A comma may be a decimal mark between semicolons, a semicolon is none between commas.
    let mut best = (b',', 0);
    for candidate in [b'\t', b';', b'|', b',', b' '] {
        let mut counts = std::collections::HashMap::new();
        for line in lines {
            let cells = count_outside_quotes(line, candidate);
            if cells > 0 {
                *counts.entry(cells).or_insert(0_usize) += 1;
            }
        }
        let alike = counts.into_values().max().unwrap_or(0);
        if alike > best.1 + best.1 / 4 {
            best = (candidate, alike);
        }
    }
    best.0
}

fn count_outside_quotes(line: &str, byte: u8) -> usize {
    let mut quoted = false;
    let mut count = 0;
    for b in line.bytes() {
        if b == b'"' {
            quoted = !quoted;
        } else if b == byte && !quoted {
            count += 1;
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<String> {
        text.lines().map(str::to_owned).collect()
    }

    #[test]
    fn delimiters_are_told_apart() {
        assert_eq!(delimiter(&lines("time,speed\n0.1,2.5\n0.2,3.5\n")), b',');
        assert_eq!(delimiter(&lines("time;speed\n0,1;2,5\n0,2;3,5\n")), b';');
        assert_eq!(delimiter(&lines("time\tspeed\n0,1\t2,5\n0,2\t3,5\n")), b'\t');
        assert_eq!(delimiter(&lines("time|speed\n0.1|2.5\n")), b'|');
        assert_eq!(delimiter(&lines("time speed\n0.1 2.5\n")), b' ');
        assert_eq!(delimiter(&lines("time,speed\n2024-05-14 11:00:00,2.5\n2024-05-14 11:00:01,3.5\n")), b',');
        assert_eq!(delimiter(&lines("a title, with a comma\ntime;speed\n0,1;2,5\n0,2;3,5\n0,3;3,5\n")), b';');
    }

    #[test]
    fn kinds_are_told_by_their_beginnings() {
        assert_eq!(kind(b"time,speed\n0,1\n"), Ok(Kind::Csv));
        assert_eq!(kind(b"<?xml version=\"1.0\"?>\n<gpx version=\"1.1\">"), Ok(Kind::Gpx));
        assert_eq!(kind(b"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\n"), Ok(Kind::Nmea));
        assert_eq!(kind(b"<?xml version=\"1.0\"?><kml/>"), Err(NotALog::OtherXml));
        assert_eq!(kind(b"{\"time\":[0,1]}"), Err(NotALog::Other("JSON")));
        assert_eq!(kind(b" \n\n"), Err(NotALog::Empty));
        assert_eq!(kind(b"PK\x03\x04...."), Err(NotALog::Binary(Some("zip or spreadsheet"))));
        assert_eq!(kind(b"a\0b\0c\0"), Err(NotALog::Binary(None)));
    }
}
