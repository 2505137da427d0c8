//! The quickest start, corrected to reference conditions as `conditions` does it.

use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::{ConditionsError, Measurement, Reference, Request, StandardAir, Study, study};
use bitepoint_runner::review::Review;
use bitepoint_runner::target::Clock;
use bitepoint_runner::watch::Nobody;

/// Draws of the uncertain inputs: for a band to some percent of its width.
const DRAWS: u32 = 64;
/// Seed of the draws: any number would do, so long as it stays.
const SEED: u32 = 20;

/// The study of the quickest start, launched as the log shows; nothing if no start reached the gate.
pub(crate) fn correction(case: &Case, review: &Review) -> Option<Result<Study, ConditionsError>> {
    let start = &review.starts[review.spread?.best];
    let time_s = start.time_s?;
    let request = Request {
        target: review.best.target,
        reference: Reference::level_and_still(StandardAir::Iso2533, Clock::FirstMovement),
        measurement: Some(Measurement {
            time_s: time_s.value,
            back_s: None,
            timing_sd_s: time_s.sd,
            back_start_m: None,
        }),
        draws: DRAWS,
        seed: SEED,
        responses: false,
    };
    let stated = |key: &str, value: Option<String>, case: Case| match value {
        Some(value) => case.with(key, &value).unwrap_or(case),
        None => case,
    };
    let revs = |w: f64| format!("{:.0} rpm", w * 30.0 / core::f64::consts::PI);
    let driver = &start.driver;
    let keeps = driver.clutch_feel.is_some();
    let launched = stated("launch.revs", start.held_radps.map(revs), case.clone());
    let launched = stated("launch.clutch_feel", (!keeps).then(|| "false".to_owned()), launched);
    let launched = stated("launch.kept_revs", keeps.then(|| revs(driver.kept_radps)), launched);
    let launched = stated("launch.release_time", Some(format!("{:.2} s", driver.release_s.max(0.02))), launched);
    // A launch that the model stalls with is no launch to correct by: the scenario's stands in.
    Some(study(&launched, &request, &Nobody).or_else(|_| study(case, &request, &Nobody)))
}
