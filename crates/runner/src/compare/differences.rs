//! The difference of two cars over draws in which they share their errors.

use serde::Serialize;

use crate::bands::Band;

/// A variant's time less the base's, s: negative is quicker.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Difference {
    /// With every value as expected.
    pub expected_s: f64,
    /// 5th to 95th percentile over the draws in which both arrived; nothing if less than half of them did.
    pub likely: Option<Band>,
    /// Share of the draws in which the variant was the quicker one; one that arrives beats one that does not.
    pub quicker_share: f64,
    /// Draws in which both arrived.
    pub draws: u32,
    /// Draws in which the base alone arrived.
    pub variant_missed: u32,
    /// Draws in which the variant alone arrived.
    pub base_missed: u32,
}

/// Share of the draws in which both have to arrive for the difference to have a band.
const LEAST_ARRIVED: f64 = 0.5;

impl Difference {
    /// Of pairs of times (base, variant), s.
    pub(super) fn of(expected_s: f64, pairs: &[(Option<f64>, Option<f64>)]) -> Self {
        let both: Vec<f64> = pairs.iter().filter_map(|&(base, variant)| Some(variant? - base?)).collect();
        let count = |of: fn(&(Option<f64>, Option<f64>)) -> bool| pairs.iter().filter(|pair| of(pair)).count();
        let variant_missed = count(|(base, variant)| base.is_some() && variant.is_none());
        let base_missed = count(|(base, variant)| base.is_none() && variant.is_some());
        let quicker = both.iter().filter(|s| **s < 0.0).count() + base_missed;
        let enough = !both.is_empty() && both.len() as f64 >= LEAST_ARRIVED * pairs.len() as f64;
        Self {
            expected_s,
            quicker_share: quicker as f64 / pairs.len().max(1) as f64,
            draws: both.len() as u32,
            variant_missed: variant_missed as u32,
            base_missed: base_missed as u32,
            likely: enough.then(|| Band::of(both)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_car_that_arrives_beats_one_that_does_not() {
        let pairs = [(Some(5.0), Some(4.9)), (None, Some(5.0)), (Some(5.0), None), (Some(5.0), Some(5.2))];
        let difference = Difference::of(-0.1, &pairs);
        assert_eq!((difference.draws, difference.variant_missed, difference.base_missed), (2, 1, 1));
        assert!((difference.quicker_share - 0.5).abs() < 1e-12);
        let band = difference.likely.expect("half arrived");
        assert!(band.low_s < 0.0 && band.high_s > 0.0);
    }
}
