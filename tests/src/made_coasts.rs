//! Logs of coast-downs whose truth is known.

use std::fmt::Write;

use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

use crate::known::coast_down::speed_mps;

/// Road load by which a car rolls out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RollsOut {
    /// Constant part, N.
    pub f0_n: f64,
    /// Part with the square of the speed, N·s²/m².
    pub f2_ns2_per_m2: f64,
    /// Effective mass, kg.
    pub mass_kg: f64,
    /// Mass that the slope pulls, kg.
    pub weight_kg: f64,
}

/// What a car meets in neutral, worked out here apart from the code under test.
#[must_use]
pub fn rolls_out(car: &Vehicle, day: &Scenario) -> RollsOut {
    let chassis = &car.chassis;
    let weight_n = chassis.mass_kg * GRAVITY_MPS2;
    let density = day.air.density_kg_per_m3();
    let (front, rear) = (&car.front_tyre, &car.rear_tyre);
    let front_n = weight_n * chassis.front_weight_share;
    let scale = day.surface.rolling_resistance_scale;
    let lift = 0.5
        * density
        * (front.rolling_constant * chassis.front_lift_area_m2 + rear.rolling_constant * chassis.rear_lift_area_m2);
    let wheel =
        |t: &bitepoint_physics::tyre::Tyre| 2.0 * t.wheel_inertia_kgm2 / (t.rolling_radius_m * t.rolling_radius_m);
    let driven = if car.drives_rear() { rear } else { front };
    RollsOut {
        f0_n: scale * (front.rolling_constant * front_n + rear.rolling_constant * (weight_n - front_n)),
        f2_ns2_per_m2: 0.5 * density * chassis.drag_area_m2
            + scale
                * (front.rolling_quadratic_s2_per_m2 * front_n
                    + rear.rolling_quadratic_s2_per_m2 * (weight_n - front_n)
                    - lift),
        mass_kg: chassis.mass_kg
            + wheel(front)
            + wheel(rear)
            + car.gearbox.final_drive.inertia_kgm2 / (driven.rolling_radius_m * driven.rolling_radius_m),
        weight_kg: chassis.mass_kg,
    }
}

/// A log of so many coast-downs from 32 to some 7 m/s, there and back in turn on a slope, each after a stretch of holding speed
/// and followed by braking; the engine idles.
#[must_use]
pub fn made_coasts(load: &RollsOut, count: usize, slope: f64, hz: f64, noise_mps: f64, rng: &mut Pcg64Mcg) -> String {
    let mut csv = "time (s),speed (m/s),engine speed (rpm)\n".to_owned();
    let mut clock_s = 0.0;
    for i in 0..count {
        let way = if i % 2 == 0 { 1.0 } else { -1.0 };
        let f0_n = load.f0_n + way * slope * load.weight_kg * GRAVITY_MPS2;
        let (hold_s, start_mps, end_mps) = (8.0, 32.0, 7.0);
        let mut t = 0.0;
        let mut braking_from = None;
        loop {
            let v = if t < hold_s {
                start_mps
            } else {
                let rolling = speed_mps(start_mps, t - hold_s, f0_n, load.f2_ns2_per_m2, load.mass_kg);
                if rolling < end_mps && braking_from.is_none() {
                    braking_from = Some(t);
                }
                braking_from.map_or(rolling, |from: f64| (end_mps - 4.0 * (t - from)).max(0.0))
            };
            if braking_from.is_some_and(|from| t > from + 4.0) {
                break;
            }
            let noise: f64 = noise_mps * Distribution::<f64>::sample(&StandardNormal, rng);
            let rpm = if t < hold_s { 2400.0 } else { 800.0 };
            writeln!(csv, "{:.3},{:.4},{rpm:.0}", clock_s + t, (v + noise).max(0.0)).expect("a string takes all");
            t += 1.0 / hz;
        }
        clock_s += t;
    }
    csv
}
