//! A car with the launch that is recommended for it.

use bitepoint_physics::run::{Run, Story};
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use serde::Serialize;

use crate::bands::Band;
use crate::launch::Launch;
use crate::target::Target;

/// How a car does with the launch that is recommended for it.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Car {
    /// That launch.
    pub launch: Launch,
    /// Time to the target with every value as expected, s.
    pub time_s: f64,
    /// Mean of its time over the draws that arrived, s; nothing if less than half of them did.
    pub mean_s: Option<f64>,
    /// Its spread over the draws, 5th to 95th percentile; nothing if less than half of them arrived.
    pub likely: Option<Band>,
    /// Draws that did not get to the target.
    pub not_arrived: u32,
    /// How the start goes, in one word.
    pub story: Story,
    /// Whether the driver keeps the revs with the pedal while the clutch slips.
    pub keeps_revs: bool,
    /// When the clutch was fully engaged, s from first movement; nothing if it never was.
    pub engaged_s: Option<f64>,
    /// Road speed then, m/s.
    pub engaged_mps: Option<f64>,
    /// Time for which the driver held back some of the throttle for wheelspin, s.
    pub trimmed_s: f64,
    /// Road speed at the target, m/s.
    pub final_mps: f64,
    /// Road speed at each shift before the target, m/s.
    pub shifts_mps: Vec<f64>,
    /// Heat made in the clutch, J.
    pub clutch_energy_j: f64,
    /// Highest temperature of the clutch face, °C.
    pub clutch_face_c: f64,
    /// Face temperature from which this clutch fades, °C.
    pub clutch_fade_start_c: f64,
    /// Face temperature of lasting harm to it, °C.
    pub clutch_harm_c: f64,
    /// Largest torque of all half-shafts together, N·m.
    pub shaft_torque_nm: f64,
}

/// A car and a day of which every value is as expected.
#[derive(Debug, Clone)]
pub(super) struct Expected {
    pub(super) vehicle: Vehicle,
    pub(super) scenario: Scenario,
}

impl Expected {
    /// Run of a launch to the target; nothing if it does not get there.
    pub(super) fn run(&self, launch: &Launch, target: Target) -> Option<(Run, f64)> {
        time_of(&self.vehicle, &self.scenario, launch, target)
    }

    /// The car with a launch; nothing if it does not get to the target with it.
    pub(super) fn with_launch(&self, launch: &Launch, target: Target) -> Option<Car> {
        let (run, time_s) = self.run(launch, target)?;
        Some(self.car(launch, &run, time_s))
    }

    fn car(&self, launch: &Launch, run: &Run, time_s: f64) -> Car {
        Car {
            launch: launch.clone(),
            time_s,
            mean_s: None,
            likely: None,
            not_arrived: 0,
            story: run.launch.story,
            keeps_revs: self.scenario.driver.clutch_feel.is_some(),
            engaged_s: run.launch.clutch_home_s,
            engaged_mps: run.launch.clutch_home_mps,
            trimmed_s: run.launch.trimmed_s,
            final_mps: run.final_speed_mps,
            shifts_mps: run.shifts.iter().map(|shift| shift.speed_mps).collect(),
            clutch_energy_j: run.peaks.clutch_energy_j,
            clutch_face_c: run.peaks.clutch_face_c,
            clutch_fade_start_c: self.vehicle.clutch.fade_start_c,
            clutch_harm_c: self.vehicle.clutch.harm_c,
            shaft_torque_nm: run.peaks.shaft_torque_nm,
        }
    }
}

/// Run of a launch to the target and its time, s; nothing if it does not get there or cannot be computed.
pub(super) fn time_of(vehicle: &Vehicle, scenario: &Scenario, launch: &Launch, target: Target) -> Option<(Run, f64)> {
    let mut driven = target.ending(scenario);
    driven.driver = launch.by(&driven.driver);
    let run = simulate(vehicle, &driven, &Tolerances::default()).ok()?;
    let time_s = target.time_s(&run)?;
    Some((run, time_s))
}
