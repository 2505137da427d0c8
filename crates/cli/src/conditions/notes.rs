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
    if let (Some(both), Some((first_m, _))) = (&study.both_ways, study.day.surveyed_m())
        && let Some(start_m) = both.back_start_m
        && study.request.measurement.is_some_and(|m| m.back_start_m.is_none())
    {
        let _ = first_m;
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
    let temperature = study.correction.shares.iter().any(|s| s.condition == Condition::Temperature);
    if temperature {
        notes.push("Grip is the same in both: what cold or heat does to tyres and road is not modelled.".to_owned());
    }
    notes
}
