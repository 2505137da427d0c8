//! The difference of two cars over draws in which they share their errors.

use serde::Serialize;

use crate::bands::Band;

/// A changed car's time less the base's, s: negative is quicker.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Difference {
    /// Mean over the draws in which both arrived, s.
    pub mean_s: f64,
    /// 5th to 95th percentile over them.
    pub likely: Band,
    /// With every value as expected, s; nothing if one of them does not arrive then.
    pub as_expected_s: Option<f64>,
    /// Share of all draws in which the changed car was the quicker one; one that arrives beats one that does not.
    pub quicker_share: f64,
    /// Draws in which both arrived.
    pub draws: u32,
    /// Draws in which the base alone arrived.
    pub changed_missed: u32,
    /// Draws in which the changed car alone arrived.
    pub base_missed: u32,
}

/// Share of the draws in which both have to arrive for there to be a difference.
const LEAST_ARRIVED: f64 = 0.5;

impl Difference {
    /// Of pairs of times (base, changed), s; nothing if both arrived in less than half of them.
    pub(super) fn of(pairs: &[(Option<f64>, Option<f64>)], as_expected_s: Option<f64>) -> Option<Self> {
        let both: Vec<f64> = pairs.iter().filter_map(|&(base, changed)| Some(changed? - base?)).collect();
        if both.is_empty() || (both.len() as f64) < LEAST_ARRIVED * pairs.len() as f64 {
            return None;
        }
        let count = |of: fn(&(Option<f64>, Option<f64>)) -> bool| pairs.iter().filter(|pair| of(pair)).count();
        let changed_missed = count(|(base, changed)| base.is_some() && changed.is_none());
        let base_missed = count(|(base, changed)| base.is_none() && changed.is_some());
        let quicker = both.iter().filter(|s| **s < 0.0).count() + base_missed;
        Some(Self {
            mean_s: both.iter().sum::<f64>() / both.len() as f64,
            as_expected_s,
            quicker_share: quicker as f64 / pairs.len() as f64,
            draws: both.len() as u32,
            changed_missed: changed_missed as u32,
            base_missed: base_missed as u32,
            likely: Band::of(both),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_car_that_arrives_beats_one_that_does_not() {
        let pairs = [(Some(5.0), Some(4.9)), (None, Some(5.0)), (Some(5.0), None), (Some(5.0), Some(5.2))];
        let difference = Difference::of(&pairs, None).expect("half arrived");
        assert_eq!((difference.draws, difference.changed_missed, difference.base_missed), (2, 1, 1));
        assert!((difference.quicker_share - 0.5).abs() < 1e-12 && (difference.mean_s - 0.05).abs() < 1e-12);
        assert!(difference.likely.low_s < 0.0 && difference.likely.high_s > 0.0);
        assert_eq!(Difference::of(&pairs[1..3], None), None);
    }
}
