//! A number with how far it could be off.

use serde::Serialize;

/// A number from measurements, with its error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Standard error.
    pub sd: f64,
    /// Lower end of the 95 % interval.
    pub low95: f64,
    /// Upper end of the 95 % interval.
    pub high95: f64,
}

impl Estimate {
    /// From draws of what the number may be: mean, standard deviation and the 2.5 and 97.5 % quantiles. Nothing of fewer
    /// than ten.
    #[must_use]
    pub fn of_draws(draws: &[f64]) -> Option<Self> {
        let n = draws.len();
        if n < 10 || draws.iter().any(|d| !d.is_finite()) {
            return None;
        }
        let value = draws.iter().sum::<f64>() / n as f64;
        let sd = (draws.iter().map(|d| (d - value).powi(2)).sum::<f64>() / (n - 1) as f64).sqrt();
        let mut sorted = draws.to_vec();
        sorted.sort_by(f64::total_cmp);
        Some(Self { value, sd, low95: quantile(&sorted, 0.025), high95: quantile(&sorted, 0.975) })
    }

    /// From a value and a standard error, the interval taken as a normal distribution's.
    #[must_use]
    pub fn normal(value: f64, sd: f64) -> Self {
        Self { value, sd, low95: value - 1.96 * sd, high95: value + 1.96 * sd }
    }

    /// Whether the 95 % interval holds a value.
    #[must_use]
    pub fn covers(&self, truth: f64) -> bool {
        (self.low95..=self.high95).contains(&truth)
    }
}

/// Quantile of rising values, between neighbours by their share.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let at = share * (sorted.len() - 1) as f64;
    let below = at.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (at - below as f64) * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_estimate_of_draws_has_their_mean_spread_and_quantiles() {
        let draws: Vec<f64> = (0..=1000).map(f64::from).collect();
        let estimate = Estimate::of_draws(&draws).expect("an estimate");
        assert_eq!((estimate.value, estimate.low95, estimate.high95), (500.0, 25.0, 975.0));
        assert!((estimate.sd - 289.1).abs() < 0.1);
        assert_eq!(Estimate::of_draws(&[1.0; 5]), None);
    }
}
