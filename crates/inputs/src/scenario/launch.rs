//! A launch that suits this car on this surface, for what a scenario leaves open.
//!
//! A plan to start from, not the best one: `bitepoint plan` looks for that.

use bitepoint_physics::road::{GRAVITY_MPS2, Surface};
use bitepoint_physics::vehicle::Vehicle;

use crate::key::rpm;

/// What of a launch depends on car and surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Suited {
    pub(super) held_radps: f64,
    pub(super) release_s: f64,
    pub(super) throttle_ease_s: f64,
    /// Where a part throttle would end, if one were held.
    pub(super) part_until_mps: f64,
    pub(super) floor_lead_s: f64,
    pub(super) redline_radps: f64,
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
const HELD_RANGE: (f64, f64) = (0.18, 0.60);
/// Release time over the time in which the car would gain the road speed of the held revs.
const RELEASE_PER_MATCH: f64 = 1.1;
/// Throttle ease of a car that grips as hard as it pulls, s.
const QUICKEST_EASE_S: f64 = 0.2;
/// Further ease, as a share of the time to the speed at which peak power no longer overcomes the tyres.
const EASE_PER_SPIN: f64 = 0.1;

pub(super) fn suited(vehicle: &Vehicle, surface: &Surface) -> Suited {
    let engine = &vehicle.engine;
    // The sheet's redline is not a value of the car; its limiter is.
    let redline_radps = (engine.limiter.cut_radps - rpm(150.0)).max(1.2 * engine.idle_radps);
    let (grip_n, pull_n) = (traction_n(vehicle, surface), engine_n(vehicle).max(1.0));
    let ratio = grip_n / pull_n;
    let span = redline_radps - engine.idle_radps;
    let mut held_radps = engine.idle_radps + span * (HELD_PER_GRIP * ratio).clamp(HELD_RANGE.0, HELD_RANGE.1);
    if let Some(launch) = &engine.launch_limiter {
        held_radps = held_radps.min(launch.limiter.resume_radps);
    }
    // Against a launch limiter the throttle can be opened early, so that boost is there when the pedal moves.
    let floor_lead_s = if engine.boost.is_some() && engine.launch_limiter.is_some() { 0.5 } else { 0.0 };
    let radius_m =
        if vehicle.drives_rear() { vehicle.rear_tyre.rolling_radius_m } else { vehicle.front_tyre.rolling_radius_m };
    // No boost has built when the clutch bites.
    let (_, peak_nm) = engine.full_load_nm.largest(60, |_, torque| torque);
    let at_bite = engine.full_load_at(held_radps, 0.0, 1.0) / peak_nm;
    let acceleration_mps2 = grip_n.min(pull_n * at_bite) / vehicle.chassis.mass_kg;
    let match_s = held_radps / vehicle.gearbox.overall_ratio(0) * radius_m / acceleration_mps2;
    let (_, power_w) = engine.full_load_nm.largest(60, |speed, torque| speed * torque);
    let spins_s = power_w / grip_n / acceleration_mps2;
    Suited {
        held_radps,
        release_s: (RELEASE_PER_MATCH * match_s).clamp(0.4, 4.0),
        throttle_ease_s: (QUICKEST_EASE_S + EASE_PER_SPIN * (1.0 - ratio).max(0.0) * spins_s).min(3.0),
        part_until_mps: power_w / grip_n,
        floor_lead_s,
        redline_radps,
    }
}
