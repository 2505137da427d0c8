//! What is wrong with a file, told so that a person can put it right.

use core::fmt;

use serde::Serialize;

/// What kind of thing is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// The file cannot be read, is too large, is empty or is no text.
    Unreadable,
    /// It is not TOML (or JSON).
    Syntax,
    /// A key that means nothing here.
    UnknownKey,
    /// A key that has to be there is not.
    MissingKey,
    /// The value is of another kind than the key wants.
    WrongKind,
    /// The value is no quantity of the key's dimension.
    BadQuantity,
    /// The value lies outside what is believable.
    OutOfRange,
    /// Values that are fine alone cannot be true together.
    Inconsistent,
}

impl Fault {
    /// Whether the file's structure itself is in doubt, so that further complaints would only confuse.
    pub(crate) fn stops_reading(self) -> bool {
        matches!(self, Self::Unreadable | Self::Syntax)
    }
}

/// One thing that is wrong, and where.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// Name of the file.
    pub file: String,
    /// Line, from 1; nothing if the file could not be read at all.
    pub line: Option<u32>,
    /// Dotted key, empty if none is concerned.
    pub key: String,
    /// The value as it stands in the file, empty if there is none.
    pub found: String,
    /// Kind of fault.
    pub fault: Fault,
    /// What is wrong, as a sentence without a full stop.
    pub what: String,
    /// What would be accepted.
    pub accepted: String,
}

/// Everything that is wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problems(pub Vec<Problem>);

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        if !self.key.is_empty() {
            write!(f, ": {}", self.key)?;
        }
        write!(f, ": {}", self.what)?;
        if !self.found.is_empty() {
            write!(f, "\n    found:    {}", self.found)?;
        }
        if !self.accepted.is_empty() {
            write!(f, "\n    accepted: {}", self.accepted)?;
        }
        Ok(())
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}
impl std::error::Error for Problems {}

/// Collects the problems of one file.
#[derive(Debug)]
pub(crate) struct Collector {
    file: String,
    /// Whether what is read has lines worth telling.
    lines: bool,
    pub(crate) problems: Vec<Problem>,
    /// Whether there were more than are kept.
    overflows: bool,
}

/// Most problems of one file that are told: nobody mends more in one go, and a file that is something else entirely has millions.
const MOST_PROBLEMS: usize = 40;

/// Longest piece of a file that a message repeats, characters.
pub const FOUND_CHARS: usize = 80;
/// Longest sentence about it, which may quote a piece too.
pub const WHAT_CHARS: usize = 400;

/// Text of a file as a terminal can show it: no longer than `most`, without characters that would steer the terminal.
#[must_use]
pub fn shown(text: &str, most: usize) -> String {
    let mut characters = text.chars();
    let mut shown: String =
        characters.by_ref().take(most).map(|c| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c }).collect();
    if characters.next().is_some() {
        shown.push('…');
    }
    shown
}

impl Collector {
    pub(crate) fn new(file: &str) -> Self {
        Self { file: file.to_owned(), lines: true, problems: Vec::new(), overflows: false }
    }

    /// For a text of one line that stands on a command line.
    pub(crate) fn without_lines(source: &str) -> Self {
        Self { lines: false, ..Self::new(source) }
    }

    /// Whether there are as many problems as are told, so that looking for more is idle.
    pub(crate) fn has_enough(&mut self) -> bool {
        self.overflows |= self.problems.len() >= MOST_PROBLEMS;
        self.overflows
    }

    /// Takes over the problems of a file that this one names.
    pub(crate) fn take_over(&mut self, other: Self) {
        self.overflows |= other.overflows;
        self.problems.extend(other.problems);
    }

    pub(crate) fn add(&mut self, fault: Fault, line: u32, key: &str, found: &str, what: String, accepted: String) {
        if self.has_enough() {
            return;
        }
        self.problems.push(Problem {
            file: self.file.clone(),
            line: self.lines.then_some(line),
            key: shown(key, FOUND_CHARS),
            found: shown(found, FOUND_CHARS),
            fault,
            what: shown(&what, WHAT_CHARS),
            accepted,
        });
    }

    /// Nothing wrong, or everything, in the order of the file.
    pub(crate) fn finish(mut self) -> Result<(), Problems> {
        if self.problems.is_empty() {
            return Ok(());
        }
        // A line that is not even TOML or JSON is not also blamed for its value.
        let broken: Vec<_> = self.problems.iter().filter(|p| p.fault == Fault::Syntax).map(|p| p.line).collect();
        self.problems.retain(|p| p.fault == Fault::Syntax || !broken.contains(&p.line));
        self.problems.sort_by_key(|p| p.line);
        if self.overflows {
            self.problems.push(Problem {
                file: self.file,
                line: self.problems.last().and_then(|p| p.line),
                key: String::new(),
                found: String::new(),
                fault: Fault::Unreadable,
                what: format!("only the first {MOST_PROBLEMS} problems are told; there may be more"),
                accepted: String::new(),
            });
        }
        Err(Problems(self.problems))
    }
}
