//! The launch and shift points that give the shortest time.

use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;

use crate::launch::Launch;
use crate::target::Target;

/// What no start may exceed; nothing is no limit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Temperature of the clutch face, °C.
    pub clutch_face_c: Option<f64>,
    /// Heat made in the clutch over the run, J.
    pub clutch_energy_j: Option<f64>,
    /// Torque of all half-shafts together, N·m.
    pub shaft_torque_nm: Option<f64>,
    /// Slip speed (tread over road) of a driven tyre, m/s.
    pub slip_mps: Option<f64>,
}

/// A launch, its run to the target and its time.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// The launch.
    pub launch: Launch,
    /// Its run, ended at the target.
    pub run: Run,
    /// Its time to the target, s.
    pub time_s: f64,
}

impl Limits {
    /// Whether a run keeps them.
    #[must_use]
    pub fn kept_by(&self, run: &Run) -> bool {
        let within = |limit: Option<f64>, value: f64| limit.is_none_or(|limit| value <= limit);
        within(self.clutch_face_c, run.peaks.clutch_face_c)
            && within(self.clutch_energy_j, run.peaks.clutch_energy_j)
            && within(self.shaft_torque_nm, run.peaks.shaft_torque_nm)
            && within(self.slip_mps, run.launch.largest_slip_mps)
    }
}

const HELD_SHARES: [f64; 8] = [0.05, 0.12, 0.2, 0.3, 0.42, 0.55, 0.7, 0.85];
const RELEASES_S: [f64; 6] = [0.25, 0.5, 0.9, 1.4, 2.0, 3.0];
const EASES_S: [f64; 3] = [0.1, 0.6, 1.6];

/// The launch with the shortest time to the target among those that keep the limits; nothing if no launch gets there.
#[must_use]
pub fn best_launch(vehicle: &Vehicle, scenario: &Scenario, target: Target, limits: &Limits) -> Option<Best> {
    let scenario = target.ending(scenario);
    let start = Launch::of(&scenario.driver);
    let (idle, cut) = (vehicle.engine.idle_radps, vehicle.engine.limiter.cut_radps);
    let mut launches = vec![start.clone()];
    for held in HELD_SHARES {
        for release_s in RELEASES_S {
            for throttle_ease_s in EASES_S {
                launches.push(Launch {
                    held_radps: idle + held * (cut - idle),
                    release_s,
                    throttle_ease_s,
                    ..start.clone()
                });
            }
        }
    }
    let tried: Vec<Option<Best>> =
        launches.into_par_iter().map(|launch| judged(vehicle, &scenario, target, limits, launch)).collect();
    tried.into_iter().flatten().reduce(|best, other| if other.time_s < best.time_s { other } else { best })
}

/// A launch judged by its run; nothing if it does not reach the target or breaks a limit.
fn judged(vehicle: &Vehicle, scenario: &Scenario, target: Target, limits: &Limits, launch: Launch) -> Option<Best> {
    let driven = Scenario { driver: launch.by(&scenario.driver), ..scenario.clone() };
    let run = simulate(vehicle, &driven, &Tolerances::default()).ok()?;
    let time_s = target.time_s(&run)?;
    limits.kept_by(&run).then_some(Best { launch, run, time_s })
}
