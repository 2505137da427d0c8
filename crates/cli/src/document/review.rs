//! What `review --json` prints, described by `schemas/review.schema.json`.

use bitepoint_plot::review::ReviewReport;
use bitepoint_plot::review::change::change;
use bitepoint_runlog::estimate::Estimate;
use bitepoint_runner::case::{Case, Resolved};
use bitepoint_runner::conditions::Correction;
use bitepoint_runner::launch::Launch;
use bitepoint_runner::review::{Advice, Costs, Fault, Reviewed, SessionHeat, SetComparison, Spread};
use bitepoint_runner::target::Target;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 1;

/// Measured starts against the recommended launch of the car. All numbers are SI; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint review")]
pub(crate) struct ReviewDocument<'a> {
    /// What this document is: "bitepoint review".
    document: &'static str,
    /// Version of its form.
    version: u32,
    /// The log as it was given.
    log: &'a str,
    vehicle: InputFile<'a>,
    scenario: InputFile<'a>,
    /// What was to be reached.
    target: Target,
    /// The recommended launch by the model.
    best_launch: &'a Launch,
    /// Its time to the target, s.
    best_time_s: f64,
    /// The starts, in the order of the log.
    starts: Vec<Start<'a>>,
    /// How far apart they lie.
    spread: Option<Spread>,
    /// The one thing to change next, as a sentence.
    change: String,
    /// The same in numbers.
    advice: &'a Advice,
    /// The clutch over the session, by the model.
    clutch: &'a SessionHeat,
    /// The quickest start on the level in still air of ISO 2533, from first movement; nothing if none reached the gate.
    correction: Option<&'a Correction>,
    /// Against earlier runs.
    before_after: Option<&'a SetComparison>,
    /// What this log cannot tell.
    untold: &'a [String],
    /// What to mind.
    cautions: Vec<&'a str>,
}

/// One start.
#[derive(Serialize, JsonSchema)]
struct Start<'a> {
    /// First movement on the log's clock, s.
    first_movement_s: Number,
    /// Time to the target, s; nothing if it was not reached.
    time_s: Option<Number>,
    /// Every gate that was passed.
    gates: Vec<Gate>,
    /// Engine speed held before the start, rad/s.
    held_radps: Option<f64>,
    /// Time for the pedal to come up, s.
    release_s: Option<f64>,
    /// When the throttle is first wide open, s from first movement.
    wide_open_s: Option<f64>,
    /// What went wrong.
    faults: &'a [Fault],
    /// What that cost; the parts and the rest add up to the gap.
    costs: Option<&'a Costs>,
    /// What limits these numbers.
    notes: Vec<&'a str>,
}

/// A gate.
#[derive(Serialize, JsonSchema)]
struct Gate {
    /// Its name.
    name: &'static str,
    /// Time from first movement, s.
    time_s: Number,
    /// Time from the end of the rollout, s.
    with_rollout_s: Option<Number>,
    /// Speed there, m/s.
    speed_mps: Number,
}

/// A number with its error.
#[derive(Serialize, JsonSchema)]
struct Number {
    /// Best value.
    value: f64,
    /// Standard error.
    sd: f64,
    /// Lower end of the 95 % interval.
    low95: f64,
    /// Upper end of the 95 % interval.
    high95: f64,
}

impl From<Estimate> for Number {
    fn from(e: Estimate) -> Self {
        Self { value: e.value, sd: e.sd, low95: e.low95, high95: e.high95 }
    }
}

impl<'a> ReviewDocument<'a> {
    pub(crate) fn new(case: &'a Case, resolved: &'a Resolved, told: &'a ReviewReport<'a>) -> Self {
        let review = told.review;
        Self {
            document: "bitepoint review",
            version: VERSION,
            log: told.log_name,
            vehicle: InputFile::vehicle(&case.vehicle, &resolved.vehicle),
            scenario: InputFile::scenario(&case.scenario, &resolved.scenario),
            target: review.best.target,
            best_launch: &review.best.launch,
            best_time_s: review.best.time_s,
            starts: review.starts.iter().map(start).collect(),
            spread: review.spread,
            change: change(review, told.units),
            advice: &review.advice,
            clutch: &review.heat,
            correction: told.corrected.map(|study| &study.correction),
            before_after: told.sets,
            untold: &review.untold,
            cautions: told.doubts.iter().chain(told.notes).map(String::as_str).collect(),
        }
    }
}

fn start(start: &Reviewed) -> Start<'_> {
    let gates = start.run.gates.iter().filter_map(|gate| {
        let passed = gate.passed?;
        Some(Gate {
            name: gate.name,
            time_s: passed.time_s.into(),
            with_rollout_s: passed.with_rollout_s.map(Number::from),
            speed_mps: passed.speed_mps.into(),
        })
    });
    Start {
        first_movement_s: start.run.first_movement_s.into(),
        time_s: start.time_s.map(Number::from),
        gates: gates.collect(),
        held_radps: start.held_radps,
        release_s: start.release_s,
        wide_open_s: start.wide_open_s,
        faults: &start.faults,
        costs: start.costs.as_ref(),
        notes: start.run.notes.iter().map(|n| n.what.as_str()).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<ReviewDocument>("review");
    }
}
