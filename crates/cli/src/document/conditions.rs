//! What `conditions --json` prints, described by `schemas/conditions.schema.json`.

use bitepoint_plot::conditions::{ConditionsReport, paragraphs};
use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::{
    BothWays, Condition, Conditions, Correction, Measurement, Model, Response, Sensitivity, StandardAir,
};
use bitepoint_runner::target::Target;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 1;

/// What slope, wind, air and rollout are worth. All numbers are SI; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint conditions")]
pub(crate) struct ConditionsDocument<'a> {
    /// What this document is: "bitepoint conditions".
    document: &'static str,
    /// Version of its form.
    version: u32,
    vehicle: InputFile<'a>,
    scenario: InputFile<'a>,
    /// Gate and clock of the run.
    target: Target,
    /// Conditions of the run.
    day: Stated,
    /// Conditions that it is corrected to.
    reference: Stated,
    /// Standard of the reference's air; nothing if the reference is another day.
    reference_standard: Option<StandardAir>,
    /// Name of that other day; empty for a standard.
    reference_day: &'a str,
    /// What was measured; nothing if the model alone was asked.
    measurement: Option<Measurement>,
    /// What the model says of the run.
    model: &'a Model,
    /// Change of the time per unit of each condition, around the day.
    sensitivities: &'a [Sensitivity],
    /// The time over a range of each condition.
    responses: &'a [Response],
    /// The measured time (the model's own if none was measured), corrected.
    correction: &'a Correction,
    /// What a second run in the opposite direction adds.
    both_ways: Option<&'a BothWays>,
    /// Draws of the uncertain inputs behind the bands, and those of them that are in no band because a run did not reach the gate.
    draws: u32,
    failed_draws: u32,
    /// Seed of the draws.
    seed: u32,
    /// The result in plain sentences.
    paragraphs: Vec<String>,
    /// What to mind.
    cautions: &'a [String],
}

/// Conditions as numbers.
#[derive(Serialize, JsonSchema)]
struct Stated {
    /// Rise over run, uphill positive; of a surveyed road the mean up to the gate.
    slope_rise_per_run: f64,
    /// Whether that is a mean over a surveyed road.
    surveyed: bool,
    /// Wind against the car, m/s.
    headwind_mps: f64,
    temperature_c: f64,
    pressure_pa: f64,
    /// From 0 to 1.
    relative_humidity: f64,
    /// Distance that the car rolls before the clock starts, m; 0 for a clock that starts at first movement.
    rollout_m: f64,
}

impl Stated {
    fn of(conditions: &Conditions, over_m: f64) -> Self {
        let value = |condition| conditions.value(condition, over_m);
        Self {
            slope_rise_per_run: value(Condition::Slope),
            surveyed: conditions.surveyed_m().is_some(),
            headwind_mps: value(Condition::Wind),
            temperature_c: value(Condition::Temperature),
            pressure_pa: value(Condition::Pressure),
            relative_humidity: value(Condition::Humidity),
            rollout_m: value(Condition::Rollout),
        }
    }
}

impl<'a> ConditionsDocument<'a> {
    pub(crate) fn new(case: &'a Case, report: &ConditionsReport<'a>) -> Self {
        let study = report.study;
        let reference = &study.request.reference;
        let over_m = study.model.distance_m;
        Self {
            document: "bitepoint conditions",
            version: VERSION,
            vehicle: InputFile::vehicle(&case.vehicle, &study.resolved.vehicle),
            scenario: InputFile::scenario(&case.scenario, &study.resolved.scenario),
            target: study.request.target,
            day: Stated::of(&study.day, over_m),
            reference: Stated::of(&reference.conditions, over_m),
            reference_standard: reference.standard,
            reference_day: &reference.day,
            measurement: study.request.measurement,
            model: &study.model,
            sensitivities: &study.sensitivities,
            responses: &study.responses,
            correction: &study.correction,
            both_ways: study.both_ways.as_ref(),
            draws: study.request.draws,
            failed_draws: study.failed_draws,
            seed: study.request.seed,
            paragraphs: paragraphs(report),
            cautions: report.notes,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<ConditionsDocument>("conditions");
    }
}
