//! How hard a launch may be on the car, and how gentle it is.

use bitepoint_physics::run::Run;
use bitepoint_physics::vehicle::Vehicle;
use serde::Serialize;

use super::limits::Limits;
use crate::launch::Launch;

/// How hard a launch may be on the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Effort {
    /// The gentlest launch within 0.2 s of the quickest.
    Easy,
    /// The gentlest within 0.05 s.
    #[default]
    Normal,
    /// The quickest, whatever it does to shafts and clutch, short of lasting harm to the facing.
    AllOut,
}

/// Shaft torque that an ordinary launch may reach, over what the engine holds in first gear at full load: parts are sized for that with a
/// margin, and a shock beyond it is what breaks joints (common practice, no source).
const SHAFT_OVER_STEADY: f64 = 1.2;
/// Heat that a driver who wants the clutch to last puts into it in one start, J, for a car of up to this mass, kg (common practice, no
/// source: a slipped launch puts 15 to 60 kJ into it).
const MOST_HEAT_J: f64 = 80e3;
const HEAT_FOR_KG: f64 = 1500.0;
/// Sizes by which gentleness is weighed: heat that a clutch takes start after start without harm, J (common practice, no source).
const HEAT_J: f64 = 60e3;
/// How much a quick pedal counts: a release of this long counts as much as a tenth of the redline held, s.
const RELEASE_S: f64 = 0.05;

impl Effort {
    /// All of them, gentlest first.
    pub const ALL: [Self; 3] = [Self::Easy, Self::Normal, Self::AllOut];

    /// Time that a gentler launch may lose against the quickest, s.
    #[must_use]
    pub const fn may_lose_s(self) -> f64 {
        match self {
            Self::Easy => 0.2,
            Self::Normal => 0.05,
            Self::AllOut => 0.0,
        }
    }

    /// Its name, as options and tables spell it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Easy => "easy",
            Self::Normal => "normal",
            Self::AllOut => "all-out",
        }
    }

    /// What protects the car at this effort, with what the user asks for besides; `steady_nm` is the torque of all half-shafts that the
    /// engine holds in first gear at full load.
    #[must_use]
    pub fn limits(self, vehicle: &Vehicle, steady_nm: f64, asked: &Limits) -> Limits {
        let clutch = &vehicle.clutch;
        let (face_c, energy_j, shaft_nm) = match self {
            Self::Easy | Self::Normal => {
                let energy_j = MOST_HEAT_J * (vehicle.chassis.mass_kg / HEAT_FOR_KG).max(1.0);
                (clutch.fade_start_c, Some(energy_j), Some(SHAFT_OVER_STEADY * steady_nm))
            }
            Self::AllOut => (clutch.harm_c, None, None),
        };
        let lesser = |asked: Option<f64>, own: Option<f64>| match (asked, own) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        Limits {
            clutch_energy_j: lesser(asked.clutch_energy_j, energy_j),
            clutch_face_c: lesser(asked.clutch_face_c, Some(face_c)),
            shaft_torque_nm: lesser(asked.shaft_torque_nm, shaft_nm),
            ..*asked
        }
    }
}

/// How hard a launch is on the car: revs held over the redline, clutch heat over 60 kJ and shaft torque over 120 % of the steady one count
/// alike; a quick pedal counts a little. Less is gentler.
#[must_use]
pub fn harshness(vehicle: &Vehicle, launch: &Launch, run: &Run) -> f64 {
    let revs = launch.held_radps.max(run.launch.bite_radps) / vehicle.engine.redline_radps;
    let heat = run.peaks.clutch_energy_j / HEAT_J;
    let shaft = run.peaks.shaft_torque_nm / (SHAFT_OVER_STEADY * run.peaks.steady_shaft_torque_nm.max(1.0));
    revs + heat + shaft + 0.1 * RELEASE_S / launch.release_s.max(0.01)
}
