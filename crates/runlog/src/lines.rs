//! Lines of a file of any size, one at a time, in bounded memory.

use std::io::{BufRead, ErrorKind, Read};

/// Longest line that is read, bytes: no log has one, a file that is something else may be one.
pub(crate) const LONGEST_LINE: usize = 64 * 1024;

/// Why there is no next line.
#[derive(Debug)]
pub(crate) enum LineError {
    /// The line has more bytes than any log's.
    TooLong,
    /// The file could not be read further.
    Io(std::io::Error),
}

/// Reads lines, counting them.
pub(crate) struct Lines<R> {
    input: R,
    buffer: Vec<u8>,
    end: u8,
    /// Number of the line last read, from 1.
    pub number: u64,
}

impl<R: BufRead> Lines<R> {
    /// Lines that end with `end`, a line feed or a carriage return.
    pub(crate) fn new(input: R, end: u8) -> Self {
        Self { input, buffer: Vec::with_capacity(1024), end, number: 0 }
    }

    /// The next line without its end; nothing at the end of the file.
    pub(crate) fn next(&mut self) -> Result<Option<&[u8]>, LineError> {
        self.buffer.clear();
        loop {
            match (&mut self.input).take(LONGEST_LINE as u64 + 1).read_until(self.end, &mut self.buffer) {
                Ok(0) => return Ok(None),
                Ok(_) => break,
                Err(e) if e.kind() == ErrorKind::Interrupted => {}
                Err(e) => return Err(LineError::Io(e)),
            }
        }
        self.number += 1;
        if self.buffer.len() > LONGEST_LINE {
            return Err(LineError::TooLong);
        }
        while matches!(self.buffer.last(), Some(b'\n' | b'\r')) {
            self.buffer.pop();
        }
        Ok(Some(&self.buffer))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_numbered_and_lose_their_ends() {
        let mut lines = Lines::new(&b"a\r\n\nb"[..], b'\n');
        assert_eq!(lines.next().expect("a line"), Some(&b"a"[..]));
        assert_eq!(lines.next().expect("a line"), Some(&b""[..]));
        assert_eq!(lines.next().expect("a line"), Some(&b"b"[..]));
        assert_eq!(lines.number, 3);
        assert_eq!(lines.next().expect("the end"), None);
    }

    #[test]
    fn a_line_without_end_is_given_up_early() {
        let endless = std::io::BufReader::new(std::io::repeat(b'x'));
        assert!(matches!(Lines::new(endless, b'\n').next(), Err(LineError::TooLong)));
    }
}
