//! Two inertias and a friction clutch between them.

/// How a clutch of constant capacity brings two inertias to one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LockUp {
    /// Time that it takes, s.
    pub time_s: f64,
    /// Common speed, rad/s.
    pub speed_radps: f64,
    /// Heat made in the clutch, J.
    pub heat_j: f64,
}

/// Engine of inertia `engine_kgm2` at `start_radps` with constant torque `engine_nm`, load of inertia `load_kgm2` at
/// rest, capacity `capacity_nm`.
///
/// `t = ω0/((Tc - Te)/J1 + Tc/J2)`, heat `½ Tc ω0 t`: J. E. Shigley, Mechanical Engineering Design, chapter on
/// clutches (formula from memory). 300 N·m, 0.25 kg·m² at 400 rad/s, 2.0 kg·m²: 0.296296 s, 44.4444 rad/s, 17777.8 J; with
/// 250 N·m from the engine 1.142857 s, 171.4286 rad/s, 68571.4 J (recomputed).
#[must_use]
pub fn lock_up(engine_kgm2: f64, start_radps: f64, engine_nm: f64, load_kgm2: f64, capacity_nm: f64) -> LockUp {
    let closing_radps2 = (capacity_nm - engine_nm) / engine_kgm2 + capacity_nm / load_kgm2;
    let time_s = start_radps / closing_radps2;
    LockUp { time_s, speed_radps: capacity_nm / load_kgm2 * time_s, heat_j: 0.5 * capacity_nm * start_radps * time_s }
}

/// Speed that a dropped clutch leaves: `J1 ω0/(J1 + J2)`, momentum shared, rad/s. Conservation of angular momentum.
#[must_use]
pub fn bog_radps(engine_kgm2: f64, start_radps: f64, load_kgm2: f64) -> f64 {
    engine_kgm2 * start_radps / (engine_kgm2 + load_kgm2)
}
