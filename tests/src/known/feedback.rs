//! A loop with one lag in it: a second-order oscillation.
//!
//! `s² + 2ζω s + ω² = 0`; the formulas stand in every textbook of control, such as K. Ogata, Modern Control Engineering, chapter on
//! second-order systems (from memory).

use core::f64::consts::PI;

/// Two numbers that say how a disturbed loop comes to rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// Damping ratio; under 1 it swings.
    pub damping_ratio: f64,
    /// Frequency without damping, rad/s.
    pub natural_radps: f64,
}

impl Swing {
    /// Of a quantity whose rate is `-gain` times its own value as it was felt, with a first-order lag: `lag s² + s + gain = 0`.
    #[must_use]
    pub fn of_felt(gain_per_s: f64, lag_s: f64) -> Self {
        Self { damping_ratio: 0.5 / (gain_per_s * lag_s).sqrt(), natural_radps: (gain_per_s / lag_s).sqrt() }
    }

    fn of_damped(&self) -> f64 {
        (1.0 - self.damping_ratio * self.damping_ratio).sqrt()
    }

    /// Time from one extreme to the next, on the other side, s.
    #[must_use]
    pub fn half_swing_s(&self) -> f64 {
        PI / (self.natural_radps * self.of_damped())
    }

    /// Size of an extreme over that of the one before.
    #[must_use]
    pub fn half_swing_ratio(&self) -> f64 {
        (-PI * self.damping_ratio / self.of_damped()).exp()
    }
}

/// Extremes (time and value) of a series of points at even times, each at the top of a parabola through three of them.
#[must_use]
pub fn extremes(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let turn = |w: &[(f64, f64)]| {
        let (before, after) = (w[1].1 - w[0].1, w[2].1 - w[1].1);
        (before * after < 0.0).then(|| {
            let steps = 0.5 * (before + after) / (before - after);
            (w[1].0 + steps * (w[2].0 - w[1].0), w[1].1 + 0.25 * steps * (before + after))
        })
    };
    points.windows(3).filter_map(turn).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_swing_is_read_from_its_points() {
        let swing = Swing { damping_ratio: 0.3, natural_radps: 9.0 };
        let damped_radps = 9.0 * (1.0_f64 - 0.09).sqrt();
        let at = |t: f64| (-0.3 * 9.0 * t).exp() * (damped_radps * t).cos();
        let points: Vec<_> = (0..2000).map(|i| 1e-3 * f64::from(i)).map(|t| (t, at(t))).collect();
        let found = extremes(&points);
        assert!(found.len() > 4);
        for pair in found.windows(2) {
            assert!((pair[1].0 - pair[0].0 - swing.half_swing_s()).abs() < 1e-5);
            assert!((pair[1].1 / pair[0].1 + swing.half_swing_ratio()).abs() < 1e-5);
        }
    }
}
