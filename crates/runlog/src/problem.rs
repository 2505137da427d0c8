//! What is wrong with a log, in the form in which files of inputs tell it.

use bitepoint_inputs::problem::{self, FOUND_CHARS, Fault, Problem, Problems, WHAT_CHARS};

/// A piece of a log that a terminal can show.
pub(crate) fn shown(text: &str) -> String {
    problem::shown(text, FOUND_CHARS)
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
        what: problem::shown(&what.into(), WHAT_CHARS),
        accepted: problem::shown(&accepted.into(), WHAT_CHARS),
    }])
}
