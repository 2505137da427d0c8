//! A whole plan: the best possible launch, the best for this driver, how forgiving each is, and what the clutch says to it.

use bitepoint_inputs::problem::Problems;
use bitepoint_physics::bounds::{Standing, standings};
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{RunError, Tolerances, simulate_sampled};
use rayon::prelude::*;
use serde::Serialize;

use super::best::{NoLaunch, decisions_met, find_best};
use super::cooling::{Cooling, cooling};
use super::decision::Decision;
use super::expected::{Expectation, Remembered, Starts};
use super::for_driver::best_for_driver;
use super::grip::{OtherGrip, other_grip};
use super::judge::Judge;
use super::limits::Limits;
use super::window::{Measure, Window, window};
use crate::case::{Case, Resolved};
use crate::launch::Launch;
use crate::target::Target;
use crate::watch::Watch;

/// How to launch and shift one car on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The car and the day, value by value.
    pub resolved: Resolved,
    /// What is to be reached.
    pub target: Target,
    /// What no start may exceed.
    pub limits: Limits,
    /// The seed of the driver's errors.
    pub seed: u32,
    /// The best possible: a hand that never errs.
    pub best: Choice,
    /// The best for this driver, in round numbers.
    pub driver: Choice,
    /// The driver's best when the surface grips less, and more, than planned.
    pub other_grip: [OtherGrip; 2],
    /// What the clutch needs between starts like the driver's best.
    pub cooling: Cooling,
}

/// A launch with all that is told of it.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Choice {
    /// The launch.
    pub launch: Launch,
    /// Its time done exactly as planned, s.
    pub time_s: f64,
    /// What comes of it in this driver's hands.
    pub expected: Expectation,
    /// Each decision, the others kept. Times are of the launch done exactly for the best possible, and expected ones for this driver's.
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

/// Starts by which launches are compared, and by which the chosen ones are told.
const COMPARED_STARTS: u32 = 24;
/// Starts by which the last steps of a launch, and the costs of its errors, are settled.
const SETTLED_STARTS: u32 = 96;
const TOLD_STARTS: u32 = 400;
/// Starts by which changes for another grip are compared.
const GRIP_STARTS: u32 = 12;
/// Friction, over the planned one, for which changes are looked up.
const OTHER_FRICTION: [f64; 2] = [0.85, 1.15];
/// Points on each side of a launch in its curves: single runs are cheap, expected times are not.
const EXACT_POINTS: u32 = 24;
const EXPECTED_POINTS: u32 = 9;
const SAMPLE_S: f64 = 0.005;

/// Runs that a plan takes, about: for somebody who waits.
pub const RUNS: u64 = 21_000;

/// Plans the start of a car on a day. The same seed gives the same plan, on any number of threads.
///
/// # Errors
/// Files that do not go together, limits that no launch keeps, a target that no launch reaches, a run that cannot be computed, or work
/// that was called off.
pub fn plan(case: &Case, target: Target, limits: &Limits, seed: u32, watch: &dyn Watch) -> Result<Plan, PlanError> {
    let resolved = case.resolve().map_err(PlanError::Files)?;
    let vehicle = &resolved.vehicle.vehicle;
    let scatter = &resolved.scenario.scatter;
    let judge = Judge::new(vehicle, &resolved.scenario.scenario, target, *limits, watch);
    let best = find_best(&judge).map_err(PlanError::NoLaunch)?;
    let told = Starts::new(&judge, scatter, TOLD_STARTS, seed, best.time_s);
    let hurried = judge.hurried();
    let compared = Starts::new(&hurried, scatter, COMPARED_STARTS, seed, best.time_s);
    let many = Remembered::new(Starts::new(&hurried, scatter, SETTLED_STARTS, seed, best.time_s));
    let for_driver = best_for_driver(&judge, &compared, &many, &best);

    let is_time = |worth: f64| Judge::is_time(worth).then_some(worth);
    let exactly = |launch: &Launch| is_time(judge.worth(launch));
    let expected = |launch: &Launch| is_time(compared.worth(launch));
    let settled = |launch: &Launch| is_time(many.worth(launch));
    let expected = Measure { timed: &expected, settled: &settled, runs: &|launch| compared.runs(launch) };
    let exactly = Measure { timed: &exactly, settled: &exactly, runs: &|launch| vec![judge.run(launch).ok()] };
    let driver = choice(&judge, &told, for_driver, EXPECTED_POINTS, &expected)?;
    let best = choice(&judge, &told, best.launch, EXACT_POINTS, &exactly)?;
    let other_grip = OTHER_FRICTION
        .map(|friction| other_grip(&judge, scatter, (GRIP_STARTS, seed, best.time_s), &driver.launch, friction, watch));
    let ended_c = driver.samples.last().map_or((0.0, 0.0), |s| (s.clutch_face_c, s.clutch_mass_c));
    let cooling = cooling(&judge, &driver.launch, ended_c);
    if judge.called_off() {
        return Err(PlanError::NoLaunch(NoLaunch::CalledOff));
    }
    Ok(Plan { target, limits: *limits, seed, best, driver, other_grip, cooling, resolved: resolved.clone() })
}

fn choice(
    judge: &Judge<'_>,
    told: &Starts<'_>,
    launch: Launch,
    points: u32,
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
    // Who goes straight to the floor holds no part throttle that could be off.
    let made = |decision: &Decision| *decision != Decision::PartThrottle || launch.holds_part_throttle();
    let windows = decisions_met(judge, &launch)
        .into_par_iter()
        .filter(made)
        .map(|decision: Decision| window(judge, &launch, decision, points, measure))
        .collect();
    let standing = standings(judge.vehicle, &driven, &run, &samples, &[judge.target.gate]).pop();
    Ok(Choice { time_s, expected: told.expectation(&launch), windows, standing, run, samples, launch })
}
