//! Where each gear is best left: by runs, and by the pull of the gears.
//!
//! The engine speed at which one gear is left is varied while the others stay as the scenario has them. What a gear's change is worth hardly depends
//! on the others': it sets the speed at which the next gear is taken, no more.

use bitepoint_inputs::problem::Problems;
use bitepoint_physics::run::{Limit, Run, Sample, Shift};
use bitepoint_physics::simulate::{RunError, Tolerances, simulate_sampled};

use super::axis::Axis;
use super::cell::Times;
use super::grid::{CalledOff, Plan, Sweep, launched, sweep};
use crate::case::{Case, Resolved};
use crate::target::Target;
use crate::tractive_effort::{Crossing, Pull, crossings, pulls};
use crate::watch::Watch;

/// Everything about a car's shift points.
#[derive(Debug, Clone, PartialEq)]
pub struct ShiftStudy {
    /// Name of the car.
    pub vehicle: String,
    /// What was to be reached.
    pub target: Target,
    /// One for each scenario.
    pub days: Vec<Day>,
    /// One for each gear that is left before the target under any scenario, lowest first.
    pub gears: Vec<GearStudy>,
}

/// What does not depend on the gear that is studied.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// Name of the scenario.
    pub scenario: String,
    /// The pull in every gear, first gear first.
    pub pulls: Vec<Vec<Pull>>,
    /// Time between the driver's decision and the shift's beginning, s.
    pub reaction_s: f64,
}

/// One gear.
#[derive(Debug, Clone, PartialEq)]
pub struct GearStudy {
    /// The gear that is left, 1 for first.
    pub from_gear: u8,
    /// Runs with the engine speed varied at which the driver decides to leave it.
    pub sweep: Sweep,
    /// One for each scenario.
    pub found: Vec<Found>,
}

/// One gear under one scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Where it is best left by the pull of the gears alone.
    pub crossing: Crossing,
    /// The shift of the quickest run; nothing if the gear is not left before the target in it.
    pub shift: Option<Shift>,
    /// Share of the time in this gear for which the tyres limited the car in the quickest run.
    pub tyre_limited: f64,
}

/// Why there is no study.
#[derive(Debug, Clone, PartialEq)]
pub enum ShiftStudyError {
    /// Files that do not go together.
    Files(Problems),
    /// The run with the shift points of the scenario could not be computed.
    Run(RunError),
    /// No gear is left before the target under any scenario.
    NoShift,
    /// The start with the scenario's own shift points does not get to the target: name of the scenario.
    NotReached(String),
    /// It was called off.
    CalledOff,
}

/// Engine speeds that are tried lie this far apart, rpm.
const STEP_RPM: u32 = 50;
/// The lowest of them, as a share of the limiter's: no ordinary engine is best left before it.
const LOWEST_SHARE: f64 = 0.55;

/// The plans of a study, one for each gear that is left before the target, lowest first. What a scenario leaves open of the launch, the other
/// gears' shift points included, is as recommended.
///
/// # Errors
/// Files that do not go together, a run that can't be computed or does not get to the target, or no gear that is left.
pub fn shift_plans(
    cases: &[Case],
    target: Target,
    times: Times,
    watch: &dyn Watch,
) -> Result<Vec<(u8, Plan)>, ShiftStudyError> {
    let cases = &launched(cases, target, watch).map_err(ShiftStudyError::Files)?[..];
    let mut most_left = 0;
    let mut limiter_radps = f64::INFINITY;
    let mut least_radps: f64 = 0.0;
    for case in cases {
        let resolved = case.resolve().map_err(ShiftStudyError::Files)?;
        let engine = &resolved.vehicle.vehicle.engine;
        limiter_radps = engine.limiter.cut_radps;
        least_radps = 1.2 * engine.idle_radps;
        let (run, _) = run(&resolved, target).map_err(ShiftStudyError::Run)?;
        if target.time_s(&run).is_none() {
            return Err(ShiftStudyError::NotReached(resolved.scenario.name));
        }
        most_left = most_left.max(run.shifts.len());
    }
    let rpm = 30.0 / core::f64::consts::PI;
    let steps = |radps: f64| radps * rpm / f64::from(STEP_RPM);
    // Within the limiter and over the least speed that a scenario takes, in whole steps.
    let to = (steps(limiter_radps) + 1e-9).floor() as u32;
    let from = steps((LOWEST_SHARE * limiter_radps).max(least_radps)).ceil() as u32;
    let axis = |gear| Axis::of_shifts(gear, from * STEP_RPM, STEP_RPM, u64::from(to - from.min(to)) + 1);
    let plan = |gear| (gear as u8, Plan { cases: cases.to_vec(), axes: vec![axis(gear)], target, times });
    match most_left {
        0 => Err(ShiftStudyError::NoShift),
        _ => Ok((1..=most_left).map(plan).collect()),
    }
}

/// Makes every run of these plans and holds the quickest against the pull of the gears.
///
/// # Errors
/// Files that do not go together, a run that can't be computed, or when `watch` calls it off.
pub fn shift_study(plans: &[(u8, Plan)], watch: &dyn Watch) -> Result<ShiftStudy, ShiftStudyError> {
    let Some((_, first)) = plans.first() else { return Err(ShiftStudyError::NoShift) };
    let mut days = Vec::new();
    let mut crossed = Vec::new();
    for case in &first.cases {
        let Resolved { vehicle, scenario } = case.resolve().map_err(ShiftStudyError::Files)?;
        days.push(Day {
            pulls: pulls(&vehicle.vehicle, &scenario.scenario),
            reaction_s: scenario.scenario.driver.shift_reaction_s,
            scenario: scenario.name,
        });
        crossed.push(crossings(&vehicle.vehicle, &scenario.scenario));
    }
    let mut gears = Vec::new();
    for (from_gear, plan) in plans {
        let sweep = sweep(plan, watch).map_err(|CalledOff| ShiftStudyError::CalledOff)?;
        let gear = usize::from(*from_gear) - 1;
        let mut found = Vec::new();
        for ((case, field), crossings) in plan.cases.iter().zip(&sweep.fields).zip(&crossed) {
            let mut one = Found { crossing: crossings[gear], shift: None, tyre_limited: 0.0 };
            if let Some(best) = &field.best {
                let case = plan.case(case, best.cell as u64).map_err(ShiftStudyError::Files)?;
                let resolved = case.resolve().map_err(ShiftStudyError::Files)?;
                let (run, samples) = run(&resolved, plan.target).map_err(ShiftStudyError::Run)?;
                one.shift = run.shifts.get(gear).copied();
                one.tyre_limited = tyre_limited(&samples, *from_gear);
            }
            found.push(one);
        }
        gears.push(GearStudy { from_gear: *from_gear, sweep, found });
    }
    Ok(ShiftStudy { vehicle: first.cases[0].vehicle.name().to_owned(), target: first.target, days, gears })
}

/// Time between two looks at what limits the car, s.
const LOOK_S: f64 = 0.01;

fn run(resolved: &Resolved, target: Target) -> Result<(Run, Vec<Sample>), RunError> {
    let scenario = target.ending(&resolved.scenario.scenario);
    simulate_sampled(&resolved.vehicle.vehicle, &scenario, &Tolerances::default(), LOOK_S)
}

fn tyre_limited(samples: &[Sample], gear: u8) -> f64 {
    let in_gear = || samples.iter().filter(|sample| sample.gear == gear);
    let limited = in_gear().filter(|sample| sample.limit == Limit::Tyre).count();
    limited as f64 / in_gear().count().max(1) as f64
}
