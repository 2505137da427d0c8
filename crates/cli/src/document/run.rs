//! What `run --json` prints, described by `schemas/run.schema.json`.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::bounds::Standing;
use bitepoint_physics::run::{Limit, Run};
use bitepoint_runner::bands::Bands;
use bitepoint_runner::timed_run::TimedRun;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;
use crate::report::Told;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 2;

/// One timed run. All numbers are SI; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint run")]
pub(crate) struct RunDocument<'a> {
    /// What this document is: "bitepoint run".
    document: &'static str,
    /// Version of its form.
    version: u32,
    vehicle: InputFile<'a>,
    scenario: InputFile<'a>,
    /// Names of the causes in the order of every array over causes (`limited_s`, `lost_s`).
    causes: [&'static str; 8],
    run: &'a Run,
    /// Where the launch comes from: recommended, or given by the scenario.
    launch_from: &'a str,
    /// The launch in words, a sentence for each thing to do.
    instruction: Vec<String>,
    /// What would help a launch that the scenario gives and that stalls, bogs or does not arrive.
    advice: Option<&'a str>,
    /// Distance from the bounds that no driver can beat.
    standings: &'a [Standing],
    /// Spread of the times that comes from estimated values, 5th to 95th percentile.
    bands: &'a Bands,
    /// Cautions of this run, in words.
    cautions: &'a [String],
}

impl<'a> RunDocument<'a> {
    pub(crate) fn new(
        vehicle: &'a VehicleFile,
        scenario: &'a ScenarioFile,
        timed: &'a TimedRun,
        report: &'a Told,
    ) -> Self {
        Self {
            document: "bitepoint run",
            version: VERSION,
            vehicle: InputFile::vehicle(vehicle, &timed.vehicle),
            scenario: InputFile::scenario(scenario, &timed.scenario),
            causes: Limit::ALL.map(Limit::name),
            run: &timed.run,
            launch_from: &report.launch_from,
            instruction: report.instruction(),
            advice: report.advice.as_deref(),
            standings: &timed.standings,
            bands: &timed.bands,
            cautions: &report.notes,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<RunDocument>("run");
    }
}
