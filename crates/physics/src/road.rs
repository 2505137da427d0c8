//! The road: its slope along the path, and what its surface does to a tyre.

use crate::curve::Curve;

/// Standard acceleration of free fall, m/s² (ISO 80000-3).
pub const GRAVITY_MPS2: f64 = 9.80665;

/// Slope along the path.
#[derive(Debug, Clone, PartialEq)]
pub enum Slope {
    /// Rise over horizontal run, the same everywhere; 0.02 is 2 % uphill.
    Constant {
        /// Rise over run, uphill positive.
        rise_per_run: f64,
    },
    /// Height over distance along the road, m over m.
    Profile {
        /// Height in m against distance along the road in m.
        height_m: Curve,
        /// Where on the profile the car starts, m.
        start_m: f64,
    },
}

impl Slope {
    /// Sine of the road's angle at `distance_m` from the start.
    #[inline]
    #[must_use]
    pub fn sine(&self, distance_m: f64) -> f64 {
        match self {
            Self::Constant { rise_per_run } => rise_per_run / (1.0 + rise_per_run * rise_per_run).sqrt(),
            Self::Profile { height_m, start_m } => height_m.value_and_slope(start_m + distance_m).1,
        }
    }

    /// How far from `distance_m` the road may be followed in one step, so that no piece of a profile is passed over unseen, m.
    #[inline]
    #[must_use]
    pub(crate) fn reach_m(&self, distance_m: f64) -> f64 {
        match self {
            Self::Constant { .. } => f64::INFINITY,
            Self::Profile { height_m, start_m } => height_m.reach(start_m + distance_m),
        }
    }

    /// Height gained since the start, m.
    #[must_use]
    pub fn height_gain_m(&self, distance_m: f64) -> f64 {
        match self {
            Self::Constant { .. } => self.sine(0.0) * distance_m,
            Self::Profile { height_m, start_m } => height_m.value(start_m + distance_m) - height_m.value(*start_m),
        }
    }
}

/// What the surface does to a tyre, as factors on what the tyre has on a dry road.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// Factor on the tyre's friction.
    pub friction_scale: f64,
    /// Factor on its slip stiffness.
    pub slip_stiffness_scale: f64,
    /// Factor on its rolling resistance.
    pub rolling_resistance_scale: f64,
    /// Friction under the right-hand wheels over that under the left-hand ones; 1 where they are alike.
    pub right_to_left_friction: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percent_is_rise_over_run_not_sine() {
        let steep = Slope::Constant { rise_per_run: 1.0 };
        assert!((steep.sine(0.0) - core::f64::consts::FRAC_1_SQRT_2).abs() < 1e-15);
        assert!((steep.height_gain_m(10.0) - 7.071_067_811_865_475).abs() < 1e-12);
    }

    #[test]
    fn a_profile_is_entered_where_the_car_starts() {
        let height_m = Curve::new(&[(0.0, 5.0), (100.0, 5.0), (200.0, 3.0), (300.0, 1.0)]).expect("valid points");
        let slope = Slope::Profile { height_m, start_m: 200.0 };
        assert!((slope.height_gain_m(100.0) + 2.0).abs() < 1e-12);
        assert!(slope.sine(50.0) < 0.0);
    }
}
