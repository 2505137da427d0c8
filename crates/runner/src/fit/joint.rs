//! One least squares problem of all starts and coast-downs, in which every uncertain input is a parameter.
//!
//! Parameters are deviates: 0 is the value before, 1 is one of its standard deviations above. So the prior of each is one more
//! residual, its own deviate, and a standard error near 1 after the fit means that the logs said nothing.

use std::ops::Range;

use bitepoint_inputs::scenario::{OpenLaunch, ScenarioFile};
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;

use super::coast_down::{self, CoastDown};
use super::driven::{self, UNKNOWNS};
use super::least_squares::{Parameter, Problem, Rows, Solution, cautious_covariance, polished, solve};
use super::memo::Memo;
use super::observed::Observed;
use super::road_load::HUBER;
use crate::watch::Watch;

/// Standard deviation of a coast-down's first speed before, m/s.
const FIRST_SPEED_SD_MPS: f64 = 1.0;
/// No input is moved farther, in standard deviations.
const FARTHEST: f64 = 4.0;
/// Step of the differences, standard deviations: a start in which the wheels spin answers in small jumps (a foot that lifts, a shift
/// that comes a moment later), over which a difference has to look.
const STEP: f64 = 0.3;
/// Measurements are taken to scatter by this much more than they seem to when errors are reckoned: starts answer in jumps, and the
/// least that is found is not always the deepest, of which a covariance knows nothing. Set by how far 1,204 values of made cars at 1 to 100 Hz
/// (seeds 101, 102, 103 and 107) lay from their truths, of which 1.25 held 92.6 % in 95 % intervals; judged on others.
const SCATTER: f64 = 1.5;
/// Least and longest step by which errors are reckoned: about the error itself, so that they hold over the interval that they state.
const ERROR_STEPS: (f64, f64) = (0.1, 1.0);
/// An input that moves all residuals together by less than this a deviate cannot be told, and is left where it is.
const UNSEEN: f64 = 0.15;
/// Relative change at which the search ends.
const TOLERANCE: f64 = 1e-4;

/// What is fitted to what.
pub(super) struct Joint<'a> {
    pub(super) vehicle: &'a VehicleFile,
    pub(super) scenario: &'a ScenarioFile,
    /// What the scenario leaves open of the launch.
    pub(super) launch: Option<&'a OpenLaunch>,
    /// The car before: what the driver's launch was planned for.
    pub(super) expected: &'a Vehicle,
    pub(super) starts: Vec<&'a Observed>,
    pub(super) coasts: &'a [CoastDown],
    /// Inputs that are looked for, by key.
    pub(super) inputs: Vec<String>,
    /// Factors on the standard deviations of the measured speeds: of starts, of coast-downs.
    pub(super) factors: [f64; 2],
    pub(super) watch: &'a dyn Watch,
    /// Of each start.
    pub(super) memos: Vec<Memo>,
}

