//! What `plan --json` prints, described by `schemas/plan.schema.json`.

use bitepoint_physics::run::Limit;
use bitepoint_plot::format::Units;
use bitepoint_plot::plan::words;
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{
    Choice, Cooling, Effort, Exact, FAILED_COSTS_S, Level, Limits, OtherGrip, Plan, WINDOW_S,
};
use bitepoint_runner::target::Target;
use schemars::JsonSchema;
use serde::Serialize;

use super::inputs::InputFile;

/// Raised when a field goes or changes its meaning; new fields do not raise it.
const VERSION: u32 = 2;

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
    /// How hard the launch may be on the car.
    effort: Effort,
    /// Whether revs above the redline were allowed.
    above_redline: bool,
    /// What no launch was to exceed besides what the effort protects, in the units of `Limits`.
    limits_asked: Limits,
    /// Seed of the driver's errors.
    seed: u32,
    /// Names of the causes in the order of every array over causes (`limited_s`, `lost_s`).
    causes: [&'static str; 8],
    /// What may be lost within a window, s.
    window_s: f64,
    /// What a launch that does not arrive counts over the mean of the others, s.
    failed_costs_s: f64,
    /// One plan for each scenario.
    plans: Vec<DayPlan<'a>>,
}

/// The plan of one day.
#[derive(Serialize, JsonSchema)]
struct DayPlan<'a> {
    scenario: InputFile<'a>,
    /// The recommended launch in words, a sentence for each thing to do.
    instruction: Vec<String>,
    /// The recommended launch for the driver, in round numbers.
    driver: &'a Choice,
    /// What no launch was to exceed: what the effort protects and what was asked for.
    limits: Limits,
    /// What each effort would do, gentlest first. Their expected times come from a small set of launches: compare them with each other.
    efforts: &'a [Level],
    /// The quickest exact run that was found within no limit but the redline: a bound, not advice.
    quickest_exact: &'a Exact,
    /// The one change of the recommended launch that helps most on less and on more grip.
    other_grip: &'a [OtherGrip; 2],
    /// What the clutch needs between launches.
    cooling: &'a Cooling,
    /// Cautions of this plan, in words.
    cautions: &'a [String],
}

impl<'a> PlanDocument<'a> {
    /// Of at least one plan.
    pub(crate) fn new(cases: &'a [Case], plans: &'a [Plan], notes: &'a [Vec<String>], units: Units) -> Self {
        let first = &plans[0];
        let day = |((case, plan), notes): ((&'a Case, &'a Plan), &'a Vec<String>)| DayPlan {
            scenario: InputFile::scenario(&case.scenario, &plan.resolved.scenario),
            instruction: words::described(plan).sentences(units),
            driver: &plan.driver,
            limits: plan.limits,
            efforts: &plan.levels,
            quickest_exact: &plan.best,
            other_grip: &plan.other_grip,
            cooling: &plan.cooling,
            cautions: notes,
        };
        Self {
            document: "bitepoint plan",
            version: VERSION,
            vehicle: InputFile::vehicle(&cases[0].vehicle, &first.resolved.vehicle),
            target: first.wanted.target,
            effort: first.wanted.effort,
            above_redline: first.wanted.above_redline,
            limits_asked: first.wanted.limits,
            seed: first.seed,
            causes: Limit::ALL.map(Limit::name),
            window_s: WINDOW_S,
            failed_costs_s: FAILED_COSTS_S,
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
