//! What measured starts are compared with: the recommended launch of the car on that day.

use bitepoint_physics::driver::Driver;
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{RunError, Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::foot::WIDE;
use super::trace::Trace;
use crate::launch::Launch;
use crate::target::Target;

/// An engine is in its useful range where it gives this share of its largest full-load torque: the model's own limit of a bog.
const USEFUL_TORQUE_SHARE: f64 = 0.75;
/// Time between samples of its run, s.
const SAMPLE_S: f64 = 0.01;

/// The recommended launch with its run.
#[derive(Debug, Clone, PartialEq)]
pub struct Yardstick {
    /// The car.
    pub vehicle: Vehicle,
    /// The day, driven with the recommended launch and ended at the target.
    pub scenario: Scenario,
    /// What is to be reached.
    pub target: Target,
    /// The launch.
    pub launch: Launch,
    /// Its run.
    pub run: Run,
    /// The run, instant by instant.
    pub samples: Vec<Sample>,
    /// Its time to the target, s.
    pub time_s: f64,
    /// What a log of it would show.
    pub(crate) seen: Seen,
}

/// What a log shows of a launch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seen {
    /// Engine speed held before the pedal moves, rad/s.
    pub held_radps: Option<f64>,
    /// Mean engine speed until the clutch is fully engaged, rad/s.
    pub kept_radps: Option<f64>,
    /// Time of most of the pedal's way up, s.
    pub pedal_up_s: Option<f64>,
    /// Mean time of a shift with the pedal down, s.
    pub shift_s: Option<f64>,
}

impl Yardstick {
    /// Runs a launch to a target; nothing if it does not get there.
    ///
    /// # Errors
    /// A run that cannot be computed.
    pub fn new(
        vehicle: &Vehicle,
        scenario: &Scenario,
        target: Target,
        launch: &Launch,
    ) -> Result<Option<Self>, RunError> {
        let driver: Driver = launch.by(&scenario.driver);
        let scenario = Scenario { driver, ..target.ending(scenario) };
        let (run, samples) = simulate_sampled(vehicle, &scenario, &Tolerances::default(), SAMPLE_S)?;
        let time_s = target.time_s(&run);
        let trace = Trace::of_samples(&samples);
        let seen = Seen {
            held_radps: trace.held_radps(),
            kept_radps: trace.kept_radps(first_ratio(vehicle)),
            pedal_up_s: trace.pedal_up_s(),
            // A shift that the target interrupts is not over.
            shift_s: trace.shift_s(samples.last().map_or(0.0, |s| s.time_s)),
        };
        let (vehicle, launch) = (vehicle.clone(), launch.clone());
        Ok(time_s.map(|time_s| Self { vehicle, scenario, target, launch, run, samples, time_s, seen }))
    }

    /// Lowest speed of the engine's useful range, rad/s.
    pub(crate) fn useful_from_radps(&self) -> f64 {
        let engine = &self.vehicle.engine;
        let (_, most_nm) = engine.full_load_nm.largest(200, |_, torque| torque);
        let cut = engine.limiter.cut_radps;
        let speeds = (0..400).map(|i| engine.idle_radps + (cut - engine.idle_radps) * f64::from(i) / 400.0);
        speeds.into_iter().find(|w| engine.full_load_nm.value(*w) >= USEFUL_TORQUE_SHARE * most_nm).unwrap_or(cut)
    }

    /// When the recommended launch has its throttle wide open, s from first movement; nothing if it holds a part throttle to the gate.
    #[must_use]
    pub fn wide_open_s(&self) -> Option<f64> {
        self.samples.iter().find(|s| s.throttle >= WIDE).map(|s| s.time_s)
    }

    /// Engine speed at which it leaves a gear (1 for first), rad/s; the limiter's where it stays in it up to the target.
    pub(crate) fn shift_radps(&self, from_gear: u8) -> f64 {
        let shift = self.run.shifts.iter().find(|s| s.from_gear == from_gear);
        shift.map_or(self.vehicle.engine.limiter.cut_radps, |s| s.engine_radps)
    }

    /// Whether it is ever in a gear (1 for first): in one that it never reaches nothing tells when to leave it.
    pub(crate) fn reaches(&self, gear: u8) -> bool {
        usize::from(gear) <= self.run.shifts.len() + 1
    }

