//! The starts of a sweep, on as many threads as there are.

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario_keys::{KEPT_REVS, REVS};
use bitepoint_physics::driver::Driver;
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::Vehicle;
use rayon::prelude::*;
use serde::Serialize;

use super::axis::Axis;
use super::best::{Best, best};
use super::cell::{Cell, Fate, Times};
use crate::case::{Case, Owner};
use crate::plan::Wanted;
use crate::target::Target;
use crate::watch::Watch;

/// What is to be run: every case with every combination of the axes' values.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// A car under one or more scenarios, each with the launch that is taken for whatever is neither given nor varied.
    pub cases: Vec<Case>,
    /// One key or two.
    pub axes: Vec<Axis>,
    /// What is to be reached.
    pub target: Target,
    /// What the times of the cells are.
    pub times: Times,
}

/// The recommended launch beside a sweep: what the whole launch could do, where the sweep varies a part of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommendation {
    /// The driver with that launch.
    pub driver: Driver,
    /// Its time, as the cells have theirs: nothing if it does not get there.
    pub time_s: Option<f64>,
    /// Its run, done exactly and ended at the target.
    pub run: Run,
    /// That run, instant by instant.
    pub samples: Vec<Sample>,
}

/// The cells of one scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Name of the scenario.
    pub scenario: String,
    /// One for each combination of the axes' values; the last axis runs fastest.
    pub cells: Vec<Cell>,
    /// The quickest of them; nothing if none reaches the target.
    pub best: Option<Best>,
    /// The recommended launch of the car as it is; nothing if there is none.
    pub recommended: Option<Recommendation>,
}

/// Every run of a sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    /// Name of the car.
    pub vehicle: String,
    /// What was varied.
    pub axes: Vec<Axis>,
    /// What was to be reached.
    pub target: Target,
    /// What the times of the cells are.
    pub times: Times,
    /// One for each scenario, in the order in which they were given.
    pub fields: Vec<Field>,
}

/// The sweep was called off before its end; nothing of it is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CalledOff;

/// How many cells of a field share a fate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct FateCount {
    /// The fate.
    pub fate: Fate,
    /// Number of cells.
    pub cells: u64,
}

impl Plan {
    /// Everything to run, each case with the recommended launch of the car as it is. The driver keeps that launch where an axis changes the
    /// car: nobody re-plans for a change of a few kilograms.
    ///
    /// # Errors
    /// Files that do not go together.
    pub fn new(
        cases: &[Case],
        axes: Vec<Axis>,
        target: Target,
        times: Times,
        watch: &dyn Watch,
    ) -> Result<Self, Problems> {
        Ok(Self { cases: launched(cases, target, watch)?, axes, target, times })
    }

    /// Number of cells; more than fit into a number are as many as fit.
    #[must_use]
    pub fn runs(&self) -> u64 {
        self.axes.iter().fold(self.cases.len() as u64, |runs, axis| runs.saturating_mul(axis.len()))
    }

    fn cells_a_case(&self) -> u64 {
        self.axes.iter().map(Axis::len).product()
    }

    /// The case of one cell: `case` with each axis at the value that belongs to cell `index`. Kept revs that the scenario leaves open follow
    /// held revs that are varied: their ratio stays as recommended.
    ///
    /// # Errors
    /// Values that cannot be true together.
    pub fn case(&self, case: &Case, index: u64) -> Result<Case, Problems> {
        let mut changed = case.clone();
        for (at, axis) in places(&self.axes, index).into_iter().zip(&self.axes) {
            changed = axis.apply(&changed, at)?;
            if axis.key().path == REVS.path && case.scenario.leaves_open(&KEPT_REVS) {
                let held_radps = axis.value(at).si;
                if let Some(launch) = &mut changed.launch {
                    launch.kept_radps = (launch.kept_radps * held_radps / launch.held_radps).min(held_radps);
                }
            }
        }
        Ok(changed)
    }
}

/// Each case with its recommended launch.
pub(super) fn launched(cases: &[Case], target: Target, watch: &dyn Watch) -> Result<Vec<Case>, Problems> {
    cases.iter().map(|case| case.clone().launched(&Wanted::to(target), watch)).collect()
}

