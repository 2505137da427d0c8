//! What `plan --json` prints, described by `schemas/plan.schema.json`.

use bitepoint_physics::run::Limit;
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{BOTCHED_COSTS_S, Choice, Cooling, Limits, OtherGrip, Plan, WINDOW_S};
use bitepoint_runner::target::Target;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 1;

/// Plans of one car, one a day. All numbers are SI; units stand in the names.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "bitepoint plan")]
pub(crate) struct PlanDocument<'a> {
    /// What this document is: "bitepoint plan".
    document: &'static str,
    /// Version of its form.
    version: u32,
    vehicle: InputFile<'a>,
    /// What was to be reached.
    target: Target,
    /// What no start was to exceed, in the units of `Limits`.
    limits: Limits,
    /// Seed of the driver's errors.
    seed: u32,
    /// Names of the causes in the order of every array over causes (`limited_s`, `lost_s`).
    causes: [&'static str; 8],
    /// What may be lost within a window, s.
    window_s: f64,
    /// What a start that does not get there counts, over the best possible time, s.
    botched_costs_s: f64,
    /// One plan for each scenario.
    plans: Vec<DayPlan<'a>>,
}

/// The plan of one day.
#[derive(Serialize, JsonSchema)]
struct DayPlan<'a> {
    scenario: InputFile<'a>,
    /// The best possible launch, done exactly.
    best: &'a Choice,
    /// The best launch for this driver, in round numbers.
    driver: &'a Choice,
    /// The one change of the driver's launch that helps most on less and on more grip.
    other_grip: &'a [OtherGrip; 2],
    /// What the clutch needs between starts like the driver's.
    cooling: &'a Cooling,
    /// Cautions of this plan, in words.
    cautions: &'a [String],
}

impl<'a> PlanDocument<'a> {
    /// Of at least one plan.
    pub(crate) fn new(cases: &'a [Case], plans: &'a [Plan], notes: &'a [Vec<String>]) -> Self {
        let first = &plans[0];
        let day = |((case, plan), notes): ((&'a Case, &'a Plan), &'a Vec<String>)| DayPlan {
            scenario: InputFile::scenario(&case.scenario, &plan.resolved.scenario),
            best: &plan.best,
            driver: &plan.driver,
            other_grip: &plan.other_grip,
            cooling: &plan.cooling,
            cautions: notes,
        };
        Self {
            document: "bitepoint plan",
            version: VERSION,
            vehicle: InputFile::vehicle(&cases[0].vehicle, &first.resolved.vehicle),
            target: first.target,
            limits: first.limits,
            seed: first.seed,
            causes: Limit::ALL.map(Limit::name),
            window_s: WINDOW_S,
            botched_costs_s: BOTCHED_COSTS_S,
            plans: cases.iter().zip(plans).zip(notes).map(day).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_schema_describes_the_document() {
        crate::document::schema::is_current::<PlanDocument>("plan");
    }
}
