//! Why nothing can be said of the conditions of a run.

use bitepoint_inputs::problem::Problems;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::RunError;

use crate::unfinished::Unfinished;

/// Why there is no study.
#[derive(Debug, Clone, PartialEq)]
pub enum ConditionsError {
    /// The files do not go together.
    Files(Problems),
    /// A run could not be computed.
    Run(RunError),
    /// The clock is to start after a rollout, and the scenario has none.
    NoRollout,
    /// The gate lies within the rollout.
    WithinRollout,
    /// The car does not get to the gate.
    NotReached {
        /// Under which conditions: "on the day", "in the reference", "on the way back".
        when: &'static str,
        /// What kept it, as far as that is known.
        why: Option<Unfinished>,
        /// How far it got, likewise.
        run: Option<Box<Run>>,
    },
    /// The car leaves the surveyed road before the gate.
    OffTheSurvey {
        /// On the way back.
        back: bool,
        /// How far the run goes to the gate, m.
        run_m: f64,
        /// How far the survey goes on from the start, m.
        ahead_m: f64,
        /// How far it goes back from there, m; negative where the start lies outside.
        behind_m: f64,
    },
    /// A measured time that no such run takes.
    Implausible {
        /// On the way back.
        back: bool,
        /// As measured, s.
        measured_s: f64,
        /// As the model has it, s.
        model_s: f64,
    },
    /// Somebody called it off.
    CalledOff,
}

impl From<Problems> for ConditionsError {
    fn from(problems: Problems) -> Self {
        Self::Files(problems)
    }
}
