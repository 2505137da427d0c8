//! What the report is made from.

use bitepoint_runner::conditions::Study;

use crate::format::Units;

/// Everything that the report tells.
#[derive(Debug, Clone)]
pub struct ConditionsReport<'a> {
    /// Heading of the browser's tab.
    pub title: &'a str,
    /// The command that makes this report again; may be empty.
    pub command: &'a str,
    /// What is told.
    pub study: &'a Study,
    /// What to mind.
    pub notes: &'a [String],
    /// Units in which it is read.
    pub units: Units,
}
