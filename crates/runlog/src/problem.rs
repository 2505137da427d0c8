//! What is wrong with a log, in the form in which files of inputs tell it.

use bitepoint_inputs::problem::{Fault, Problem, Problems};

/// Longest piece of a log that a message repeats, characters.
const FOUND_CHARS: usize = 80;

/// Longest sentence about it, which may quote pieces too.
const WHAT_CHARS: usize = 400;

/// A piece of a log that a terminal can show.
pub(crate) fn shown(text: &str) -> String {
    cut(text, FOUND_CHARS)
}

fn cut(text: &str, most: usize) -> String {
    let mut characters = text.chars();
    let mut shown: String =
        characters.by_ref().take(most).map(|c| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c }).collect();
    if characters.next().is_some() {
        shown.push('…');
    }
    shown
}

/// One problem of a log, alone: what follows it could not be trusted.
pub(crate) fn problem(
    file: &str,
    line: Option<u64>,
    key: &str,
    fault: Fault,
    what: impl Into<String>,
    found: &str,
    accepted: impl Into<String>,
) -> Problems {
    Problems(vec![Problem {
        file: file.to_owned(),
        line: line.map(|l| u32::try_from(l).unwrap_or(u32::MAX)),
        key: key.to_owned(),
        found: shown(found),
        fault,
        what: cut(&what.into(), WHAT_CHARS),
        accepted: cut(&accepted.into(), WHAT_CHARS),
    }])
}
