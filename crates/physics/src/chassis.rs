//! The body: mass, centre of gravity, load transfer, drag and lift.

use crate::elementary::{larger, smaller};

/// Body and how it sits on its axles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chassis {
    /// Mass of the car with driver and fuel, kg.
    pub mass_kg: f64,
    /// Wheelbase, m.
    pub wheelbase_m: f64,
    /// Height of the centre of gravity over the road, m.
    pub cg_height_m: f64,
    /// Share of weight on the front axle, standing on the level.
    pub front_weight_share: f64,
    /// Drag coefficient times frontal area, m².
    pub drag_area_m2: f64,
    /// Lift coefficient of the front axle times frontal area, m²; downforce is negative.
    pub front_lift_area_m2: f64,
    /// The same of the rear axle, m².
    pub rear_lift_area_m2: f64,
    /// Undamped natural frequency of pitch, Hz.
    pub pitch_frequency_hz: f64,
    /// Damping ratio of pitch.
    pub pitch_damping_ratio: f64,
}

impl Chassis {
    /// Load transfer from front to rear axle that balances `acceleration_mps2` plus the slope's share of gravity, N.
    #[inline]
    #[must_use]
    pub fn steady_transfer_n(&self, acceleration_mps2: f64, gravity_along_mps2: f64) -> f64 {
        self.mass_kg * (acceleration_mps2 + gravity_along_mps2) * self.cg_height_m / self.wheelbase_m
    }

    /// Loads on the front and the rear axle, N, with `transfer_n` moved to the rear, at a dynamic pressure (Pa) and the
    /// cosine of the road's angle. A front axle that would pull on the road carries nothing.
    #[inline]
    #[must_use]
    pub fn axle_loads(&self, transfer_n: f64, dynamic_pressure_pa: f64, cosine: f64) -> (f64, f64) {
        let weight_n = self.mass_kg * crate::road::GRAVITY_MPS2 * cosine;
        let front_lift_n = dynamic_pressure_pa * self.front_lift_area_m2;
        let rear_lift_n = dynamic_pressure_pa * self.rear_lift_area_m2;
        // Lift comes last: it is known later than the rest, and the tyres wait for it.
        let front_n = weight_n * self.front_weight_share - transfer_n - front_lift_n;
        let rear_n = weight_n * (1.0 - self.front_weight_share) + transfer_n - rear_lift_n;
        if front_n >= 0.0 && rear_n >= 0.0 {
            return (front_n, rear_n);
        }
        let total_n = larger(weight_n - front_lift_n - rear_lift_n, 0.0);
        let front_n = smaller(larger(front_n, 0.0), total_n);
        (front_n, total_n - front_n)
    }

    /// Second derivative of the transfer: pitch as one damped oscillator, N/s².
    #[inline]
    #[must_use]
    pub fn transfer_acceleration(&self, transfer_n: f64, rate_n_per_s: f64, steady_n: f64) -> f64 {
        let w = core::f64::consts::TAU * self.pitch_frequency_hz;
        w * (w * (steady_n - transfer_n) - 2.0 * self.pitch_damping_ratio * rate_n_per_s)
    }
}
