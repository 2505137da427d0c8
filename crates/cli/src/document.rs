//! The document for machines, described by `schemas/run.schema.json`.

use bitepoint_inputs::entry::Entry;
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::bounds::Standing;
use bitepoint_physics::run::{Limit, Run};
use bitepoint_runner::bands::Bands;
use bitepoint_runner::timed_run::TimedRun;
use schemars::JsonSchema;
use serde::Serialize;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 1;

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
    /// Distance from the bounds that no driver can beat.
    standings: &'a [Standing],
    /// Spread of the times that comes from estimated values, 5th to 95th percentile.
    bands: &'a Bands,
    /// Cautions of this run, in words.
    cautions: &'a [String],
}

/// A file that went in, and every value that it stands for.
#[derive(Serialize, JsonSchema)]
struct InputFile<'a> {
    /// Path as it was given; empty for the built-in day.
    file: &'a str,
    name: &'a str,
    inputs: Vec<InputValue>,
}

/// One value, given or estimated.
#[derive(Serialize, JsonSchema)]
pub(crate) struct InputValue {
    /// Dotted key.
    key: &'static str,
    /// The value in SI base units, if it is one number.
    value_si: Option<f64>,
    /// The value as text with its unit.
    text: String,
    /// Whether the file gave it.
    given: bool,
    /// The rule that estimated it; empty if it was given.
    rule: &'static str,
    /// Where the rule comes from.
    origin: String,
    /// One standard deviation in SI base units; 0 if the value is taken as exact.
    spread_sd_si: f64,
}

impl InputValue {
    pub(crate) fn new(entry: &Entry) -> Self {
        Self {
            key: entry.key.path,
            value_si: entry.si_value(),
            text: entry.value_text(UnitSystem::Si),
            given: entry.given(),
            rule: entry.rule,
            origin: entry.origin.text(),
            spread_sd_si: entry.spread_sd_si,
        }
    }
}

impl<'a> RunDocument<'a> {
    pub(crate) fn new(
        vehicle: &'a VehicleFile,
        scenario: &'a ScenarioFile,
        timed: &'a TimedRun,
        cautions: &'a [String],
    ) -> Self {
        let inputs = |entries: &[Entry]| entries.iter().map(InputValue::new).collect();
        Self {
            document: "bitepoint run",
            version: VERSION,
            vehicle: InputFile {
                file: vehicle.file(),
                name: &timed.vehicle.name,
                inputs: inputs(&timed.vehicle.entries),
            },
            scenario: InputFile {
                file: scenario.file(),
                name: &timed.scenario.name,
                inputs: inputs(&timed.scenario.entries),
            },
            causes: Limit::ALL.map(Limit::name),
            run: &timed.run,
            standings: &timed.standings,
            bands: &timed.bands,
            cautions,
        }
    }

    /// The document as text.
    pub(crate) fn text(&self) -> String {
        // Plain structs of finite numbers, strings and lists always serialise.
        let text = serde_json::to_string_pretty(self).unwrap_or_default();
        text + "\n"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COMMITTED: &str = include_str!("../../../schemas/run.schema.json");

    /// Write it anew with `BITEPOINT_WRITE_SCHEMAS=1 cargo test -p bitepoint-cli`.
    #[test]
    fn the_committed_schema_describes_the_document() {
        let schema = schemars::schema_for!(RunDocument);
        let text = serde_json::to_string_pretty(&schema).unwrap() + "\n";
        if std::env::var_os("BITEPOINT_WRITE_SCHEMAS").is_some() {
            std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/../../schemas/run.schema.json"), &text).unwrap();
        }
        assert_eq!(text, COMMITTED, "schemas/run.schema.json is stale");
    }
}
