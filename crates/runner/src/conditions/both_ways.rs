//! Two runs over the same road in opposite directions.
//!
//! Which plain mean cancels a slope? A force that turns its sign with the direction changes the acceleration by the same amount up and down. To a
//! speed, `v = a T`, so that the mean of `1/T` holds the acceleration without it; over a distance, `s = a T²/2`, the mean of `1/T²`. The
//! mean of the times themselves is longer than that by the square of the change. Neither cancels what does not turn its sign: air, rollout, and
//! the square of the wind in `(v + w)²`. So each run is corrected by the model first, and the mean is taken of the corrected times;
//! the plain means are told with what, by the model, they leave.

use bitepoint_physics::timing::Mark;
use serde::Serialize;

use super::correction::{Corrected, Correction, Share, added_up, shares};
use super::replacement::Replacement;
use super::weights::Weights;
use crate::bands::Band;

/// What two runs in opposite directions say together.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct BothWays {
    /// The run back, corrected by itself.
    pub back: Correction,
    /// Where the run back starts, m of the survey; nothing on a constant slope.
    pub back_start_m: Option<f64>,
    /// Mean of the two corrected times, s.
    pub corrected_s: f64,
    /// Its spread; nothing if none was computed.
    pub band_s: Option<Band>,
    /// What each condition adds to the mean of the measured times: for slope and wind, what that mean does not cancel.
    pub shares: Vec<Share>,
    /// Corrected time of the run back less that of the run out, s.
    pub disagreement_s: f64,
    /// Its spread: were all that is stated right and both starts alike, nothing would lie within it. None if none was computed.
    pub disagreement_band_s: Option<Band>,
    /// Mean of the times.
    pub of_times: PlainMean,
    /// Mean of the accelerations: of `1/T` to a speed, of `1/T²` over a distance.
    pub of_accelerations: PlainMean,
}

/// A mean of two times that needs no model.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PlainMean {
    /// Mean of the measured times, s.
    pub time_s: f64,
    /// By the model: the same mean of its times less its time on the level without wind, in the air and on the clock of the runs, s.
    pub leaves_s: f64,
    /// Its spread; nothing if none was computed.
    pub leaves_band_s: Option<Band>,
}

/// A run there and back by the model, with what was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    pub(super) out: Replacement,
    pub(super) back: Replacement,
    pub(super) corrected: [Corrected; 2],
}

/// Mean of two times as if each were of a constant acceleration, s.
pub(super) fn mean_of_accelerations_s(a_s: f64, b_s: f64, mark: Mark) -> f64 {
    match mark {
        Mark::SpeedMps(_) => 2.0 / (1.0 / a_s + 1.0 / b_s),
        Mark::DistanceM(_) => (2.0 / (1.0 / (a_s * a_s) + 1.0 / (b_s * b_s))).sqrt(),
    }
}

fn mean_of_times_s(a_s: f64, b_s: f64) -> f64 {
    0.5 * (a_s + b_s)
}

impl BothWays {
    pub(super) fn new(
        measured_s: [f64; 2],
        models: [&Replacement; 2],
        mark: Mark,
        back_start_m: Option<f64>,
        (draws, weights): (&[Pair], &Weights),
    ) -> Self {
        let [out, back] = [0, 1].map(|way| Corrected::by_ratio(measured_s[way], models[way]));
        let of_way = |way: usize| -> Vec<Corrected> { draws.iter().map(|d| d.corrected[way]).collect() };
        let means: Vec<Corrected> = draws.iter().map(|d| d.corrected[0].mean(d.corrected[1])).collect();
        let shares = shares(&out.mean(back), &means, weights);
        let plain = |of: &dyn Fn(f64, f64) -> f64| {
            let leaves_s = |out: &Replacement, back: &Replacement| {
                // The two levels are one road in one air, but for the solver's error.
                of(out.from_s, back.from_s) - mean_of_times_s(out.level_s, back.level_s)
            };
            let drawn = || draws.iter().map(|d| leaves_s(&d.out, &d.back));
            PlainMean {
                time_s: of(measured_s[0], measured_s[1]),
                leaves_s: weights.mean(drawn()).unwrap_or(leaves_s(models[0], models[1])),
                leaves_band_s: weights.band(drawn()),
            }
        };
        let back_models: Vec<Replacement> = draws.iter().map(|d| d.back).collect();
        let apart = || draws.iter().map(|d| d.corrected[1].time_s - d.corrected[0].time_s);
        Self {
            back: Correction::new(Some(measured_s[1]), models[1], &back_models, &of_way(1), weights),
            back_start_m,
            corrected_s: added_up(mean_of_times_s(measured_s[0], measured_s[1]), &shares),
            band_s: weights.band(means.iter().map(|m| m.time_s)),
            shares,
            disagreement_s: weights.mean(apart()).unwrap_or(back.time_s - out.time_s),
            disagreement_band_s: weights.band(apart()),
            of_times: plain(&mean_of_times_s),
            of_accelerations: plain(&|a, b| mean_of_accelerations_s(a, b, mark)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slope_cancels_in_the_mean_of_accelerations_and_not_in_that_of_times() {
        // 4 m/s² on the level, 0.5 m/s² of slope.
        let to_speed = |a: f64| 26.0 / a;
        let over_distance = |a: f64| (2.0 * 400.0 / a).sqrt();
        let of = |time: &dyn Fn(f64) -> f64, mark| {
            let (down, up, level) = (time(4.5), time(3.5), time(4.0));
            (mean_of_accelerations_s(down, up, mark) - level, mean_of_times_s(down, up) - level)
        };
        for (exact, left) in [of(&to_speed, Mark::SpeedMps(26.0)), of(&over_distance, Mark::DistanceM(400.0))] {
            assert!(exact.abs() < 1e-12, "{exact}");
            assert!(left > 0.05, "{left}");
        }
    }
}
