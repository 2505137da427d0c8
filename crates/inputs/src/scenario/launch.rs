//! A launch that suits this car on this surface, for what a scenario leaves open.
//!
//! A plan to start from, not the best one: `bitepoint plan` looks for that.

use bitepoint_physics::road::{GRAVITY_MPS2, Surface};
use bitepoint_physics::vehicle::Vehicle;

/// What a scenario file leaves open of a launch.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenLaunch {
    /// Engine speed held before the start, rad/s.
    pub held_radps: f64,
    /// Engine speed that the driver keeps while the clutch slips, rad/s.
    pub kept_radps: f64,
    /// Time for the pedal from pressed to released, s.
    pub release_s: f64,
    /// Time for the throttle from holding revs to wide open, or to the part throttle, s.
    pub throttle_ease_s: f64,
    /// How long before the bite the throttle begins to open, s.
    pub throttle_lead_s: f64,
    /// Throttle that is held first; 1 is straight to the floor.
    pub part_throttle: f64,
    /// Road speed at which it is left, m/s.
    pub part_until_mps: f64,
    /// Engine speed at which each gear is left, rad/s.
    pub shift_at_radps: Vec<f64>,
    /// Where the values come from, as `check` prints it.
    pub rule: &'static str,
}

/// Force that the driven tyres can pass on at a friction-limited start, N.
///
/// Rigid car on the level: front μ f / (1 + μ h/L), rear μ (1 - f) / (1 - μ h/L), all μ, times weight
/// (T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 2, without the rotating parts).
fn traction_n(vehicle: &Vehicle, surface: &Surface) -> f64 {
    let chassis = &vehicle.chassis;
    let (front, rear) = (chassis.front_weight_share, 1.0 - chassis.front_weight_share);
    let lever = chassis.cg_height_m / chassis.wheelbase_m;
    let weight_n = chassis.mass_kg * GRAVITY_MPS2;
    let mu = |tyre: &bitepoint_physics::tyre::Tyre| tyre.magic_formula.pdx1 * surface.friction_scale;
    let share = match (vehicle.drives_front(), vehicle.drives_rear()) {
        (true, false) => mu(&vehicle.front_tyre) * front / (1.0 + mu(&vehicle.front_tyre) * lever),
        (false, _) => {
            let mu = mu(&vehicle.rear_tyre);
            // All of the weight is on the rear axle when the front wheels lift.
            (mu * rear / (1.0 - mu * lever).max(0.1)).min(mu)
        }
        (true, true) => front * mu(&vehicle.front_tyre) + rear * mu(&vehicle.rear_tyre),
    };
    share * weight_n
}

/// Wheel force at the engine's largest torque in first gear, N.
fn engine_n(vehicle: &Vehicle) -> f64 {
    let (_, torque_nm) = vehicle.engine.full_load_nm.largest(60, |_, torque| torque);
    let radius_m =
        if vehicle.drives_rear() { vehicle.rear_tyre.rolling_radius_m } else { vehicle.front_tyre.rolling_radius_m };
    torque_nm * vehicle.gearbox.overall_ratio(0) * vehicle.gearbox.overall_efficiency(0) / radius_m
}

/// Share of (redline - idle) to hold, per unit of (grip of the driven tyres over first-gear wheel force).
const HELD_PER_GRIP: f64 = 0.35;
/// Least and most of that share.
const HELD_RANGE: (f64, f64) = (0.2, 0.55);
/// Revs kept while the clutch slips, over held revs.
const KEPT_OF_HELD: f64 = 0.8;
/// The least that is kept, over idle.
const KEPT_OVER_IDLE: f64 = 1.6;
/// Release time over the time in which the car would gain the road speed of the held revs.
const RELEASE_PER_MATCH: f64 = 1.1;
/// Time for the throttle to the floor, s: a foot that goes down without hurry.
const EASE_S: f64 = 0.3;

/// A launch by rule of thumb: one to begin a search with.
pub(super) fn suited(vehicle: &Vehicle, surface: &Surface) -> OpenLaunch {
    let engine = &vehicle.engine;
    let (grip_n, pull_n) = (traction_n(vehicle, surface), engine_n(vehicle).max(1.0));
    let span = engine.redline_radps - engine.idle_radps;
    let most = engine.launch_limiter.map_or(engine.redline_radps, |launch| launch.limiter.resume_radps);
    let share = (HELD_PER_GRIP * grip_n / pull_n).clamp(HELD_RANGE.0, HELD_RANGE.1);
    let held_radps = (engine.idle_radps + span * share).min(most);
    let radius_m =
        if vehicle.drives_rear() { vehicle.rear_tyre.rolling_radius_m } else { vehicle.front_tyre.rolling_radius_m };
    // No boost has built when the clutch bites.
    let (_, peak_nm) = engine.full_load_nm.largest(60, |_, torque| torque);
    let at_bite = engine.full_load_at(held_radps, 0.0, 1.0) / peak_nm;
    let acceleration_mps2 = grip_n.min(pull_n * at_bite) / vehicle.chassis.mass_kg;
    let match_s = held_radps / vehicle.gearbox.overall_ratio(0) * radius_m / acceleration_mps2;
    let (_, power_w) = engine.full_load_nm.largest(60, |speed, torque| speed * torque);
    OpenLaunch {
        held_radps,
        kept_radps: (KEPT_OF_HELD * held_radps).max(KEPT_OVER_IDLE * engine.idle_radps).min(held_radps),
        release_s: (RELEASE_PER_MATCH * match_s).clamp(0.4, 2.0),
        throttle_ease_s: EASE_S,
        throttle_lead_s: 0.0,
        part_throttle: 1.0,
        part_until_mps: power_w / grip_n,
        shift_at_radps: vec![engine.redline_radps],
        rule: "rule of thumb; `plan` and `run` choose better",
    }
}
