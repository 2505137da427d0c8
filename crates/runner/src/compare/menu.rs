//! The short menu of launches from which every car of a draw takes the one that suits it best.

use rayon::prelude::*;

use super::car::Car;
use super::draws::{Field, normals};
use crate::launch::Launch;
use crate::watch::Watch;

/// Launches on the menu.
pub(super) const MENU: usize = 8;

/// Draws of each car in which launches are tried for it.
const TRIALS: usize = 5;
/// What a launch that does not arrive is taken to need, s: more than any that does.
const LOST_S: f64 = 60.0;

/// Held revs that are tried, from idle (0) to the limiter (1).
const HELD_SHARES: [f64; 9] = [0.06, 0.12, 0.18, 0.25, 0.33, 0.42, 0.52, 0.64, 0.8];
/// Release times that are tried, s.
const RELEASES_S: [f64; 6] = [0.2, 0.4, 0.7, 1.1, 1.7, 2.8];
/// Throttle eases that are tried, s.
const EASES_S: [f64; 2] = [0.1, 0.9];

/// Chosen one after the other, each the one that most shortens the mean of the best times so far, over a few draws of every car; so the
/// first few of a menu are the best short menu too. Nothing if it was called off.
pub(super) fn menu(field: &Field<'_>, planned: &[Option<Car>], seed: u32, watch: &dyn Watch) -> Option<Vec<Launch>> {
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
            let starts =
                field.on_menu(&field.cars[car], &candidates, &|key| place.get(key).map_or(0.0, |&i| z[i]));
            watch.done(candidates.len() as u64);
            Some(starts.into_iter().map(|(time_s, sound)| if sound { time_s } else { LOST_S }).collect())
        })
        .collect();
    let tried = tried?;
    let mut best_s = vec![2.0 * LOST_S; tried.len()];
    let mut chosen: Vec<usize> = Vec::new();
    while chosen.len() < MENU {
        let sum = |candidate: usize| tried.iter().zip(&best_s).map(|(times, best)| times[candidate].min(*best)).sum::<f64>();
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
    TRIALS as u64 * cars * (cars + (HELD_SHARES.len() * RELEASES_S.len() * EASES_S.len()) as u64)
}

/// The best launch of every car, and a grid over what launches can be.
fn candidates(field: &Field<'_>, planned: &[Option<Car>]) -> Vec<Launch> {
    let mut candidates: Vec<Launch> = planned.iter().flatten().map(|car| car.launch.clone()).collect();
    let engine = &field.cars[0].expected.vehicle.engine;
    let span = engine.limiter.cut_radps - engine.idle_radps;
    let Some(of) = candidates.first().cloned() else { return candidates };
    for share in HELD_SHARES {
        for release_s in RELEASES_S {
            for throttle_ease_s in EASES_S {
                let held_radps = engine.idle_radps + share * span;
                candidates.push(Launch { held_radps, release_s, throttle_ease_s, ..of.clone() });
            }
        }
    }
    candidates
}
