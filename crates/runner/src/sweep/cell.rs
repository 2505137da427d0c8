//! One start of a sweep: the few numbers of it that are kept.

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::ResolvedScenario;
use bitepoint_physics::run::{Run, Story};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use serde::Serialize;

use crate::launch::Launch;
use crate::plan::{Judge, Limits, Starts};
use crate::target::Target;
use crate::unfinished::{Unfinished, unfinished};
use crate::watch::Nobody;

/// What the time of a cell is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Times {
    /// The driver's expected time: the mean over sixteen starts with the driver's scatter, a failed one counted as a restart.
    /// The cell's fate and figures are those of the start done exactly.
    #[default]
    Expected,
    /// The time of the start done exactly: one run a cell instead of seventeen.
    Exact,
}

/// Starts behind an expected time. They spread evenly over the driver's scatter, so that where a start changes its kind from one value to the next
/// (a tyre that hooks up or does not) only one or two of them change at once: of the planner's set of eight, which is smaller than a search
/// needs to be smooth, four hold the same revs, and a map of it has steps of 0.04 s where this one has 0.014 s.
const STARTS: u32 = 16;
/// Seed of their errors: any number would do, so long as it stays.
const SEED: u32 = 20;

/// What became of a start, worst last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    /// It went well.
    Clean,
    /// The driven tyres were well past their peak for long.
    Spin,
    /// The clutch was home early and the revs fell under the engine's useful range.
    Bog,
    /// The clutch slipped for long.
    Slip,
    /// The clutch face got so hot that it takes lasting harm.
    Burn,
    /// The target was not reached in the time allowed.
    OutOfTime,
    /// The engine stalled.
    Stall,
    /// The car rolled backwards.
    RolledBack,
    /// The car cannot move: engine, tyres or clutch give less than slope and rolling resistance take.
    CannotMove,
    /// The values cannot be true together, so that there was no run.
    Refused,
    /// The run could not be computed.
    NotComputed,
}

/// What is kept of a run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Figures {
    /// Peak temperature of the clutch face, °C.
    pub clutch_face_c: f64,
    /// Heat made in the clutch, J.
    pub clutch_energy_j: f64,
    /// Peak torque of all half-shafts together, N·m.
    pub shaft_torque_nm: f64,
    /// Largest slip speed (tread over road) of a driven tyre, m/s.
    pub largest_slip_mps: f64,
    /// Lowest engine speed from the pedal's first movement to the first shift, rad/s.
    pub lowest_engine_radps: f64,
}

/// One start of a sweep.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Cell {
    /// Time to the target, s: the driver's expected time, or that of the start done exactly if that was asked for. Nothing if the start
    /// done exactly does not reach it.
    pub time_s: Option<f64>,
    /// What became of the start done exactly.
    pub fate: Fate,
    /// What is kept of its run; nothing if there was none.
    pub figures: Option<Figures>,
    /// Why there was no run; nothing if there was one.
    pub reason: Option<Box<str>>,
}

impl Fate {
    /// All of them, worst last.
    pub const ALL: [Self; 11] = [
        Self::Clean,
        Self::Spin,
        Self::Bog,
        Self::Slip,
        Self::Burn,
        Self::OutOfTime,
        Self::Stall,
        Self::RolledBack,
        Self::CannotMove,
        Self::Refused,
        Self::NotComputed,
    ];

    /// Whether the target was not reached.
    #[must_use]
    pub fn failed(self) -> bool {
        self >= Self::OutOfTime
    }

    /// As it stands in documents and tables.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::Spin => "spin",
            Self::Bog => "bog",
            Self::Slip => "slip",
            Self::Burn => "burn",
            Self::OutOfTime => "out_of_time",
            Self::Stall => "stall",
            Self::RolledBack => "rolled_back",
            Self::CannotMove => "cannot_move",
            Self::Refused => "refused",
            Self::NotComputed => "not_computed",
        }
    }

    /// In a word or two, for a label.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::Spin => "tyres spin",
            Self::Bog => "engine bogs",
            Self::Slip => "clutch slips",
            Self::Burn => "clutch burns",
            Self::OutOfTime => "out of time",
            Self::Stall => "stalls",
            Self::RolledBack => "rolls back",
            Self::CannotMove => "cannot move",
            Self::Refused => "no such start",
            Self::NotComputed => "not computed",
        }
    }
}

impl Cell {
    /// Makes the start of a car under a scenario to the target and keeps what matters of it.
    #[must_use]
    pub fn of(vehicle: &Vehicle, scenario: &ResolvedScenario, target: Target, times: Times) -> Self {
        let judge = Judge::new(vehicle, &scenario.scenario, target, Limits::default(), &Nobody);
        let launch = Launch::of(&judge.scenario.driver);
        let run = match judge.run_of(vehicle, &judge.scenario) {
            Ok(run) => run,
            Err(error) => return Self::no_run(Fate::NotComputed, error.to_string()),
        };
        let exact = Self::ran(vehicle, &judge.scenario, &run, target);
        match times {
            Times::Expected if exact.time_s.is_some() => {
                let hurried = judge.hurried();
                let starts = Starts::new(&hurried, &scenario.scatter, STARTS, SEED);
                Self { time_s: starts.mean_time_s(&launch), ..exact }
            }
            Times::Expected | Times::Exact => exact,
        }
    }

    pub(super) fn refused(problems: &Problems) -> Self {
        let told: Vec<String> = problems.0.iter().map(|p| format!("{}: {}", p.key, p.what)).collect();
        Self::no_run(Fate::Refused, told.join("; "))
    }

    fn no_run(fate: Fate, reason: String) -> Self {
        Self { time_s: None, fate, figures: None, reason: Some(reason.into_boxed_str()) }
    }

    fn ran(vehicle: &Vehicle, scenario: &Scenario, run: &Run, target: Target) -> Self {
        let fate = match unfinished(vehicle, scenario, run) {
            None if run.peaks.clutch_face_c >= vehicle.clutch.harm_c => Fate::Burn,
            None => match run.launch.story {
                Story::Clean => Fate::Clean,
                Story::Spin => Fate::Spin,
                Story::Bog => Fate::Bog,
                Story::Slip => Fate::Slip,
                Story::Stall => Fate::Stall,
            },
            Some(Unfinished::Stalled) => Fate::Stall,
            Some(Unfinished::RolledBack) => Fate::RolledBack,
            Some(Unfinished::OutOfTime) => Fate::OutOfTime,
            Some(
                Unfinished::TooLittleTorque { .. }
                | Unfinished::TooLittleGrip { .. }
                | Unfinished::ClutchTooWeak { .. },
            ) => Fate::CannotMove,
        };
        let figures = Figures {
            clutch_face_c: run.peaks.clutch_face_c,
            clutch_energy_j: run.peaks.clutch_energy_j,
            shaft_torque_nm: run.peaks.shaft_torque_nm,
            largest_slip_mps: run.launch.largest_slip_mps,
            lowest_engine_radps: run.launch.lowest_radps,
        };
        Self { time_s: target.time_s(run), fate, figures: Some(figures), reason: None }
    }
}
