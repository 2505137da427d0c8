//! A mass that moves along a straight road.

/// Where a motion has got to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct At {
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Distance, m.
    pub distance_m: f64,
}

/// Constant force against drag `c (v + w)²` with a head wind `w`, from rest:
/// `v + w = v_t tanh(a)`, `x = (m/c) ln(cosh a/cosh a0) - w t`, `a = a0 + F t/(m v_t)`, `a0 = atanh(w/v_t)`, `v_t = √(F/c)`.
///
/// Standard result of mechanics (any text on motion against quadratic drag). For 5000 N, 1500 kg and 0.42 v² in still air it
/// gives 32.3336 m/s and 164.1368 m after 10 s (recomputed).
#[must_use]
pub fn constant_force_against_drag(
    force_n: f64,
    mass_kg: f64,
    drag_ns2_per_m2: f64,
    headwind_mps: f64,
    time_s: f64,
) -> At {
    let terminal_mps = (force_n / drag_ns2_per_m2).sqrt();
    let start = (headwind_mps / terminal_mps).atanh();
    let now = start + force_n * time_s / (mass_kg * terminal_mps);
    At {
        speed_mps: terminal_mps * now.tanh() - headwind_mps,
        distance_m: mass_kg / drag_ns2_per_m2 * (now.cosh() / start.cosh()).ln() - headwind_mps * time_s,
    }
}

/// Coasting from `from_mps` against `F0 + c v²`: `v = v_c tan(a0 - √(F0 c) t/m)`, `v_c = √(F0/c)`, `a0 = atan(v0/v_c)`,
/// `x = (m/c) ln(cos(a)/cos(a0))`. At rest after [`coast_down_time_s`].
///
/// Standard result of mechanics; the form that coast-down tests are reduced with. 1500 kg, 200 N + 0.42 v² from 40 m/s
/// stops after 175.3457 s and 2629.414 m (recomputed).
#[must_use]
pub fn coast_down(from_mps: f64, mass_kg: f64, constant_n: f64, drag_ns2_per_m2: f64, time_s: f64) -> At {
    let scale_mps = (constant_n / drag_ns2_per_m2).sqrt();
    let start = (from_mps / scale_mps).atan();
    let angle = start - (constant_n * drag_ns2_per_m2).sqrt() * time_s / mass_kg;
    At { speed_mps: scale_mps * angle.tan(), distance_m: mass_kg / drag_ns2_per_m2 * (angle.cos() / start.cos()).ln() }
}

/// Time in which [`coast_down`] comes to rest, s.
#[must_use]
pub fn coast_down_time_s(from_mps: f64, mass_kg: f64, constant_n: f64, drag_ns2_per_m2: f64) -> f64 {
    let scale_mps = (constant_n / drag_ns2_per_m2).sqrt();
    mass_kg / (constant_n * drag_ns2_per_m2).sqrt() * (from_mps / scale_mps).atan()
}

/// Constant power from rest without losses over a distance: elapsed time `(9 m L²/8 P)^(1/3)` and final speed
/// `(3 P L/m)^(1/3)`, as `(s, m/s)`.
///
/// G. T. Fox, "On the physics of drag racing", Am. J. Phys. 41 (1973) 311 (from memory). 150 kW, 1500 kg, 402.336 m:
/// 12.2117 s and 49.4201 m/s (recomputed).
#[must_use]
pub fn constant_power(power_w: f64, mass_kg: f64, distance_m: f64) -> (f64, f64) {
    let time_s = (9.0 * mass_kg * distance_m * distance_m / (8.0 * power_w)).cbrt();
    (time_s, (3.0 * power_w * distance_m / mass_kg).cbrt())
}

/// Constant acceleration from rest: time to a distance, s.
#[must_use]
pub fn time_to_distance_s(acceleration_mps2: f64, distance_m: f64) -> f64 {
    (2.0 * distance_m / acceleration_mps2).sqrt()
}

/// Constant power with the force cut off at `most_n`: constant acceleration to `P/F`, cube-root law from there.
/// Time (s) and speed (m/s) at a distance beyond the change.
///
/// As [`constant_power`], whose start is infinitely hard.
#[must_use]
pub fn constant_power_after_force(power_w: f64, most_n: f64, mass_kg: f64, distance_m: f64) -> (f64, f64) {
    let change_mps = power_w / most_n;
    let change_s = mass_kg * change_mps / most_n;
    let change_m = 0.5 * change_mps * change_s;
    let speed_mps = (change_mps.powi(3) + 3.0 * power_w * (distance_m - change_m) / mass_kg).cbrt();
    (change_s + mass_kg * (speed_mps * speed_mps - change_mps * change_mps) / (2.0 * power_w), speed_mps)
}

/// Time from rest to a speed under the force and drag of [`constant_force_against_drag`], s: `t = m v_t/F (atanh((v + w)/v_t) - atanh(w/v_t))`.
///
/// The same law solved for time. It holds while `v + w` is not negative, so for a head wind.
#[must_use]
pub fn time_to_speed_s(force_n: f64, mass_kg: f64, drag_ns2_per_m2: f64, headwind_mps: f64, speed_mps: f64) -> f64 {
    let terminal_mps = (force_n / drag_ns2_per_m2).sqrt();
    let reach = ((speed_mps + headwind_mps) / terminal_mps).atanh() - (headwind_mps / terminal_mps).atanh();
    mass_kg * terminal_mps / force_n * reach
}
