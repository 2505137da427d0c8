//! What `fit --json` prints, described by `schemas/fit.schema.json`.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::{ResolvedVehicle, VehicleFile};
use bitepoint_runner::fit::Fit;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 1;

/// A car's unknowns from logs. All numbers are SI; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint fit")]
pub(crate) struct FitDocument<'a> {
    /// What this document is: "bitepoint fit".
    document: &'static str,
    /// Version of its form.
    version: u32,
    /// The car before the fit.
    vehicle: InputFile<'a>,
    /// Path of the scenario as it was given; empty for the built-in day.
    scenario: &'a str,
    #[serde(flatten)]
    fit: &'a Fit,
}

impl<'a> FitDocument<'a> {
    pub(crate) fn new(
        vehicle: &'a VehicleFile,
        resolved: &'a ResolvedVehicle,
        scenario: &'a ScenarioFile,
        fit: &'a Fit,
    ) -> Self {
        let vehicle = InputFile::vehicle(vehicle, resolved);
        Self { document: "bitepoint fit", version: VERSION, vehicle, scenario: scenario.file(), fit }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<FitDocument>("fit");
    }
}
