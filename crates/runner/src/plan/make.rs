//! A whole plan: the recommended launch, how forgiving it is, what other efforts would cost, and what the clutch says to it.

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_physics::bounds::{Standing, standings};
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{RunError, Tolerances, simulate_sampled};
use rayon::prelude::*;
use serde::Serialize;

use super::cooling::{Cooling, cooling};
use super::decision::Decision;
use super::effort::Effort;
use super::expected::{Expectation, Starts};
use super::grip::{OtherGrip, other_grip};
use super::judge::Judge;
use super::limits::Limits;
use super::recommend::{Known, NoLaunch, Wanted};
use super::verdict::Verdict;
use super::window::{Measure, Window, window};
use crate::case::{Case, Resolved};
use crate::launch::Launch;
use crate::watch::Watch;

/// How to launch and shift one car on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The car and the day, value by value, driven with the recommended launch.
    pub resolved: Resolved,
    /// What it is for.
    pub wanted: Wanted,
    /// What no start may exceed: what the effort protects, and what was asked for.
    pub limits: Limits,
    /// The seed of the driver's errors.
    pub seed: u32,
    /// The recommended launch, in round numbers.
    pub driver: Choice,
    /// The quickest exact run that was found within no limit but the redline: a bound, not advice.
    pub best: Exact,
    /// What each effort would do, gentlest first; an effort without a launch is left out.
    pub levels: Vec<Level>,
    /// What to change when the surface grips less, and more, than planned.
    pub other_grip: [OtherGrip; 2],
    /// What the clutch needs between starts.
    pub cooling: Cooling,
}

/// A launch done exactly.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Exact {
    /// The launch.
    pub launch: Launch,
    /// Its time, s.
    pub time_s: f64,
}

/// A launch at one effort, and what it does to the car.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Level {
    /// The effort.
    pub effort: Effort,
    /// Its launch.
    pub launch: Launch,
    /// Expected time, s.
    pub expected_s: f64,
    /// Heat made in the clutch, J.
    pub clutch_energy_j: f64,
    /// Highest temperature of the clutch face, °C.
    pub clutch_face_c: f64,
    /// Largest torque of all half-shafts together, N·m.
    pub shaft_torque_nm: f64,
    /// The same over what the engine holds in first gear at full load.
    pub shaft_over_steady: f64,
}

/// A launch with all that is reported of it.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Choice {
    /// The launch.
    pub launch: Launch,
    /// Its time done exactly as planned, s.
    pub time_s: f64,
    /// What comes of it in this driver's hands with the car as estimated.
    pub expected: Expectation,
    /// The same with a car and a day that may differ from their estimates.
    pub likely: Expectation,
    /// Each decision, the others kept; times are expected ones.
    pub windows: Vec<Window>,
    /// Where it stands against the bounds.
    pub standing: Option<Standing>,
    /// Its run, ended at the target.
    pub run: Run,
    /// The run, instant by instant.
    #[serde(skip)]
    pub samples: Vec<Sample>,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanError {
    /// The files do not go together.
    Files(Problems),
    /// No launch that will do.
    NoLaunch(NoLaunch),
    /// A run could not be computed.
    Run(RunError),
}

/// Starts by which the recommended launch is reported.
const REPORTED_STARTS: u32 = 200;
/// Starts by which changes for another grip are compared.
const GRIP_STARTS: u32 = 12;
/// Friction, over the planned one, for which changes are looked up.
const OTHER_FRICTION: [f64; 2] = [0.85, 1.15];
/// Points on each side of a launch in its curves.
const POINTS: u32 = 9;
const SAMPLE_S: f64 = 0.005;

/// Runs that a plan takes, about: for somebody who waits.
pub const RUNS: u64 = 8_000;