impl Joint<'_> {
    /// Car and day at deviates.
    pub(super) fn car_and_day(&self, z: &[f64]) -> (Vehicle, Scenario) {
        let normal = |key: &str| self.inputs.iter().position(|k| k == key).map_or(0.0, |i| z[i]);
        (self.vehicle.resolve_with(&normal), self.scenario.resolve_with(self.expected, self.launch, &normal))
    }

    /// Where the deviates of a start's driver are.
    pub(super) fn place_of_driver(&self, start: usize) -> Range<usize> {
        let from = self.inputs.len() + UNKNOWNS * start;
        from..from + UNKNOWNS
    }

    pub(super) fn driver<'z>(&self, z: &'z [f64], start: usize) -> &'z [f64] {
        &z[self.place_of_driver(start)]
    }

    /// Speeds of each start and then of each coast-down.
    pub(super) fn predicted(&self, z: &[f64]) -> Vec<Vec<f64>> {
        let (car, day) = self.car_and_day(z);
        let starts = self.starts.iter().enumerate().map(|(i, observed)| {
            let driver = self.driver(z, i);
            let of = [&z[..self.inputs.len()], driver].concat();
            let speeds = self.memos[i].get(&of, || {
                self.watch.done(1);
                // A car that cannot be computed does not move: the search turns back from it.
                driven::speeds(observed, &day, &car, driver).unwrap_or_else(|| vec![0.0; observed.time_s.len()])
            });
            speeds.to_vec()
        });
        let first = self.inputs.len() + UNKNOWNS * self.starts.len();
        let coasts = self.coasts.iter().enumerate().map(|(i, coast)| {
            let start_mps = coast.speed_mps[0] + FIRST_SPEED_SD_MPS * z[first + i];
            coast_down::speeds(start_mps, &coast.time_s, |v| {
                coast_down::model_deceleration(&car, &day, coast.direction, v)
            })
        });
        starts.chain(coasts).collect()
    }

    /// Measured speeds of each start and then of each coast-down, with the standard deviation of one.
    pub(super) fn measured(&self) -> Vec<(&[f64], f64)> {
        let starts = self.starts.iter().map(|s| (s.speed_mps.as_slice(), s.sd_mps * self.factors[0]));
        let coasts = self.coasts.iter().map(|c| (c.speed_mps.as_slice(), c.sd_mps * self.factors[1]));
        starts.chain(coasts).collect()
    }

    fn rows(&self, z: &[f64]) -> Option<Rows> {
        if self.watch.called_off() {
            return None;
        }
        let predicted = self.predicted(z);
        let mut data = Vec::new();
        for ((speeds, sd), predicted) in self.measured().into_iter().zip(&predicted) {
            data.extend(speeds.iter().zip(predicted).map(|(m, p)| (m - p) / sd));
        }
        Some(Rows { data, prior: z.to_vec() })
    }

    /// The same with the inputs that these logs can tell anything about.
    pub(super) fn seen(mut self, z: &[f64]) -> (Self, Vec<f64>) {
        let base = self.rows(z).unwrap_or_default();
        let moved = |i: usize| {
            let mut moved = z.to_vec();
            moved[i] += 1.0;
            let rows = self.rows(&moved).unwrap_or_default();
            rows.data.iter().zip(&base.data).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
        };
        let seen: Vec<bool> = (0..self.inputs.len()).into_par_iter().map(|i| moved(i) > UNSEEN).collect::<Vec<_>>();
        let kept = |i: usize| seen.get(i).copied().unwrap_or(true);
        let z = z.iter().enumerate().filter(|(i, _)| kept(*i)).map(|(_, z)| *z).collect();
        let mut i = 0;
        self.inputs.retain(|_| {
            i += 1;
            seen[i - 1]
        });
        (self, z)
    }

    /// The most likely deviates from `z` on.
    pub(super) fn solve(&self, z: &[f64]) -> Option<Solution> {
        let rows = |z: &[f64]| self.rows(z);
        let parameters = z.iter().map(|z| parameter(*z, STEP)).collect();
        solve(&Problem { parameters, rows: &rows, huber: Some(HUBER), tolerance: TOLERANCE })
    }

    /// The solution with what steps as long as its errors still add, and with errors over such steps.
    pub(super) fn settled(&self, solution: Solution) -> Option<Solution> {
        let rows = |z: &[f64]| self.rows(z);
        let over = |solution: &Solution| {
            let (least, longest) = ERROR_STEPS;
            let steps = solution.standard_errors().into_iter().map(|sd| sd.clamp(least, longest));
            let parameters = solution.values.iter().zip(steps).map(|(z, step)| parameter(*z, step)).collect();
            Problem { parameters, rows: &rows, huber: Some(HUBER), tolerance: TOLERANCE }
        };
        let mut solution = polished(&over(&solution), solution);
        let weights: Vec<f64> = solution.weights.iter().map(|weight| weight / (SCATTER * SCATTER)).collect();
        solution.covariance = cautious_covariance(&over(&solution), &solution.values, &weights)?;
        Some(solution)
    }

    /// By how much the measured speeds of starts and of coast-downs stray more than their noise: root mean square of the residuals,
    /// outliers weighed down, larger where neighbours stray alike. At least 1.
    pub(super) fn misfits(&self, solution: &Solution) -> [f64; 2] {
        let mut from = 0;
        let mut blocks = Vec::new();
        for (speeds, _) in self.measured() {
            let weighed = (from..from + speeds.len()).map(|i| solution.weights[i].sqrt() * solution.rows.data[i]);
            blocks.push(weighed.collect::<Vec<f64>>());
            from += speeds.len();
        }
        let (starts, coasts) = blocks.split_at(self.starts.len());
        [straying(starts, PARAMETERS_OF_A_START), straying(coasts, PARAMETERS_OF_A_COAST_DOWN)]
    }
}

