//! What the report of a comparison is made from.

use bitepoint_runner::compare::{Comparison, Worth};

use crate::format::Units;

/// Everything that the report of a comparison tells.
#[derive(Debug, Clone)]
pub struct CompareReport<'a> {
    /// The vehicle's name.
    pub vehicle_name: &'a str,
    /// The scenario's name.
    pub scenario_name: &'a str,
    /// The command that makes this report again; may be empty.
    pub command: &'a str,
    /// What is known of the car besides its file.
    pub notes: &'a [String],
    /// What came out.
    pub comparison: &'a Comparison,
    /// What each change does to the car's values, in the order of the changes.
    pub fitted: &'a [Fitted],
    /// Units in which it is read.
    pub units: Units,
}

/// What one change does.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fitted {
    /// One line about it; may be empty.
    pub note: String,
    /// The values that it changes.
    pub inputs: Vec<ChangedInput>,
}

/// One value before and after, as printed, in the reader's units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangedInput {
    /// Its dotted key.
    pub key: String,
    /// Of the car as it is; empty if it has none.
    pub before: String,
    /// Of the changed car.
    pub after: String,
}

impl CompareReport<'_> {
    /// Places of the changes, the quickest first; those that do not arrive last.
    #[must_use]
    pub fn ranked(&self) -> Vec<usize> {
        let mean = |i: &usize| self.comparison.changes[*i].difference.map_or(f64::INFINITY, |d| d.mean_s);
        let mut order: Vec<usize> = (0..self.comparison.changes.len()).collect();
        order.sort_by(|a, b| mean(a).total_cmp(&mean(b)));
        order
    }

    /// The changes in that order.
    #[must_use]
    pub fn ranked_changes(&self) -> Vec<&Worth> {
        self.ranked().into_iter().map(|i| &self.comparison.changes[i]).collect()
    }

    /// The gate, as people say it.
    #[must_use]
    pub fn gate(&self) -> &'static str {
        crate::format::gate_name(self.comparison.target.gate)
    }
}
