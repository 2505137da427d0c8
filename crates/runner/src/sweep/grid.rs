//! The runs of a sweep, on as many threads as there are.

use bitepoint_inputs::problem::Problems;
use bitepoint_physics::vehicle::Vehicle;
use rayon::prelude::*;
use serde::Serialize;

use super::axis::Axis;
use super::best::{Best, best};
use super::cell::{Cell, Fate};
use crate::case::{Case, Owner};
use crate::target::Target;
use crate::watch::Watch;

/// What is to be run: every case with every combination of the axes' values.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// A car under one or more scenarios.
    pub cases: Vec<Case>,
    /// One key or two.
    pub axes: Vec<Axis>,
    /// What is to be reached.
    pub target: Target,
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
    /// Number of runs; more than fit into a number are as many as fit.
    #[must_use]
    pub fn runs(&self) -> u64 {
        self.axes.iter().fold(self.cases.len() as u64, |runs, axis| runs.saturating_mul(axis.len()))
    }

    fn cells_a_case(&self) -> u64 {
        self.axes.iter().map(Axis::len).product()
    }

    /// The case of one cell: `case` with each axis at the value that belongs to cell `index`.
    ///
    /// # Errors
    /// Values that cannot be true together.
    pub fn case(&self, case: &Case, index: u64) -> Result<Case, Problems> {
        let mut places = places(&self.axes, index).into_iter().zip(&self.axes);
        let Some((at, axis)) = places.next() else { return Ok(case.clone()) };
        places.try_fold(axis.apply(case, at)?, |case, (at, axis)| axis.apply(&case, at))
    }
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
    match (plan.case(case, index), vehicle) {
        (Ok(case), Some(vehicle)) => Cell::of(vehicle, &case.scenario, plan.target),
        (Ok(case), None) => Cell::of(&case.vehicle.resolve().vehicle, &case.scenario, plan.target),
        (Err(problems), _) => Cell::refused(&problems),
    }
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
        Ok(Field { scenario: case.scenario.name().to_owned(), cells, best })
    });
    Ok(Sweep {
        vehicle: plan.cases.first().map_or_else(String::new, |case| case.vehicle.name().to_owned()),
        axes: plan.axes.clone(),
        target: plan.target,
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
