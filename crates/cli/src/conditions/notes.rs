//! What to mind in a correction.

use bitepoint_plot::conditions::words;
use bitepoint_plot::format::{SPAN, Units, band};
use bitepoint_runner::conditions::{Condition, Study};

/// Correction over the measured time from which it is called large.
const LARGE: f64 = 0.10;

/// Cautions of this correction.
pub(crate) fn notes(study: &Study, units: Units) -> Vec<String> {
    let mut notes = Vec::new();
    let exact = words::taken_as_exact(study);
    if study.request.draws > 0 && !exact.is_empty() {
        notes.push(format!(
            "Taken as exact, because the scenario gives no spread: {}. The true error is larger.",
            exact.join(", ")
        ));
    }
    if let (Some(measured), Some(model)) = (study.request.measurement, study.model.band_s)
        && !(model.low_s..=model.high_s).contains(&measured.time_s)
    {
        notes.push(format!(
            "The measured {} lies outside of the {} that the model gives for this car, launch and day: give more of what is estimated, or the launch as it was driven.",
            SPAN.text(measured.time_s),
            band(model.low_s, model.high_s)
        ));
    }
    let correction = &study.correction;
    let apart_s = (correction.corrected_s - correction.time_s).abs();
    if apart_s > LARGE * correction.time_s {
        notes.push(format!(
            "The correction is {} of the time itself: a run nearer to the reference would say more.",
            bitepoint_plot::format::SHARE.text(apart_s / correction.time_s)
        ));
    }
    if !study.model.day_air.within_standard || !study.model.reference_air.within_standard {
        notes.push(words::standard(study));
    }
    if let Some(start_m) = study.both_ways.as_ref().and_then(|both| both.back_start_m)
        && study.request.measurement.is_some_and(|m| m.back_start_m.is_none())
    {
        notes.push(format!(
            "The run back is taken to start where the run out reaches the gate, at {} of the profile.",
            units.distance().decimals(0).text(start_m)
        ));
    }
    if study.failed_draws > 0 {
        notes.push(format!(
            "{} of {} draws do not reach the gate under all conditions and are in no band.",
            study.failed_draws, study.request.draws
        ));
    }
    if rolls_off(study) {
        notes.push(
            "The slope is steeper than the rolling resistance: the car rolls off before the clutch pulls, which a clock that starts at first movement counts and one that starts after a rollout hardly does."
                .to_owned(),
        );
    }
    let unsure = study.sensitivities.iter().find(|s| s.condition == Condition::Temperature);
    if unsure.and_then(|s| s.band_s_per_si).is_some_and(|b| b.low_s < 0.0 && b.high_s > 0.0) {
        let entries = &study.resolved.scenario.entries;
        let stated = entries.iter().any(|entry| entry.key.path == "launch.revs" && entry.given());
        let advice = if stated { "" } else { " State the launch as it was driven." };
        notes.push(format!(
            "Colder air may have helped or hurt: with the tyres at their limit more torque is more wheelspin for the same launch.{advice}"
        ));
    }
    let temperature = study.correction.shares.iter().any(|s| s.condition == Condition::Temperature);
    if temperature {
        notes.push("Grip is the same in both: what cold or heat does to tyres and road is not modelled.".to_owned());
    }
    notes
}

/// Whether the car would roll by itself, down the slope of the run out or of the run back.
fn rolls_off(study: &Study) -> bool {
    let vehicle = &study.resolved.vehicle.vehicle;
    let scale = study.resolved.scenario.scenario.surface.rolling_resistance_scale;
    let front = vehicle.chassis.front_weight_share;
    let rolling = front * vehicle.front_tyre.rolling_constant + (1.0 - front) * vehicle.rear_tyre.rolling_constant;
    let sine = study.day.slope.sine(0.0);
    let steepest = if study.both_ways.is_some() { sine.abs() } else { -sine };
    steepest > scale * rolling
}
