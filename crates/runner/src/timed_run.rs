//! One timed run with everything that is told about it.

use core::fmt;

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::ResolvedScenario;
use bitepoint_inputs::vehicle::ResolvedVehicle;
use bitepoint_physics::bounds::{Standing, standings};
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{RunError, Tolerances, simulate_sampled};

use crate::bands::{Bands, bands};
use crate::case::{Case, Resolved};

/// Seed of the bands of a plain run: any number would do, so long as it stays.
const SEED: u32 = 20;
/// Time between two samples of a run, s.
const SAMPLE_S: f64 = 0.005;
/// Gates at which a run is held against its bounds.
const STANDING_GATES: [&str; 5] = ["60 ft", "60 mph", "100 km/h", "400 m", "1320 ft"];

/// A run, its spread and its distance from what is possible.
#[derive(Debug, Clone, PartialEq)]
pub struct TimedRun {
    /// The car and how each of its values came about.
    pub vehicle: ResolvedVehicle,
    /// The scenario, likewise.
    pub scenario: ResolvedScenario,
    /// The run.
    pub run: Run,
    /// The run, instant by instant.
    pub samples: Vec<Sample>,
    /// Where it stands against its bounds.
    pub standings: Vec<Standing>,
    /// How far its times could be off.
    pub bands: Bands,
}

/// Why there is no run.
#[derive(Debug, Clone, PartialEq)]
pub enum TimedRunError {
    /// The files do not go together.
    Files(Problems),
    /// The run could not be computed.
    Run(RunError),
}

impl fmt::Display for TimedRunError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Files(problems) => write!(f, "{problems}"),
            Self::Run(error) => write!(f, "{error}"),
        }
    }
}

impl core::error::Error for TimedRunError {}

/// Makes one run of a case, with `band_runs` more for the spread of its times.
///
/// # Errors
/// Files that do not go together, or a run that can't be computed.
pub fn timed_run(case: &Case, band_runs: u32) -> Result<TimedRun, TimedRunError> {
    let Resolved { vehicle: car, scenario: day } = case.resolve().map_err(TimedRunError::Files)?;
    let (run, samples) =
        simulate_sampled(&car.vehicle, &day.scenario, &Tolerances::default(), SAMPLE_S).map_err(TimedRunError::Run)?;
    let standings = standings(&car.vehicle, &day.scenario, &run, &samples, &STANDING_GATES);
    let bands = bands(case, &car.vehicle, &day.scatter, band_runs, SEED);
    Ok(TimedRun { vehicle: car, scenario: day, run, samples, standings, bands })
}
