//! What a person should mind in a plan.

use bitepoint_plot::format::{Units, share};
use bitepoint_runner::plan::Plan;

use crate::notes::{Remedies, hard_on_the_car};

/// Share of botched starts that is worth a word.
const OFTEN_BOTCHED: f64 = 0.02;

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
    if of_starts(expected.botched) > OFTEN_BOTCHED {
        notes.push(format!("{} of such starts stall or do not get there.", share(of_starts(expected.botched))));
    }
    if expected.over_limits > 0 {
        notes.push(format!(
            "{} of such starts exceed a limit that was asked for, though the start as planned keeps them all.",
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
