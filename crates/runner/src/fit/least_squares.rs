//! Nonlinear least squares: the Levenberg-Marquardt algorithm of MINPACK (crate `levenberg-marquardt`), with bounds, priors and
//! weights that keep outliers from ruling.
//!
//! Bounds: a parameter between two bounds is followed through a logistic function of a free one. Outliers: Huber's weights, by
//! iterated reweighting (P. J. Huber, Robust Statistics, 1981; from memory). Errors: the inverse of JᵀWJ at the least.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra_of_fit::{DMatrix, DVector, Dyn, Owned};
use rayon::prelude::*;

/// A parameter that is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameter {
    /// Where the search begins.
    pub start: f64,
    /// Step over which differences are taken; the derivative is (f(x + step) - f(x - step)) / (2 step).
    pub step: f64,
    /// Lower and upper bound.
    pub bounds: Option<(f64, f64)>,
}

/// Residuals, each over its standard deviation.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rows {
    /// Of measurements: these may be outliers.
    pub data: Vec<f64>,
    /// Of what was known before.
    pub prior: Vec<f64>,
}

/// What is to be made small.
pub struct Problem<'a> {
    /// The parameters.
    pub parameters: Vec<Parameter>,
    /// The residuals at parameters; always as many. Nothing where they cannot be computed.
    pub rows: &'a (dyn Fn(&[f64]) -> Option<Rows> + Sync),
    /// Residuals beyond so many standard deviations weigh less; nothing for plain least squares.
    pub huber: Option<f64>,
    /// Relative change of sum and parameters at which the search ends.
    pub tolerance: f64,
}

/// The least.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The parameters.
    pub values: Vec<f64>,
    /// Their covariance for residuals whose standard deviation is 1.
    pub covariance: Vec<Vec<f64>>,
    /// Residuals there.
    pub rows: Rows,
    /// Weights of the measurements: 1, or less for outliers.
    pub weights: Vec<f64>,
    /// Whether the search ended of itself.
    pub converged: bool,
}

/// Rounds of reweighting.
const MOST_ROUNDS: usize = 5;
/// Weights that change by no more are settled.
const SETTLED: f64 = 0.02;
/// Steps beyond the search at most, and the fall of the sum that makes another worth while.
const MOST_POLISHING: usize = 8;
const LEAST_GAIN: f64 = 0.02;
/// How close to a bound a search may begin, as a share of the range.
const INSIDE: f64 = 1e-3;

/// Finds the least. Nothing if the residuals cannot be computed at the beginning, or if there are fewer of them than parameters.
#[must_use]
pub fn solve(problem: &Problem<'_>) -> Option<Solution> {
    let first = (problem.rows)(&problem.parameters.iter().map(|p| p.start).collect::<Vec<_>>())?;
    if first.data.len() + first.prior.len() < problem.parameters.len() || problem.parameters.is_empty() {
        return None;
    }
    let mut weights = match problem.huber {
        Some(limit) => first.data.iter().map(|r| huber_weight(*r, limit)).collect(),
        None => vec![1.0; first.data.len()],
    };
    let mut values: Vec<f64> = problem.parameters.iter().map(|p| p.start).collect();
    let mut converged = false;
    for _ in 0..if problem.huber.is_some() { MOST_ROUNDS } else { 1 } {
        let search = Search { problem, free: DVector::from_vec(free_of(problem, &values)), weights: &weights };
        let method = LevenbergMarquardt::new()
            .with_ftol(problem.tolerance)
            .with_xtol(problem.tolerance)
            .with_gtol(problem.tolerance.min(1e-8))
            .with_patience(20);
        let (found, report) = method.minimize(search);
        values = found.values();
        converged = report.termination.was_successful();
        let Some(limit) = problem.huber else { break };
        let rows = (problem.rows)(&values)?;
        let next: Vec<f64> = rows.data.iter().map(|r| huber_weight(*r, limit)).collect();
        let change = next.iter().zip(&weights).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        weights = next;
        if change < SETTLED {
            break;
        }
    }
    let rows = (problem.rows)(&values)?;
    let covariance = inverted(&jacobian(problem, &values, &weights, rows.data.len() + rows.prior.len()))?;
    Some(Solution { values, covariance, rows, weights, converged })
}