/// Plans the start of a car on a day. The same seed gives the same plan, on any number of threads.
///
/// # Errors
/// Files that do not go together, limits that no launch keeps, a target that no launch reaches, a run that cannot be computed, or work
/// that was called off.
pub fn plan(case: &Case, wanted: &Wanted, seed: u32, watch: &dyn Watch) -> Result<Plan, PlanError> {
    let resolved = case.resolve().map_err(PlanError::Files)?;
    let vehicle = &wanted.vehicle(resolved.vehicle.vehicle.clone());
    let scenario = &resolved.scenario.scenario;
    let scatter = &resolved.scenario.scatter;
    let known = Known { vehicle, scenario, scatter, case: Some(case) };
    let open = |decision: Decision| case.scenario.leaves_open(decision.key());
    let found = known.levels(wanted, &open, watch).map_err(PlanError::NoLaunch)?;
    let recommended = &found[0].1;
    let launch = recommended.launch.clone();
    let judge = Judge::new(vehicle, scenario, wanted.target, wanted.limits, watch).protecting(recommended.limits);
    let free = judge.protecting(Limits::default());
    let hurried = judge.hurried();

    let balanced = Starts::balanced(&hurried, Some(case), scatter);
    // What protects the car by default is for the plan: a window ends where time is lost, or where a limit that was asked for is exceeded.
    let expected = |launch: &Launch| {
        let run = hurried.run(launch).ok()?;
        hurried.always.kept_by(&run).then(|| balanced.mean_time_s(launch)).flatten()
    };
    let measure = Measure { expected: &expected, runs: &|launch| balanced.runs(launch) };
    let driver = choice(&judge, &hurried, (case, scatter, seed), launch, &measure)?;

    let exact = |launch: &Launch| free.verdict(launch);
    let tried = found.iter().flat_map(|(_, found)| [&found.launch, &found.quickest]).chain([&driver.launch]);
    let best = tried.map(|launch| (exact(launch), launch)).reduce(|a, b| if b.0 < a.0 { b } else { a });
    let best = match best {
        Some((Verdict::Arrives(time_s), launch)) => Exact { launch: launch.clone(), time_s },
        _ => Exact { launch: driver.launch.clone(), time_s: driver.time_s },
    };
    let mut levels: Vec<Level> =
        found.iter().filter_map(|(effort, found)| level(&judge, *effort, &found.launch, found.expected_s)).collect();
    levels.sort_by_key(|level| level.effort);
    let other_grip = OTHER_FRICTION
        .map(|friction| other_grip(&judge, scatter, (GRIP_STARTS, seed), &driver.launch, friction, watch));
    let ended_c = driver.samples.last().map_or((0.0, 0.0), |s| (s.clutch_face_c, s.clutch_mass_c));
    let cooling = cooling(&judge, &driver.launch, ended_c);
    if judge.called_off() {
        return Err(PlanError::NoLaunch(NoLaunch::CalledOff));
    }
    let launched = Case { launch: Some(driver.launch.open()), ..case.clone() };
    let resolved = launched.resolve().map_err(PlanError::Files)?;
    Ok(Plan { wanted: *wanted, limits: judge.limits, seed, best, levels, driver, other_grip, cooling, resolved })
}

fn level(judge: &Judge<'_>, effort: Effort, launch: &Launch, expected_s: f64) -> Option<Level> {
    let run = judge.run(launch).ok()?;
    Some(Level {
        effort,
        launch: launch.clone(),
        expected_s,
        clutch_energy_j: run.peaks.clutch_energy_j,
        clutch_face_c: run.peaks.clutch_face_c,
        shaft_torque_nm: run.peaks.shaft_torque_nm,
        shaft_over_steady: run.peaks.shaft_torque_nm / run.peaks.steady_shaft_torque_nm.max(1.0),
    })
}

fn choice(
    judge: &Judge<'_>,
    hurried: &Judge<'_>,
    (case, scatter, seed): (&Case, &DriverScatter, u32),
    launch: Launch,
    measure: &Measure<'_>,
) -> Result<Choice, PlanError> {
    if judge.called_off() {
        return Err(PlanError::NoLaunch(NoLaunch::CalledOff));
    }
    let driven = judge.driven(&launch);
    let (run, samples) =
        simulate_sampled(judge.vehicle, &driven, &Tolerances::default(), SAMPLE_S).map_err(PlanError::Run)?;
    let Some(time_s) = judge.target.time_s(&run) else {
        return Err(PlanError::NoLaunch(NoLaunch::NeverThere(Some(Box::new(run)))));
    };
    let windows = decisions_met(&launch, &run)
        .into_par_iter()
        .map(|decision: Decision| window(judge, &launch, decision, POINTS, measure))
        .collect();
    let standing = standings(judge.vehicle, &driven, &run, &samples, &[judge.target.gate]).pop();
    let expected = Starts::new(hurried, scatter, REPORTED_STARTS, seed).expectation(&launch);
    let likely = Starts::of_unknown(hurried, case, scatter, REPORTED_STARTS, seed).expectation(&launch);
    Ok(Choice { time_s, expected, likely, windows, standing, run, samples, launch })
}

/// All decisions that a launch's run meets.
fn decisions_met(launch: &Launch, run: &Run) -> Vec<Decision> {
    let part = |d: &Decision| matches!(d, Decision::PartThrottle | Decision::PartUntil);
    let launched = Decision::LAUNCH.into_iter().filter(|d| launch.holds_part_throttle() || !part(d));
    launched.chain((0..run.shifts.len()).map(Decision::ShiftRevs)).collect()
}