    /// What the driven tyres' friction is divided by where they slide over the road, m/s.
    pub(crate) fn fall(&self, sliding_mps: f64) -> f64 {
        let tyre = if self.vehicle.drives_front() { &self.vehicle.front_tyre } else { &self.vehicle.rear_tyre };
        1.0 + tyre.magic_formula.sliding_fall_s_per_m * sliding_mps.abs()
    }

    /// Furthest that the recommended launch has its driven tyres ahead of the road near a road speed, m/s.
    pub(crate) fn ahead_mps(&self, speed_mps: f64) -> f64 {
        const NEAR_MPS: f64 = 1.0;
        let near = self.samples.iter().filter(|s| (s.speed_mps - speed_mps).abs() < NEAR_MPS);
        near.map(|s| s.tread_mps - s.speed_mps).fold(0.0, f64::max)
    }

    /// Throttle of the recommended launch at a road speed outside of shifts, 0 to 1.
    pub(crate) fn throttle_at(&self, speed_mps: f64) -> f64 {
        const NEAR_MPS: f64 = 1.5;
        let near = self.samples.iter().filter(|s| s.time_s > 0.0 && (s.speed_mps - speed_mps).abs() < NEAR_MPS);
        near.map(|s| s.throttle).fold(f64::INFINITY, f64::min).min(1.0)
    }

    /// When the recommended launch first has a share of its widest throttle, s from first movement.
    pub(crate) fn throttle_reaches_s(&self, share: f64) -> Option<f64> {
        let widest = self.samples.iter().map(|s| s.throttle).fold(0.0, f64::max);
        self.samples.iter().find(|s| s.throttle >= share * widest).map(|s| s.time_s)
    }

    /// Engine speed over road speed in first gear without slip, rad/m.
    pub(crate) fn first_ratio(&self) -> f64 {
        first_ratio(&self.vehicle)
    }

    /// What a shift of this gearbox takes until its clutch holds, s.
    pub(crate) fn shift_s(&self) -> f64 {
        let timing = &self.vehicle.gearbox.shift;
        let made = self.run.shifts.iter().filter_map(|s| s.duration_s).fold(0.0, f64::max);
        made.max(timing.clutch_out_s + timing.change_s + timing.clutch_in_s)
    }

    /// Time for which the pedal is down in a shift of this gearbox, s: the mean of its shifts, or by its timing without any.
    pub(super) fn pedal_down_s(&self) -> f64 {
        let timing = &self.vehicle.gearbox.shift;
        self.seen.shift_s.unwrap_or(timing.clutch_out_s + timing.change_s + timing.clutch_in_s)
    }

    /// Acceleration that the engine's largest torque gives in a gear (0 is first) with a clutch that holds, m/s².
    pub(crate) fn full_pull_mps2(&self, gear: usize) -> f64 {
        let gearbox = &self.vehicle.gearbox;
        let gear = gear.min(gearbox.gears.len() - 1);
        let tyre = if self.vehicle.drives_front() { &self.vehicle.front_tyre } else { &self.vehicle.rear_tyre };
        let (_, most_nm) = self.vehicle.engine.full_load_nm.largest(200, |_, torque| torque);
        let leverage = gearbox.overall_ratio(gear) * gearbox.overall_efficiency(gear) / tyre.rolling_radius_m;
        most_nm * leverage / self.vehicle.chassis.mass_kg
    }

    /// Torque that a whole clutch carries over the engine's largest.
    pub(crate) fn clutch_reserve(&self) -> f64 {
        self.vehicle.clutch.full_capacity_nm() / self.vehicle.engine.full_load_nm.largest(200, |_, torque| torque).1
    }

    /// Acceleration that the driven tyres could give at a speed, m/s², by its run.
    pub(crate) fn grip_mps2(&self, speed_mps: f64) -> f64 {
        let k = self.samples.partition_point(|s| s.speed_mps < speed_mps).min(self.samples.len() - 1);
        self.samples[k].traction_ceiling_n / self.vehicle.chassis.mass_kg
    }
}

fn first_ratio(vehicle: &Vehicle) -> f64 {
    bitepoint_runlog::gears::known_ratios(vehicle).first().copied().unwrap_or(1.0)
}