/// Goes on from a solution by Gauss and Newton's steps over the differences of `problem`, as long as the sum falls: where residuals
/// jump, a search by small differences comes to rest early, and differences as long as the errors see past the jumps.
#[must_use]
pub fn polished(problem: &Problem<'_>, solution: Solution) -> Solution {
    let mut best = solution;
    for _ in 0..MOST_POLISHING {
        let Some(next) = polished_once(problem, &best) else { break };
        best = next;
    }
    best
}

fn polished_once(problem: &Problem<'_>, from: &Solution) -> Option<Solution> {
    let residuals = DVector::from_vec(weighted(&from.rows, &from.weights));
    let jacobian = jacobian(problem, &from.values, &from.weights, residuals.len());
    let covariance = inverted(&jacobian)?;
    let gradient = jacobian.transpose() * &residuals;
    let n = from.values.len();
    let step: Vec<f64> = (0..n).map(|i| -(0..n).map(|j| covariance[i][j] * gradient[j]).sum::<f64>()).collect();
    let before = residuals.norm_squared();
    [1.0, 0.5, 0.25, 0.1].into_iter().find_map(|share| {
        let moved = |i: usize| {
            let (low, high) = problem.parameters[i].bounds.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
            let inside = if low.is_finite() { INSIDE * (high - low) } else { 0.0 };
            (from.values[i] + share * step[i]).clamp(low + inside, high - inside)
        };
        let values: Vec<f64> = (0..n).map(moved).collect();
        let rows = (problem.rows)(&values)?;
        let sum: f64 = weighted(&rows, &from.weights).iter().map(|r| r * r).sum();
        if before - sum < LEAST_GAIN {
            return None;
        }
        let weights = match problem.huber {
            Some(limit) => rows.data.iter().map(|r| huber_weight(*r, limit)).collect(),
            None => from.weights.clone(),
        };
        Some(Solution { values, rows, weights, covariance: covariance.clone(), converged: from.converged })
    })
}

/// Covariance of the parameters at `values` where the residuals bend or jump within the steps of `problem`: a residual's derivative
/// is the lesser of those to either side, and nothing where they disagree in sign. Where it is straight this is what [`solve`] gives.
#[must_use]
pub fn cautious_covariance(problem: &Problem<'_>, values: &[f64], weights: &[f64]) -> Option<Vec<Vec<f64>>> {
    let here = weighted(&(problem.rows)(values)?, weights);
    let slopes = |i: usize, to: f64| {
        let mut moved = values.to_vec();
        moved[i] = to;
        let rows = (problem.rows)(&moved).map(|rows| weighted(&rows, weights))?;
        Some(rows.iter().zip(&here).map(|(there, here)| (there - here) / (to - values[i])).collect::<Vec<f64>>())
    };
    let column = |i: usize| {
        let p = &problem.parameters[i];
        let (low, high) = p.bounds.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        // Close to a bound, both sides are within it.
        let step = p.step.min(0.9 * (high - values[i]).max(1e-3)).min(0.9 * (values[i] - low).max(1e-3));
        match (slopes(i, values[i] - step), slopes(i, values[i] + step)) {
            (Some(below), Some(above)) => below.iter().zip(&above).map(|(a, b)| lesser(*a, *b)).collect(),
            _ => vec![0.0; here.len()],
        }
    };
    let columns: Vec<Vec<f64>> = (0..values.len()).into_par_iter().map(column).collect();
    inverted(&DMatrix::from_fn(here.len(), values.len(), |r, c| columns[c][r]))
}

/// The lesser of two slopes, or nothing if they differ in sign.
fn lesser(a: f64, b: f64) -> f64 {
    if a * b <= 0.0 {
        0.0
    } else if a.abs() < b.abs() {
        a
    } else {
        b
    }
}

/// The covariance that a jacobian of weighted residuals leaves.
fn inverted(jacobian: &DMatrix<f64>) -> Option<Vec<Vec<f64>>> {
    let covariance = inverse(&(jacobian.transpose() * jacobian))?;
    let n = covariance.nrows();
    Some((0..n).map(|i| (0..n).map(|j| covariance[(i, j)]).collect()).collect())
}

/// 1 within the limit, falling with the residual beyond it.
fn huber_weight(residual: f64, limit: f64) -> f64 {
    if residual.abs() <= limit { 1.0 } else { limit / residual.abs() }
}

impl Solution {
    /// Weighted sum of squares of the measurements' residuals.
    #[must_use]
    pub fn sum_of_squares(&self) -> f64 {
        self.rows.data.iter().zip(&self.weights).map(|(r, w)| w * r * r).sum()
    }

