//! From a measured time to the time under other conditions.
//!
//! The model gives the time `T` under the conditions of the run and `R` under the others; the run took `M`. Were the model right, `M`
//! would be `T` and the answer `R`. Where it is not, the difference `R - T` is scaled by `(M/T)^p`, and `p` depends on what the model has wrong.
//! A start that cost more or less time than the driver's in the model adds the same under both conditions: `p` is 0, the correction by
//! difference. Too much or too little force changes a time to a speed, `T = v/a`, and its answer to a small change of acceleration,
//! `-T²/v`: `p` is 2. A time scale that is wrong lies between: `p` is 1, the correction by ratio, `M R/T`. Nobody knows which it is, so the
//! middle one is the answer and the band has `p` anywhere from 0 to 2. Where measured and modelled times agree, all are one.

use serde::Serialize;

use super::condition::{CONDITIONS, Condition};
use super::replacement::Replacement;
use crate::bands::Band;

/// A time corrected to other conditions.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Correction {
    /// The time as measured, or the model's own where none was, s.
    pub time_s: f64,
    /// The model's time under the conditions of the run, s.
    pub model_s: f64,
    /// The model's time under the others, s.
    pub model_reference_s: f64,
    /// The corrected time, s.
    pub corrected_s: f64,
    /// Its spread; nothing if none was computed.
    pub band_s: Option<Band>,
    /// The corrected time if the model's difference is added as it is, s.
    pub by_difference_s: f64,
    /// The corrected time if the model's force is taken to be wrong, s.
    pub by_force_s: f64,
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

/// Exponents of the three corrections.
const BY_DIFFERENCE: f64 = 0.0;
const BY_RATIO: f64 = 1.0;
const BY_FORCE: f64 = 2.0;

/// A corrected time and what each condition adds to it, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Corrected {
    pub(super) time_s: f64,
    pub(super) shares_s: [f64; CONDITIONS],
}

impl Corrected {
    /// A measured time with the model's difference scaled by `(measured/model)^exponent`.
    pub(super) fn new(measured_s: f64, model: &Replacement, exponent: f64) -> Self {
        let scale = (measured_s / model.from_s).powf(exponent);
        let shares_s = model.shares_s.map(|share_s| scale * share_s);
        Self { time_s: measured_s + shares_s.iter().sum::<f64>(), shares_s }
    }

    /// The mean of two.
    pub(super) fn mean(self, other: Self) -> Self {
        Self {
            time_s: 0.5 * (self.time_s + other.time_s),
            shares_s: core::array::from_fn(|i| 0.5 * (self.shares_s[i] + other.shares_s[i])),
        }
    }

    /// By ratio.
    pub(super) fn by_ratio(measured_s: f64, model: &Replacement) -> Self {
        Self::new(measured_s, model, BY_RATIO)
    }

    /// Anywhere between by difference (`place` 0) and by force (1).
    pub(super) fn between(measured_s: f64, model: &Replacement, place: f64) -> Self {
        Self::new(measured_s, model, BY_DIFFERENCE + place * (BY_FORCE - BY_DIFFERENCE))
    }
}

/// Shares with their bands; a condition that changes nothing in any draw is left out.
pub(super) fn shares(expected: &Corrected, draws: &[Corrected]) -> Vec<Share> {
    Condition::ALL
        .into_iter()
        .filter(|c| expected.shares_s[*c as usize] != 0.0 || draws.iter().any(|d| d.shares_s[*c as usize] != 0.0))
        .map(|condition| Share {
            condition,
            change_s: expected.shares_s[condition as usize],
            band_s: band(draws.iter().map(|d| d.shares_s[condition as usize])),
        })
        .collect()
}

/// The band of values; nothing of none.
pub(super) fn band(values: impl Iterator<Item = f64>) -> Option<Band> {
    let values: Vec<f64> = values.collect();
    (!values.is_empty()).then(|| Band::of(values))
}

impl Correction {
    pub(super) fn new(time_s: f64, model: &Replacement, draws: &[Corrected]) -> Self {
        let expected = Corrected::by_ratio(time_s, model);
        Self {
            time_s,
            model_s: model.from_s,
            model_reference_s: model.to_s,
            corrected_s: expected.time_s,
            band_s: band(draws.iter().map(|d| d.time_s)),
            by_difference_s: Corrected::new(time_s, model, BY_DIFFERENCE).time_s,
            by_force_s: Corrected::new(time_s, model, BY_FORCE).time_s,
            shares: shares(&expected, draws),
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
        for exponent in [BY_DIFFERENCE, BY_RATIO, BY_FORCE] {
            assert!((Corrected::new(5.0, &MODEL, exponent).time_s - 5.5).abs() < 1e-12);
        }
    }

    #[test]
    fn by_ratio_a_time_keeps_its_ratio_to_the_model() {
        let corrected = Corrected::by_ratio(6.0, &MODEL);
        assert!((corrected.time_s - 6.6).abs() < 1e-12);
        assert!((corrected.shares_s[5] - 0.36).abs() < 1e-12);
    }

    #[test]
    fn the_ratio_lies_between_difference_and_force() {
        let correction = Correction::new(6.0, &MODEL, &[]);
        assert!((correction.by_difference_s - 6.5).abs() < 1e-12);
        assert!((correction.by_force_s - 6.72).abs() < 1e-12);
        assert_eq!(correction.shares.len(), 5, "pressure changes nothing");
    }
}
