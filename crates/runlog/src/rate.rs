//! How often rows come.

use serde::Serialize;

/// Sampling of a log or a channel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rate {
    /// Median time between rows, s.
    pub period_s: f64,
    /// One over it, Hz.
    pub hz: f64,
    /// Share of the times between rows that are more than a quarter off the median.
    pub uneven: f64,
}

impl Rate {
    /// From times between rows, s; nothing if there are none.
    #[must_use]
    pub fn of_steps(steps_s: &[f64]) -> Option<Self> {
        let mut sorted: Vec<f64> = steps_s.iter().copied().filter(|s| *s > 0.0 && s.is_finite()).collect();
        if sorted.is_empty() {
            return None;
        }
        sorted.sort_by(f64::total_cmp);
        let period_s = sorted[sorted.len() / 2];
        let off = sorted.iter().filter(|s| (*s / period_s - 1.0).abs() > 0.25).count();
        Some(Self { period_s, hz: 1.0 / period_s, uneven: off as f64 / sorted.len() as f64 })
    }

    /// From rising times, s.
    #[must_use]
    pub fn of_times(times_s: &[f64]) -> Option<Self> {
        Self::of_steps(&times_s.windows(2).map(|w| w[1] - w[0]).collect::<Vec<_>>())
    }
}

/// Middle value of unsorted ones; nothing if there are none.
#[must_use]
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(sorted[n / 2]),
        _ => Some(0.5 * (sorted[n / 2 - 1] + sorted[n / 2])),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_does_not_change_the_rate() {
        let rate = Rate::of_times(&[0.0, 0.1, 0.2, 0.3, 5.3, 5.4]).expect("a rate");
        assert!((rate.hz - 10.0).abs() < 1e-9);
        assert!((rate.uneven - 0.2).abs() < 1e-9);
        assert_eq!(Rate::of_times(&[1.0]), None);
    }
}
