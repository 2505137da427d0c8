//! How hard a car pulls in each gear, and where the next gear pulls as hard.
//!
//! Wheel force at full load, less what the turning parts of that gear take and what holds the car back, over the car's mass:
//! `a = (T·i·η/r - R) / (m + J/r²)` with the inertias of wheels, axle and, times `i²·η`, engine and gearbox. In each gear the best change is at
//! the road speed where the next gear's acceleration is no less; where it is less all the way to the limiter, the limiter decides. Standard
//! vehicle-dynamics texts (T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 2; from memory).
//!
//! **Not covered:** a shift takes time, in which the car slows; the engine gives back some of what it took to turn when the clutch
//! drags it down; boost, which is taken as built; tyres that spin. A sweep of runs has all of these.

use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use serde::Serialize;

/// The pull in one gear at one engine speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Pull {
    /// Engine speed, rad/s.
    pub engine_radps: f64,
    /// Road speed, m/s.
    pub speed_mps: f64,
    /// Acceleration, m/s².
    pub acceleration_mps2: f64,
}

/// Where a gear is best left, by its pull and the next one's alone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Crossing {
    /// The gear that is left, 1 for first.
    pub from_gear: u8,
    /// Engine speed in this gear from which the next pulls as hard or harder, rad/s; nothing if there is none before the limiter.
    pub crossing_radps: Option<f64>,
    /// Engine speed at which fuel is cut, rad/s.
    pub limiter_radps: f64,
    /// Acceleration in the next gear over that in this one, at the limiter.
    pub next_over_this_at_limiter: f64,
}

/// Engine speeds that are looked at between 1.2 times idle and the limiter.
const SPEEDS: usize = 240;

/// A car on a day, for its pull.
struct Puller<'a> {
    vehicle: &'a Vehicle,
    scenario: &'a Scenario,
    air_factor: f64,
    radius_m: f64,
    /// What does not depend on the gear: car, wheels, axle, kg.
    mass_kg: f64,
}

impl<'a> Puller<'a> {
    fn new(vehicle: &'a Vehicle, scenario: &'a Scenario) -> Self {
        let driven = if vehicle.drives_rear() { &vehicle.rear_tyre } else { &vehicle.front_tyre };
        let radius_m = driven.rolling_radius_m;
        let as_mass = |inertia_kgm2: f64, radius_m: f64| inertia_kgm2 / (radius_m * radius_m);
        let wheels = [&vehicle.front_tyre, &vehicle.rear_tyre]
            .map(|tyre| 2.0 * as_mass(tyre.wheel_inertia_kgm2, tyre.rolling_radius_m));
        Self {
            vehicle,
            scenario,
            air_factor: vehicle.engine.rated_to.torque_factor(&scenario.air, vehicle.engine.air_correction_share),
            radius_m,
            mass_kg: vehicle.chassis.mass_kg
                + wheels.iter().sum::<f64>()
                + as_mass(vehicle.gearbox.final_drive.inertia_kgm2, radius_m),
        }
    }

    fn pull(&self, gear: usize, engine_radps: f64) -> Pull {
        let gearbox = &self.vehicle.gearbox;
        let (ratio, efficiency) = (gearbox.overall_ratio(gear), gearbox.overall_efficiency(gear));
        let speed_mps = engine_radps / ratio * self.radius_m;
        let torque_nm = self.vehicle.engine.full_load_at(engine_radps, 1.0, self.air_factor);
        let turning = self.vehicle.engine.inertia_kgm2 + gearbox.input_inertia_kgm2 + gearbox.gears[gear].inertia_kgm2;
        let leverage = ratio / self.radius_m;
        let force_n = torque_nm * leverage * efficiency - self.resistance_n(speed_mps);
        Pull {
            engine_radps,
            speed_mps,
            acceleration_mps2: force_n / (self.mass_kg + turning * leverage * leverage * efficiency),
        }
    }

    /// Drag, rolling resistance (on the weight, without load transfer) and the slope at the start, N.
    fn resistance_n(&self, speed_mps: f64) -> f64 {
        let (vehicle, scenario) = (self.vehicle, self.scenario);
        let wind_mps = speed_mps + scenario.headwind_mps;
        let aero_n = 0.5 * scenario.air.density_kg_per_m3() * vehicle.chassis.drag_area_m2 * wind_mps * wind_mps.abs();
        let sine = scenario.slope.sine(0.0);
        let weight_n = vehicle.chassis.mass_kg * GRAVITY_MPS2;
        let front = vehicle.chassis.front_weight_share;
        let rolling = front * vehicle.front_tyre.rolling_coefficient(speed_mps)
            + (1.0 - front) * vehicle.rear_tyre.rolling_coefficient(speed_mps);
        aero_n + weight_n * (sine + (1.0 - sine * sine).sqrt() * rolling * scenario.surface.rolling_resistance_scale)
    }

    /// The next gear's pull less this one's at the same road speed, m/s².
    fn gain_mps2(&self, gear: usize, engine_radps: f64) -> f64 {
        let gearbox = &self.vehicle.gearbox;
        let after = engine_radps * gearbox.overall_ratio(gear + 1) / gearbox.overall_ratio(gear);
        self.pull(gear + 1, after).acceleration_mps2 - self.pull(gear, engine_radps).acceleration_mps2
    }

    fn speeds(&self) -> impl DoubleEndedIterator<Item = f64> + use<> {
        let (from, to) = (1.2 * self.vehicle.engine.idle_radps, self.vehicle.engine.limiter.cut_radps);
        (0..=SPEEDS).map(move |i| from + (to - from) * i as f64 / SPEEDS as f64)
    }
}

/// The pull in every gear, first gear first, from 1.2 times idle to the limiter.
#[must_use]
pub fn pulls(vehicle: &Vehicle, scenario: &Scenario) -> Vec<Vec<Pull>> {
    let puller = Puller::new(vehicle, scenario);
    (0..vehicle.gearbox.gears.len())
        .map(|gear| puller.speeds().map(|speed| puller.pull(gear, speed)).collect())
        .collect()
}

/// Where each gear but the last is best left, first gear first.
#[must_use]
pub fn crossings(vehicle: &Vehicle, scenario: &Scenario) -> Vec<Crossing> {
    let puller = Puller::new(vehicle, scenario);
    let limiter_radps = vehicle.engine.limiter.cut_radps;
    let gearbox = &vehicle.gearbox;
    (0..gearbox.gears.len().saturating_sub(1))
        .map(|gear| {
            let after = limiter_radps * gearbox.overall_ratio(gear + 1) / gearbox.overall_ratio(gear);
            Crossing {
                from_gear: gear as u8 + 1,
                crossing_radps: crossing(&puller, gear),
                limiter_radps,
                next_over_this_at_limiter: puller.pull(gear + 1, after).acceleration_mps2
                    / puller.pull(gear, limiter_radps).acceleration_mps2,
            }
        })
        .collect()
}

/// From the limiter down to the first speed at which this gear pulls harder, and between them by bisection.
fn crossing(puller: &Puller<'_>, gear: usize) -> Option<f64> {
    let mut speeds = puller.speeds().rev();
    let mut above = speeds.next().filter(|limiter| puller.gain_mps2(gear, *limiter) >= 0.0)?;
    for speed in speeds {
        if puller.gain_mps2(gear, speed) >= 0.0 {
            above = speed;
            continue;
        }
        let (mut low, mut high) = (speed, above);
        // Halved until the interval is far under any tachometer's resolution.
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if puller.gain_mps2(gear, middle) >= 0.0 { high = middle } else { low = middle }
        }
        return Some(high);
    }
    Some(above)
}
