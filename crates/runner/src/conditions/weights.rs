//! How much each draw of the uncertain inputs counts, given what was measured.
//!
//! A measured time tells something of the car: a draw whose time under the same conditions is far from it is not that car, or not that start. So
//! draws count by a normal kernel of how far their time is from the measured one (approximate Bayesian computation: M. A. Beaumont,
//! W. Zhang, D. J. Balding, Genetics 162 (2002) 2025-2035, without its regression). Where nothing was measured all count alike.

use crate::bands::Band;

/// Weights of draws; they add up to one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Weights(Vec<f64>);

/// Width of the kernel, as a share of the time: what careful starts of one driver differ by (common practice, no source).
const WIDTH: f64 = 0.02;
/// Share of the draws, in effect, that have to count for a band: where fewer lie near, the kernel is widened.
const LEAST_EFFECTIVE: f64 = 0.125;
/// Step by which it is widened.
const WIDER: f64 = 1.25;

impl Weights {
    /// All alike.
    pub(super) fn even(draws: usize) -> Self {
        Self(vec![1.0 / draws.max(1) as f64; draws])
    }

    /// By nearness; `away` are the draws' distances from what was measured, as shares of the time.
    pub(super) fn near(away: &[f64]) -> Self {
        let nearest = away.iter().fold(f64::INFINITY, |least, a| least.min(a * a));
        let mut width = WIDTH;
        loop {
            // Taken from the nearest, so that the weights of draws that are all far away do not vanish.
            let raw: Vec<f64> = away.iter().map(|a| (-0.5 * (a * a - nearest) / (width * width)).exp()).collect();
            let sum: f64 = raw.iter().sum();
            let weights = Self(raw.into_iter().map(|w| w / sum).collect());
            if away.is_empty() || weights.effective() >= LEAST_EFFECTIVE * away.len() as f64 {
                return weights;
            }
            width *= WIDER;
        }
    }

    /// Number of draws that count, in effect (L. Kish, Survey Sampling, Wiley 1965): all where they count alike.
    pub(super) fn effective(&self) -> f64 {
        if self.0.is_empty() { 0.0 } else { 1.0 / self.0.iter().map(|w| w * w).sum::<f64>() }
    }

    /// Mean of a value of each draw; nothing for no draws.
    pub(super) fn mean(&self, values: impl Iterator<Item = f64>) -> Option<f64> {
        (!self.0.is_empty()).then(|| self.0.iter().zip(values).map(|(w, v)| w * v).sum())
    }

    /// 5th and 95th percentile, by straight lines between order statistics; nothing for no draws.
    pub(super) fn band(&self, values: impl Iterator<Item = f64>) -> Option<Band> {
        let mut sorted: Vec<(f64, f64)> = values.zip(self.0.iter().copied()).collect();
        if sorted.is_empty() {
            return None;
        }
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        // Places from 0 to 1; with even weights those of `Band::of`.
        let mut places = vec![0.0];
        for pair in sorted.windows(2) {
            places.push(places[places.len() - 1] + 0.5 * (pair[0].1 + pair[1].1));
        }
        let whole = places[places.len() - 1].max(f64::MIN_POSITIVE);
        let at = |share: f64| {
            let above = places.partition_point(|p| p / whole < share).clamp(1, places.len().max(2) - 1);
            let Some(&(high, _)) = sorted.get(above) else { return sorted[0].0 };
            let (from, to) = (places[above - 1] / whole, places[above] / whole);
            let part = if to > from { ((share - from) / (to - from)).clamp(0.0, 1.0) } else { 0.5 };
            sorted[above - 1].0 + part * (high - sorted[above - 1].0)
        };
        Some(Band { low_s: at(0.05), high_s: at(0.95) })
    }

    /// The weights of some of the draws alone, by their indices.
    pub(super) fn of(&self, draws: &[usize]) -> Self {
        let sum: f64 = draws.iter().map(|i| self.0[*i]).sum();
        if sum > 0.0 { Self(draws.iter().map(|i| self.0[*i] / sum).collect()) } else { Self::even(draws.len()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn even_weights_give_the_ordinary_mean_and_band() {
        let values: Vec<f64> = (0..=100).rev().map(f64::from).collect();
        let even = Weights::even(101);
        let (band, ordinary) = (even.band(values.iter().copied()).expect("draws"), Band::of(values.clone()));
        assert!((band.low_s - ordinary.low_s).abs() < 1e-9 && (band.high_s - ordinary.high_s).abs() < 1e-9, "{band:?}");
        assert!((even.mean(values.into_iter()).expect("draws") - 50.0).abs() < 1e-9);
        assert!((even.effective() - 101.0).abs() < 1e-9);
    }

    /// A normal prior met by a normal kernel has the product of the two as its answer.
    #[test]
    fn nearness_is_a_normal_update() {
        let n = 4001;
        let prior_sd = 0.06;
        let z = |i: usize| {
            statrs::distribution::ContinuousCDF::inverse_cdf(
                &statrs::distribution::Normal::standard(),
                (i as f64 + 0.5) / n as f64,
            )
        };
        let values: Vec<f64> = (0..n).map(|i| prior_sd * z(i)).collect();
        let measured = 0.05;
        let weights = Weights::near(&values.iter().map(|v| v - measured).collect::<Vec<_>>());
        let mean = weights.mean(values.iter().copied()).expect("draws");
        let variance = 1.0 / (1.0 / (prior_sd * prior_sd) + 1.0 / (WIDTH * WIDTH));
        assert!((mean - variance * measured / (WIDTH * WIDTH)).abs() < 1e-4, "{mean}");
        let band = weights.band(values.into_iter()).expect("draws");
        let half = 1.644_853_6 * variance.sqrt();
        assert!((band.low_s - mean + half).abs() < 2e-4 && (band.high_s - mean - half).abs() < 2e-4, "{band:?}");
    }

    #[test]
    fn draws_that_are_all_far_away_still_count() {
        let away: Vec<f64> = (0..200).map(|i| 0.5 + 0.001 * f64::from(i)).collect();
        let weights = Weights::near(&away);
        assert!(weights.effective() >= 25.0, "{}", weights.effective());
        assert!(weights.0[0] > weights.0[199]);
    }

    #[test]
    fn one_draw_is_its_own_band() {
        let band = Weights::even(1).band([3.0].into_iter()).expect("a draw");
        assert_eq!((band.low_s, band.high_s), (3.0, 3.0));
        assert_eq!(Weights::even(0).band(core::iter::empty()), None);
    }
}
