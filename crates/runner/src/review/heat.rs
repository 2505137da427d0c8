//! Clutch heat over a session: each start run on the model as it was launched, and the pauses between.

use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::Scenario;
use serde::Serialize;

use super::make::Reviewed;
use super::yardstick::Yardstick;
use crate::plan::{NEARLY_K, cooled, time_until};

/// Clutch temperatures around one start, by the model.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Heat {
    /// Of the clutch when the start began, °C.
    pub began_c: f64,
    /// Highest of its face, °C.
    pub face_c: f64,
    /// Heat made, J.
    pub energy_j: f64,
}

/// The clutch over the session.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SessionHeat {
    /// One a start; nothing for one whose launch the model stalls.
    pub starts: Vec<Option<Heat>>,
    /// Time from the end of the last start until face and mass are within 10 K of where the session began, s; nothing if not
    /// within hours.
    pub cool_after_s: Option<f64>,
    /// Whether held revs and release were read off the log for every start; else the recommended launch's stand in.
    pub as_launched: bool,
}

/// Heats the clutch start by start. Times of the starts are on one clock only within a recording; other pauses count as none,
/// which errs on the hot side.
pub(super) fn session(starts: &[Reviewed], best: &Yardstick) -> SessionHeat {
    let clutch = &best.vehicle.clutch;
    let air_c = best.scenario.air.temperature_c;
    let began_c = best.scenario.clutch_start_c;
    let mut state = (began_c, began_c);
    let mut ended_s: Option<f64> = None;
    let mut heats = Vec::new();
    for start in starts {
        let zero_s = start.run.first_movement_s.value;
        let pause_s = ended_s.map_or(0.0, |e| (zero_s - e).max(0.0));
        state = cooled(clutch, state, air_c, pause_s);
        let began = state.0.max(state.1);
        let scenario = Scenario { driver: start.driver.clone(), clutch_start_c: began, ..best.scenario.clone() };
        let run = simulate_sampled(&best.vehicle, &scenario, &Tolerances::default(), 0.05).ok();
        let run = run.filter(|(run, _)| best.target.time_s(run).is_some());
        heats.push(run.as_ref().map(|(run, _)| Heat {
            began_c: began,
            face_c: run.peaks.clutch_face_c,
            energy_j: run.peaks.clutch_energy_j,
        }));
        if let Some(last) = run.as_ref().and_then(|(_, samples)| samples.last()) {
            state = (last.clutch_face_c, last.clutch_mass_c);
            ended_s = Some(zero_s + last.time_s);
        } else {
            ended_s = Some(zero_s);
        }
    }
    SessionHeat {
        starts: heats,
        cool_after_s: time_until(clutch, state, air_c, began_c + NEARLY_K),
        as_launched: starts.iter().all(|s| s.held_radps.is_some() && s.release_s.is_some()),
    }
}
