//! Looking for the least of a rough function over a cube from 0 to 1 in every direction.
//!
//! A launch's time has jumps of milliseconds (a shift more or less, a driver who lifts or not, stalls) and several valleys. So: points of
//! a Sobol sequence over the whole cube, each with a line along the last axis through it, and what is known beforehand; then, from the best that lie
//! apart from each other, the simplex of Nelder and Mead (Computer Journal 7 (1965) 308) out of the crate `argmin`, and from what that found once more with a new, smaller simplex,
//! which frees one that has collapsed on a slope. The simplex only asks which of two points is better and
//! steps over what is smaller than itself; methods with gradients or models (BFGS, COBYLA) follow the steps instead. An evolution
//! strategy (CMA-ES, crate `cmaes`) from the same starts with as many runs came to the same times for seven of the ten examples and to
//! times 0.02 to 0.4 s longer for the others. The simplex adds and multiplies and does nothing else, so that its path is the same on every
//! machine.

use argmin::core::{CostFunction, Error, Executor};
use argmin::solver::neldermead::NelderMead;
use rayon::prelude::*;

/// What is to be made small. It may be infinite, not "not a number".
pub type Objective<'a> = dyn Fn(&[f64]) -> f64 + Sync + 'a;

/// A point and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The point, each coordinate from 0 to 1.
    pub at: Vec<f64>,
    /// Its value.
    pub value: f64,
}

/// How much is tried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Points of the sequence, each with a line through it.
    pub coarse: u32,
    /// Simplexes that are sent off.
    pub starts: usize,
    /// Steps of each.
    pub steps: u64,
    /// Seed of the sequence's scrambling.
    pub seed: u32,
}

/// Edge of a first simplex, and of the one that is set up anew around what the first found.
const EDGE: f64 = 0.12;
const SECOND_EDGE: f64 = 0.04;
/// Points on each line along an axis.
const ON_LINE: u32 = 24;
/// A simplex whose corners' values differ by no more (standard deviation) has arrived: in seconds, well under a millisecond.
const ALIKE: f64 = 1e-4;
/// Starts lie at least this far apart.
const APART: f64 = 0.2;
/// Two bottoms that are no further apart are one.
const DISTINCT: f64 = 0.05;

/// The least that was found over the whole cube of `dimensions`; `known` are points that are tried besides.
#[must_use]
pub fn over_cube(objective: &Objective<'_>, dimensions: usize, known: &[Vec<f64>], effort: Effort) -> Found {
    let found = valleys(objective, dimensions, known, effort, 1);
    best(found).unwrap_or_else(|| Found { at: vec![0.5; dimensions], value: f64::INFINITY })
}

/// The bottoms of the deepest valleys that were found, at most `count`, deepest first.
#[must_use]
pub fn valleys(
    objective: &Objective<'_>,
    dimensions: usize,
    known: &[Vec<f64>],
    effort: Effort,
    count: usize,
) -> Vec<Found> {
    let sequence = (0..effort.coarse).map(|i| {
        (0..dimensions).map(|d| f64::from(sobol_burley::sample(i, d as u32, effort.seed))).collect::<Vec<f64>>()
    });
    let points: Vec<Vec<f64>> = sequence.collect();
    let lines = points.into_par_iter().map(|at| on_line(objective, &at));
    let known = known.to_vec().into_par_iter().map(|at| Found { value: objective(&at), at });
    let mut coarse: Vec<Found> = known.chain(lines).collect();
    coarse.sort_by(|a, b| a.value.total_cmp(&b.value));
    let mut found: Vec<Found> = apart(&coarse, effort.starts, APART)
        .into_par_iter()
        .map(|start| {
            let first = from_start(objective, &start, EDGE, effort.steps);
            from_start(objective, &first, SECOND_EDGE, effort.steps / 2)
        })
        .collect();
    found.sort_by(|a, b| a.value.total_cmp(&b.value));
    apart(&found, count, DISTINCT)
}

/// The least of the values; the first of equals.
#[must_use]
pub fn best(found: Vec<Found>) -> Option<Found> {
    found.into_iter().reduce(|best, other| if other.value < best.value { other } else { best })
}

/// The least on a line along the last axis through a point.
///
/// The deepest places of a launch's time lie along thin sheets (just not lifting, just not bogging), which points miss and lines cross.
fn on_line(objective: &Objective<'_>, through: &[f64]) -> Found {
    let points = (0..ON_LINE).map(|i| {
        let mut at = through.to_vec();
        if let Some(last) = at.last_mut() {
            // The point itself and even steps from it, around the end.
            *last = (*last + f64::from(i) / f64::from(ON_LINE)).rem_euclid(1.0);
        }
        Found { value: objective(&at), at }
    });
    let least = points.reduce(|least, other| if other.value < least.value { other } else { least });
    least.unwrap_or_else(|| Found { at: through.to_vec(), value: f64::INFINITY })
}

