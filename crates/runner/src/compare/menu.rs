//! The short menu of launches from which every car of a draw takes the one that suits it best.

use bitepoint_physics::driver::ReleaseShape;
use rayon::prelude::*;

use super::draws::{Field, normals};
use super::starts::Starts;
use crate::launch::Launch;
use crate::plan::Decision;
use crate::watch::Watch;

/// Launches on the menu.
pub(super) const MENU: usize = 12;

/// Draws of each car in which launches are tried for it.
const TRIALS: usize = 5;
/// What a launch that does not arrive is taken to need, s: more than any that does.
const LOST_S: f64 = 60.0;

/// Launches that are tried beside the best ones of the cars as expected.
const SPREAD: u32 = 512;
const SHAPES: [ReleaseShape; 2] = [ReleaseShape::QuickToBite, ReleaseShape::Straight];

/// Chosen one after the other, each the one that most shortens the mean of the best times so far, over a few draws of every car; so the
/// first few of a menu are the best short menu too. Nothing if it was called off.
pub(super) fn menu(field: &Field<'_>, planned: &[Option<Launch>], seed: u32, watch: &dyn Watch) -> Option<Vec<Launch>> {
    let candidates = candidates(field, planned);
    let place = field.places();
    let trials: Vec<(usize, u32)> = (0..TRIALS * field.cars.len()).map(|i| (i % field.cars.len(), i as u32)).collect();
    let tried: Option<Vec<Vec<f64>>> = trials
        .into_par_iter()
        .map(|(car, draw)| {
            if watch.called_off() {
                return None;
            }
            let z = normals(&field.names, draw, seed);
            let normal = |key: &str| place.get(key).map_or(0.0, |&i| z[i]);
            let starts = Starts::of(field, &field.cars[car], &normal);
            watch.done(candidates.len() as u64);
            Some(candidates.iter().map(|launch| starts.worth_s(launch).min(LOST_S)).collect())
        })
        .collect();
    let tried = tried?;
    let mut best_s = vec![2.0 * LOST_S; tried.len()];
    let mut chosen: Vec<usize> = Vec::new();
    while chosen.len() < MENU {
        let sum =
            |candidate: usize| tried.iter().zip(&best_s).map(|(times, best)| times[candidate].min(*best)).sum::<f64>();
        let sums: Vec<f64> = (0..candidates.len()).map(sum).collect();
        let Some(next) = (0..sums.len()).min_by(|a, b| sums[*a].total_cmp(&sums[*b])) else { break };
        if sums[next] >= best_s.iter().sum::<f64>() {
            break;
        }
        chosen.push(next);
        tried.iter().zip(&mut best_s).for_each(|(times, best)| *best = best.min(times[next]));
    }
    Some(chosen.into_iter().map(|i| candidates[i].clone()).collect())
}

/// Starts that are tried in choosing the menu.
pub(super) fn runs(cars: u64) -> u64 {
    TRIALS as u64 * cars * (cars + u64::from(SPREAD))
}

/// The best launch of every car, and launches spread evenly over all that there could be; half of them go straight to wide open.
fn candidates(field: &Field<'_>, planned: &[Option<Launch>]) -> Vec<Launch> {
    let mut candidates: Vec<Launch> = planned.iter().flatten().cloned().collect();
    let vehicle = &field.cars[0].expected.vehicle;
    let Some(of) = candidates.first().cloned() else { return candidates };
    candidates.extend((0..SPREAD).map(|i| {
        let shaped = Launch { release_shape: SHAPES[i as usize % SHAPES.len()], ..of.clone() };
        let launch = Decision::LAUNCH.iter().enumerate().fold(shaped, |launch, (dimension, decision)| {
            decision.with(&launch, decision.at(f64::from(sobol_burley::sample(i, dimension as u32, 0)), vehicle))
        });
        // By halves, each of which is spread evenly itself: even and odd points of the sequence lie apart.
        if i < SPREAD / 2 { Launch { part_throttle: 1.0, ..launch } } else { launch }
    }));
    candidates
}
