//! A car whose best shift points are known beforehand.
//!
//! Standard vehicle-dynamics texts (T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 2; from memory): with flat
//! torque T wheel force in a gear is T times its ratio, so that a lower gear always pulls harder, up to the limiter. With torque that falls as a straight
//! line, `T(w) = T0 (1 - w/w0)`, and nothing that turns but the road wheels, wheel force in gear i equals that in the next where
//! `i1 (1 - w/w0) = i2 (1 - w (i2/i1)/w0)`, that is `w = w0 / (1 + i2/i1)`.

/// Engine speed, in the lower gear, at which both gears pull alike, as a share of the speed at which torque would be nothing; `step`
/// is the lower gear's ratio over the higher one's.
#[must_use]
pub fn crossing_share(step: f64) -> f64 {
    1.0 / (1.0 + 1.0 / step)
}

/// Wheel force after a change at equal torque over that before it.
#[must_use]
pub fn force_after(step: f64) -> f64 {
    1.0 / step
}