/// The best `count` of sorted points that lie apart from each other.
fn apart(sorted: &[Found], count: usize, distance: f64) -> Vec<Found> {
    let mut chosen: Vec<Found> = Vec::new();
    for point in sorted {
        let near = |other: &Found| point.at.iter().zip(&other.at).all(|(a, b)| (a - b).abs() < distance);
        if chosen.len() < count && !chosen.iter().any(near) {
            chosen.push(point.clone());
        }
    }
    chosen
}

/// The least that one simplex finds from a start, with edges of this length.
#[must_use]
pub fn from_start(objective: &Objective<'_>, start: &Found, edge: f64, steps: u64) -> Found {
    let mut corners = vec![start.at.clone()];
    for d in 0..start.at.len() {
        let mut corner = start.at.clone();
        // Towards the middle, so that the simplex has room.
        corner[d] += if corner[d] > 0.5 { -edge } else { edge };
        corners.push(corner);
    }
    let run = NelderMead::new(corners).with_sd_tolerance(ALIKE).and_then(|solver| {
        Executor::new(Folded(objective), solver).configure(|state| state.max_iters(steps)).timer(false).run()
    });
    // The objective cannot fail; should the crate refuse, the start is what is known.
    match run.ok().and_then(|result| Some((result.state.best_param?, result.state.best_cost))) {
        Some((at, value)) if value < start.value => Found { at: folded(&at), value },
        _ => start.clone(),
    }
}

/// The objective beyond the cube is its mirror image, so that a simplex at a wall goes on.
struct Folded<'a>(&'a Objective<'a>);

impl CostFunction for Folded<'_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, at: &Vec<f64>) -> Result<f64, Error> {
        Ok((self.0)(&folded(at)))
    }
}

fn folded(at: &[f64]) -> Vec<f64> {
    let fold = |x: &f64| {
        let x = x.rem_euclid(2.0);
        if x > 1.0 { 2.0 - x } else { x }
    };
    at.iter().map(fold).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const EFFORT: Effort = Effort { coarse: 16, starts: 8, steps: 60, seed: 8 };

    /// H. H. Rosenbrock, Computer Journal 3 (1960) 175: a bent valley with its least, 0, at (1, 1) (from memory). Here over -2 to 2.
    #[test]
    fn the_end_of_rosenbrocks_valley_is_found() {
        let valley = |at: &[f64]| {
            let (x, y) = (4.0 * at[0] - 2.0, 4.0 * at[1] - 2.0);
            100.0 * (y - x * x).powi(2) + (1.0 - x).powi(2)
        };
        let found = over_cube(&valley, 2, &[], EFFORT);
        assert!(found.value < 1e-4, "{found:?}");
        assert!((found.at[0] - 0.75).abs() < 0.01 && (found.at[1] - 0.75).abs() < 0.01, "{found:?}");
    }

    /// L. A. Rastrigin, Systems of Extremal Control (1974): a bowl with a hundred dents, the deepest, 0, in the middle (from memory). Here
    /// over -4 to 6, so that the middle of the cube is not the answer.
    #[test]
    fn the_deepest_of_rastrigins_dents_is_found() {
        let dents = |at: &[f64]| -> f64 {
            let term = |s: f64| {
                let x = 10.0 * s - 4.0;
                10.0 + x * x - 10.0 * (core::f64::consts::TAU * x).cos()
            };
            at.iter().map(|s| term(*s)).sum()
        };
        let found = over_cube(&dents, 2, &[], Effort { coarse: 512, starts: 24, steps: 60, seed: 8 });
        assert!(found.value < 1e-3, "{found:?}");
    }

    /// F. H. Branin, IBM Journal of Research and Development 16 (1972) 504: three equal least values of 0.397887 (from memory).
    #[test]
    fn one_of_branins_three_least_values_is_found() {
        let branin = |at: &[f64]| {
            let pi = core::f64::consts::PI;
            let (x, y) = (15.0 * at[0] - 5.0, 15.0 * at[1]);
            (y - 5.1 / (4.0 * pi * pi) * x * x + 5.0 / pi * x - 6.0).powi(2)
                + 10.0 * (1.0 - 1.0 / (8.0 * pi)) * x.cos()
                + 10.0
        };
        let found = over_cube(&branin, 2, &[], EFFORT);
        assert!((found.value - 0.397_887).abs() < 1e-4, "{found:?}");
    }

    /// What a launch's time looks like: a valley in steps, with a cliff beside its deepest place.
    #[test]
    fn a_valley_of_steps_beside_a_cliff_is_followed_to_its_bottom() {
        let steps = |at: &[f64]| {
            let d: f64 = at.iter().zip([0.31, 0.62, 0.45]).map(|(x, c)| (x - c) * (x - c)).sum();
            if at[0] < 0.30 { 1e6 } else { (d * 500.0).floor() / 500.0 }
        };
        let found = over_cube(&steps, 3, &[], EFFORT);
        assert!(found.value <= 0.002, "{found:?}");
    }

    #[test]
    fn what_is_known_beforehand_is_not_lost() {
        let needle = |at: &[f64]| if (at[0] - 0.123_456).abs() < 1e-6 { -1.0 } else { at[0] };
        let found = over_cube(&needle, 1, &[vec![0.123_456]], EFFORT);
        assert_eq!(found.value, -1.0);
    }
}
