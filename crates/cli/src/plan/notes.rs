//! What a person should mind in a plan.

use bitepoint_plot::format::{SHARE, SPAN, Units, share};
use bitepoint_runner::plan::Plan;

/// Shaft torque over what the engine alone can hold there, from which a start is called hard on the driveline.
/// Common practice, no source: parts are made for the engine's torque with some room for shock.
const HARD_ON_SHAFTS: f64 = 1.25;
/// Share of botched starts that is worth a word.
const OFTEN_BOTCHED: f64 = 0.02;

/// Cautions of a plan.
pub(crate) fn notes(plan: &Plan, units: Units) -> Vec<String> {
    let driver = &plan.driver;
    let (run, expected) = (&driver.run, &driver.expected);
    let clutch = &plan.resolved.vehicle.vehicle.clutch;
    let temperature = units.temperature();
    let mut notes = Vec::new();
    if run.peaks.clutch_face_c >= clutch.harm_c {
        notes.push(format!(
            "The clutch face reaches {}: over {} it is harmed for good. Ask for a plan with --clutch-face-max.",
            temperature.text(run.peaks.clutch_face_c),
            temperature.text(clutch.harm_c)
        ));
    } else if run.peaks.clutch_face_c >= clutch.fade_start_c {
        notes.push(format!(
            "The clutch face reaches {}: it fades from {}. Let it cool before the next start.",
            temperature.text(run.peaks.clutch_face_c),
            temperature.text(clutch.fade_start_c)
        ));
    }
    let shafts = run.peaks.shaft_torque_nm / run.peaks.steady_shaft_torque_nm;
    if shafts > HARD_ON_SHAFTS {
        notes.push(format!(
            "The half-shafts see {} of what the engine alone can hold there: a start that breaks drivelines. Ask for a plan with --shaft-torque-max.",
            SHARE.text(shafts)
        ));
    }
    if run.launch.front_lifted_s > 0.0 {
        notes.push(format!(
            "The front wheels carry nothing for {}: the car does not steer then, and how high they rise is not modelled.",
            SPAN.text(run.launch.front_lifted_s)
        ));
    }
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