/// Where a cell lies on each axis.
fn places(axes: &[Axis], mut index: u64) -> Vec<u64> {
    let mut places = vec![0; axes.len()];
    for (place, axis) in places.iter_mut().zip(axes).rev() {
        *place = index % axis.len();
        index /= axis.len();
    }
    places
}

/// One cell of one case: what [`sweep`] computes for it.
#[must_use]
pub fn one_cell(plan: &Plan, case: &Case, index: u64) -> Cell {
    cell(plan, case, None, index)
}

/// One cell, of a car that is known already where no axis changes it.
fn cell(plan: &Plan, case: &Case, vehicle: Option<&Vehicle>, index: u64) -> Cell {
    let resolved = |case: Case| {
        let own;
        let vehicle = match vehicle {
            Some(vehicle) => vehicle,
            None => {
                own = case.vehicle.resolve().vehicle;
                &own
            }
        };
        let scenario = case.scenario.resolve_launched(vehicle, case.launch.as_ref())?;
        Ok(Cell::of(vehicle, &scenario, plan.target, plan.times))
    };
    plan.case(case, index).and_then(resolved).unwrap_or_else(|problems| Cell::refused(&problems))
}

/// The recommended launch of a case, by its times and its run.
fn recommendation(plan: &Plan, case: &Case) -> Option<Recommendation> {
    const SAMPLE_S: f64 = 0.01;
    case.launch.as_ref()?;
    let resolved = case.resolve().ok()?;
    let (vehicle, scenario) = (&resolved.vehicle.vehicle, &resolved.scenario);
    let cell = Cell::of(vehicle, scenario, plan.target, plan.times);
    let ended = plan.target.ending(&scenario.scenario);
    let (run, samples) = simulate_sampled(vehicle, &ended, &Tolerances::default(), SAMPLE_S).ok()?;
    Some(Recommendation { driver: ended.driver, time_s: cell.time_s, run, samples })
}

/// Makes every run. The result is the same to the last bit on any number of threads.
///
/// # Errors
/// When `watch` calls it off.
pub fn sweep(plan: &Plan, watch: &dyn Watch) -> Result<Sweep, CalledOff> {
    let each = plan.cells_a_case();
    let one_vehicle = plan.axes.iter().all(|axis| axis.owner() == Owner::Scenario);
    let fields = plan.cases.iter().map(|case| {
        let vehicle = one_vehicle.then(|| case.vehicle.resolve().vehicle);
        let cells: Option<Vec<Cell>> = (0..each)
            .into_par_iter()
            .map(|index| {
                if watch.called_off() {
                    return None;
                }
                let cell = cell(plan, case, vehicle.as_ref(), index);
                watch.done(1);
                Some(cell)
            })
            .collect();
        let cells = cells.filter(|_| !watch.called_off()).ok_or(CalledOff)?;
        let best = best(&plan.axes, &cells, case.resolve().ok().map(|resolved| resolved.scenario.scatter).as_ref());
        Ok(Field { scenario: case.scenario.name().to_owned(), cells, best, recommended: recommendation(plan, case) })
    });
    Ok(Sweep {
        vehicle: plan.cases.first().map_or_else(String::new, |case| case.vehicle.name().to_owned()),
        axes: plan.axes.clone(),
        target: plan.target,
        times: plan.times,
        fields: fields.collect::<Result<_, _>>()?,
    })
}

impl Sweep {
    /// Where a cell lies on each axis, by its index.
    #[must_use]
    pub fn places(&self, index: usize) -> Vec<u64> {
        places(&self.axes, index as u64)
    }
}

impl Field {
    /// How many cells share each fate, in the order of [`Fate::ALL`]; those that none has are left out.
    #[must_use]
    pub fn counts(&self) -> Vec<FateCount> {
        let count = |fate| self.cells.iter().filter(|cell| cell.fate == fate).count() as u64;
        Fate::ALL.map(|fate| FateCount { fate, cells: count(fate) }).into_iter().filter(|c| c.cells > 0).collect()
    }

    /// Number of cells that did not reach the target.
    #[must_use]
    pub fn failed(&self) -> usize {
        self.cells.iter().filter(|cell| cell.time_s.is_none()).count()
    }
}
