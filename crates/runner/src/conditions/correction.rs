//! From a measured time to the time under other conditions.
//!
//! The model gives the time `T` under the conditions of the run and `R` under the others; the run took `M`. Were the model right, `M`
//! would be `T` and the answer `R`. Where it is not, the difference `R - T` is scaled by `(M/T)^p`, and `p` depends on what the model has wrong.
//! A start that cost more or less time than the driver's in the model adds the same under both conditions: `p` is 0, the correction by
//! difference. Too much or too little force changes a time to a speed, `T = v/a`, and its answer to a small change of acceleration,
//! `-T²/v`: `p` is 2. The ratio, `M R/T`, lies between: `p` is 1. Nobody knows which it is, so each draw of the uncertain inputs has its own `p`
//! from 0 to 2; without draws it is 1. Where measured and modelled times agree, all are one.

use serde::Serialize;

use super::condition::{CONDITIONS, Condition};
use super::replacement::Replacement;
use super::weights::Weights;
use crate::bands::Band;

/// A time corrected to other conditions.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Correction {
    /// The time as measured, or the model's own where none was, s.
    pub time_s: f64,
    /// The model's time under the conditions of the run, s: the mean of the draws as they count, or of the expected car without draws.
    pub model_s: f64,
    /// The model's time under the others, s, likewise.
    pub model_reference_s: f64,
    /// The corrected time, s.
    pub corrected_s: f64,
    /// Its spread; nothing if none was computed.
    pub band_s: Option<Band>,
    /// What each condition adds; all together are `corrected_s - time_s`.
    pub shares: Vec<Share>,
}

/// What one condition adds to a time when it is corrected.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Share {
    /// The condition.
    pub condition: Condition,
    /// What it adds, s.
    pub change_s: f64,
    /// Its spread; nothing if none was computed.
    pub band_s: Option<Band>,
}

/// Largest exponent; the least is 0, by difference.
const BY_FORCE: f64 = 2.0;
const BY_RATIO: f64 = 1.0;

/// A corrected time and what each condition adds to it, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Corrected {
    pub(super) time_s: f64,
    pub(super) shares_s: [f64; CONDITIONS],
}

impl Corrected {
    /// A measured time with the model's difference scaled by `(measured/model)^exponent`.
    fn new(measured_s: f64, model: &Replacement, exponent: f64) -> Self {
        let scale = libm::pow(measured_s / model.from_s, exponent);
        let shares_s = model.shares_s.map(|share_s| scale * share_s);
        Self { time_s: measured_s + shares_s.iter().sum::<f64>(), shares_s }
    }

    /// By ratio.
    pub(super) fn by_ratio(measured_s: f64, model: &Replacement) -> Self {
        Self::new(measured_s, model, BY_RATIO)
    }

    /// Anywhere between by difference (`place` 0) and by force (1).
    pub(super) fn between(measured_s: f64, model: &Replacement, place: f64) -> Self {
        Self::new(measured_s, model, place * BY_FORCE)
    }

    /// The mean of two.
    pub(super) fn mean(self, other: Self) -> Self {
        Self {
            time_s: 0.5 * (self.time_s + other.time_s),
            shares_s: core::array::from_fn(|i| 0.5 * (self.shares_s[i] + other.shares_s[i])),
        }
    }
}

/// What each condition adds: the mean of the draws as they count, or as `expected` without draws. A condition that changes nothing is left
/// out.
pub(super) fn shares(expected: &Corrected, draws: &[Corrected], weights: &Weights) -> Vec<Share> {
    Condition::ALL
        .into_iter()
        .map(|condition| {
            let of = |d: &Corrected| d.shares_s[condition as usize];
            Share {
                condition,
                change_s: weights.mean(draws.iter().map(of)).unwrap_or(of(expected)),
                band_s: weights.band(draws.iter().map(of)),
            }
        })
        .filter(|share| share.change_s != 0.0)
        .collect()
}

/// A time with its shares added.
pub(super) fn added_up(time_s: f64, shares: &[Share]) -> f64 {
    time_s + shares.iter().map(|share| share.change_s).sum::<f64>()
}

impl Correction {
    /// Of a measured time; without one, of the model's own.
    pub(super) fn new(
        measured_s: Option<f64>,
        expected: &Replacement,
        models: &[Replacement],
        draws: &[Corrected],
        weights: &Weights,
    ) -> Self {
        let model = |of: fn(&Replacement) -> f64| weights.mean(models.iter().map(of)).unwrap_or(of(expected));
        let (model_s, model_reference_s) = (model(|m| m.from_s), model(|m| m.to_s));
        let time_s = measured_s.unwrap_or(model_s);
        let shares = shares(&Corrected::by_ratio(measured_s.unwrap_or(expected.from_s), expected), draws, weights);
        Self {
            time_s,
            model_s,
            model_reference_s,
            corrected_s: added_up(time_s, &shares),
            band_s: weights.band(draws.iter().map(|d| d.time_s)),
            shares,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MODEL: Replacement =
        Replacement { from_s: 5.0, to_s: 5.5, level_s: 5.1, shares_s: [0.1, 0.05, 0.02, 0.0, 0.03, 0.3] };

    #[test]
    fn a_time_that_the_model_meets_is_corrected_to_the_models_reference_by_any_method() {
        for place in [0.0, 0.3, 0.5, 1.0] {
            assert!((Corrected::between(5.0, &MODEL, place).time_s - 5.5).abs() < 1e-12);
        }
    }

    #[test]
    fn the_ratio_lies_between_difference_and_force() {
        let time_s = |place| Corrected::between(6.0, &MODEL, place).time_s;
        for (place, known_s) in [(0.0, 6.5), (0.5, 6.6), (1.0, 6.72)] {
            assert!((time_s(place) - known_s).abs() < 1e-12, "{place}: {}", time_s(place));
        }
        assert_eq!(Corrected::by_ratio(6.0, &MODEL), Corrected::between(6.0, &MODEL, 0.5));
    }

    #[test]
    fn the_mean_of_draws_keeps_the_sum_of_its_shares() {
        let draws: Vec<Corrected> = [0.1, 0.6, 0.9].map(|place| Corrected::between(5.7, &MODEL, place)).to_vec();
        let correction = Correction::new(Some(5.7), &MODEL, &[MODEL; 3], &draws, &Weights::near(&[0.01, -0.02, 0.03]));
        assert_eq!(correction.shares.len(), 5, "pressure changes nothing");
        let sum: f64 = correction.shares.iter().map(|s| s.change_s).sum();
        assert!((correction.corrected_s - correction.time_s - sum).abs() < 1e-12);
    }
}
