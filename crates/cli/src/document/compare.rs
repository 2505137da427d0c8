//! What `compare --json` prints, described by `schemas/compare.schema.json`.

use bitepoint_runner::case::{Case, Resolved};
use bitepoint_runner::compare::Comparison;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 2;

/// What changes are worth. All numbers are SI; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint compare")]
pub(crate) struct CompareDocument<'a> {
    /// What this document is: "bitepoint compare".
    document: &'static str,
    /// Version of its form.
    version: u32,
    vehicle: InputFile<'a>,
    scenario: InputFile<'a>,
    #[serde(flatten)]
    comparison: &'a Comparison,
    /// What is to be said of each change, in words, in their order: what it is worth, then its side effects.
    words: Vec<Vec<String>>,
}

impl<'a> CompareDocument<'a> {
    pub(crate) fn new(
        base: &'a Case,
        resolved: &'a Resolved,
        comparison: &'a Comparison,
        words: Vec<Vec<String>>,
    ) -> Self {
        Self {
            document: "bitepoint compare",
            version: VERSION,
            vehicle: InputFile::vehicle(&base.vehicle, &resolved.vehicle),
            scenario: InputFile::scenario(&base.scenario, &resolved.scenario),
            comparison,
            words,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<CompareDocument>("compare");
    }
}
