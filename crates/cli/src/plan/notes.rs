//! Cautions of a plan.

use bitepoint_plot::format::{Units, share};
use bitepoint_runner::plan::Plan;

use crate::notes::{Remedies, hard_on_the_car};

/// Fraction of failed launches that is worth a word, and of those over a limit.
const OFTEN_FAILED: f64 = 0.02;
const OFTEN_OVER: f64 = 0.05;

/// Cautions of a plan.
pub(crate) fn notes(plan: &Plan, units: Units) -> Vec<String> {
    let driver = &plan.driver;
    let (run, expected) = (&driver.run, &driver.expected);
    let remedies = Remedies {
        harmed_clutch: " Ask for a plan with --clutch-face-max.",
        overloaded_shafts: " Ask for a plan with --shaft-torque-max.",
    };
    let mut notes = hard_on_the_car(run, &plan.resolved.vehicle.vehicle.clutch, units, &remedies);
    let of_starts = |n: u32| f64::from(n) / f64::from(expected.starts.max(1));
    if of_starts(expected.failed) > OFTEN_FAILED {
        notes.push(format!("{} of such launches stall or do not arrive.", share(of_starts(expected.failed))));
    }
    if of_starts(expected.over_limits) > OFTEN_OVER {
        notes.push(format!(
            "{} of such launches exceed a limit, though the launch as planned keeps them all.",
            share(of_starts(expected.over_limits))
        ));
    }
    if run.launch.lowest_radps < plan.resolved.vehicle.vehicle.engine.idle_radps {
        notes.push(
            "No launch was found that keeps the engine above its idle: it bogs, and what an engine does there is not modelled well."
                .to_owned(),
        );
    }
    notes
}