    /// Standard errors for residuals whose standard deviation is 1.
    #[must_use]
    pub fn standard_errors(&self) -> Vec<f64> {
        (0..self.values.len()).map(|i| self.covariance[i][i].max(0.0).sqrt()).collect()
    }

    /// Correlation of two parameters.
    #[must_use]
    pub fn correlation(&self, i: usize, j: usize) -> f64 {
        let scale = (self.covariance[i][i] * self.covariance[j][j]).sqrt();
        if scale > 0.0 { (self.covariance[i][j] / scale).clamp(-1.0, 1.0) } else { 0.0 }
    }
}

/// The inverse by way of scaled columns: parameters may differ by orders of magnitude.
fn inverse(normal: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let n = normal.nrows();
    let scale: Vec<f64> = (0..n).map(|i| normal[(i, i)].sqrt()).collect();
    if scale.iter().any(|s| !s.is_finite() || *s <= 0.0) {
        return None;
    }
    let scaled = DMatrix::from_fn(n, n, |i, j| normal[(i, j)] / (scale[i] * scale[j]));
    let inverse = scaled.cholesky()?.inverse();
    Some(DMatrix::from_fn(n, n, |i, j| inverse[(i, j)] / (scale[i] * scale[j])))
}

fn free_of(problem: &Problem<'_>, values: &[f64]) -> Vec<f64> {
    let free = |(p, value): (&Parameter, &f64)| match p.bounds {
        None => *value,
        Some((low, high)) => {
            let share = ((value - low) / (high - low)).clamp(INSIDE, 1.0 - INSIDE);
            (share / (1.0 - share)).ln()
        }
    };
    problem.parameters.iter().zip(values).map(free).collect()
}

fn value_of(p: &Parameter, free: f64) -> f64 {
    match p.bounds {
        None => free,
        Some((low, high)) => low + (high - low) / (1.0 + (-free).exp()),
    }
}

/// How fast a value follows its free parameter.
fn slope_of(p: &Parameter, value: f64) -> f64 {
    match p.bounds {
        None => 1.0,
        Some((low, high)) => (value - low) * (high - value) / (high - low),
    }
}

fn weighted(rows: &Rows, weights: &[f64]) -> Vec<f64> {
    rows.data.iter().zip(weights).map(|(r, w)| r * w.sqrt()).chain(rows.prior.iter().copied()).collect()
}

/// Derivatives of the weighted residuals by the values, a column each. What cannot be computed on either side counts as flat.
fn jacobian(problem: &Problem<'_>, values: &[f64], weights: &[f64], rows: usize) -> DMatrix<f64> {
    let at = |i: usize, value: f64| {
        let mut moved = values.to_vec();
        moved[i] = value;
        (problem.rows)(&moved)
    };
    let column = |i: usize| {
        let p = &problem.parameters[i];
        let (low, high) = p.bounds.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let (below, above) = ((values[i] - p.step).max(low), (values[i] + p.step).min(high));
        match (at(i, below), at(i, above)) {
            (Some(a), Some(b)) if above > below => {
                let (a, b) = (weighted(&a, weights), weighted(&b, weights));
                a.iter().zip(&b).map(|(a, b)| (b - a) / (above - below)).collect()
            }
            _ => vec![0.0; rows],
        }
    };
    let columns: Vec<Vec<f64>> = (0..values.len()).into_par_iter().map(column).collect();
    DMatrix::from_fn(rows, values.len(), |r, c| columns[c][r])
}

struct Search<'a> {
    problem: &'a Problem<'a>,
    free: DVector<f64>,
    weights: &'a [f64],
}

impl Search<'_> {
    fn values(&self) -> Vec<f64> {
        self.problem.parameters.iter().zip(self.free.iter()).map(|(p, free)| value_of(p, *free)).collect()
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Search<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, free: &DVector<f64>) {
        self.free.copy_from(free);
    }

    fn params(&self) -> DVector<f64> {
        self.free.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let rows = (self.problem.rows)(&self.values())?;
        Some(DVector::from_vec(weighted(&rows, self.weights)))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let values = self.values();
        let rows = self.weights.len() + (self.problem.rows)(&values)?.prior.len();
        let mut jacobian = jacobian(self.problem, &values, self.weights, rows);
        for (i, p) in self.problem.parameters.iter().enumerate() {
            jacobian.column_mut(i).scale_mut(slope_of(p, values[i]));
        }
        Some(jacobian)
    }
}