fn parameter(start: f64, step: f64) -> Parameter {
    Parameter { start, step, bounds: Some((-FARTHEST, FARTHEST)) }
}

/// So many parameters are told by one block of speeds, about.
const PARAMETERS_OF_A_START: usize = 5;
const PARAMETERS_OF_A_COAST_DOWN: usize = 2;
/// A correlation of neighbours is more than chance from so many of its standard deviations on.
const MORE_THAN_CHANCE: f64 = 2.5;

/// Factor on the noise that residuals over their standard deviation ask for.
fn straying(blocks: &[Vec<f64>], parameters: usize) -> f64 {
    let count: usize = blocks.iter().map(Vec::len).sum();
    let square: f64 = blocks.iter().flatten().map(|r| r * r).sum();
    let freedom = count.saturating_sub(parameters * blocks.len());
    if freedom == 0 || square == 0.0 {
        return 1.0;
    }
    let product: f64 = blocks.iter().flat_map(|b| b.windows(2)).map(|w| w[0] * w[1]).sum();
    let correlation = (product / square).clamp(0.0, 0.95);
    let chance = MORE_THAN_CHANCE / (count as f64).sqrt();
    // The variance of the mean of a first-order autoregression.
    let inflation = if correlation > chance { (1.0 + correlation) / (1.0 - correlation) } else { 1.0 };
    (square / freedom as f64 * inflation).sqrt().max(1.0)
}

/// Where the search begins for one start: the driver of a coarse grid that comes nearest, with the car as it was before.
pub(super) fn first_guess(observed: &Observed, day: &Scenario, car: &Vehicle) -> Vec<f64> {
    let clutches = [-2.0, -1.0, 0.0, 1.0, 2.0];
    let eases = [-2.0, 0.0, 2.0];
    let helds: &[f64] = if observed.held_radps.is_some() { &[0.0] } else { &[-1.5, 0.0, 1.5] };
    let mut tried = Vec::new();
    for clutch in clutches {
        for ease in eases {
            for held in helds {
                for moved in [-1.0, 0.0, 1.0] {
                    let mut z = vec![0.0; UNKNOWNS];
                    z[..4].copy_from_slice(&[moved, clutch, ease, *held]);
                    tried.push(z);
                }
            }
        }
    }
    let cost = |z: &Vec<f64>| {
        let Some(speeds) = driven::speeds(observed, day, car, z) else { return f64::INFINITY };
        let residual = |(m, p): (&f64, &f64)| ((m - p) / observed.sd_mps.max(0.1)).abs();
        // The sum of sizes: outliers and what the car gets wrong later do not rule it.
        observed.speed_mps.iter().zip(&speeds).map(residual).sum::<f64>() + 0.5 * z.iter().map(|z| z * z).sum::<f64>()
    };
    let costs: Vec<f64> = tried.par_iter().map(cost).collect();
    let best = (0..tried.len()).min_by(|a, b| costs[*a].total_cmp(&costs[*b])).unwrap_or_default();
    tried.swap_remove(best)
}
