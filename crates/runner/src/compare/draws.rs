//! Cars drawn from their spreads: the same error for the same input in every car of a draw.
//!
//! In each draw every car is launched by whichever launch of a short menu suits it best there, as by a driver who has come to know
//! the car. With one launch kept for all draws the bands would mostly show how badly it suits a car that turns out otherwise, not what
//! a part is worth.

use std::collections::HashMap;

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario_keys::SCENARIO_KEYS;
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use rayon::prelude::*;

use super::car::Expected;
use super::starts::Starts;
use crate::bands::{self, deviate};
use crate::case::Case;
use crate::launch::Launch;
use crate::plan::Limits;
use crate::target::Target;
use crate::watch::Watch;

/// Cars that are driven in the same draws, the base first.
#[derive(Debug, Clone)]
pub(super) struct Field<'a> {
    pub(super) cars: Vec<Driven<'a>>,
    /// Names of their uncertain inputs.
    pub(super) names: Vec<String>,
    pub(super) target: Target,
    pub(super) limits: Limits,
}

/// One car, and the speeds at which it is shifted.
#[derive(Debug, Clone)]
pub(super) struct Driven<'a> {
    pub(super) case: &'a Case,
    pub(super) expected: &'a Expected,
    pub(super) shift_at_radps: Vec<f64>,
}

/// Times to the target in one draw, s, car by car; nothing for one that did not arrive.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Times {
    /// Each with the launch that suits it best, and its own shift points.
    pub(super) own: Vec<Option<f64>>,
    /// Each with the launch that suits the base best, and the base's shift points.
    pub(super) as_base: Vec<Option<f64>>,
}

/// Launches around the best of the menu that are tried for each car of a draw.
const TRIES: usize = 24;

/// Starts of one draw.
pub(super) fn runs_a_draw(cars: u64, menu: u64) -> u64 {
    cars * (menu + TRIES as u64 + cars)
}

/// Names of all inputs of some cases that are not surely known, each once: the base's first, in the order of their tables.
pub(super) fn uncertain_inputs<'a>(
    cases: impl Iterator<Item = (&'a Case, &'a Expected)>,
) -> Result<Vec<String>, Problems> {
    let mut names: Vec<String> = Vec::new();
    for (case, expected) in cases {
        let of_scenario = case.scenario.uncertain_keys(&expected.vehicle);
        for name in case.vehicle.uncertain_inputs().into_iter().chain(of_scenario.into_iter().map(str::to_owned)) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    Ok(names)
}

/// Standard normal deviates of all `names` in a draw. Keys of files have the same ones as in the bands of a plain run; the spreads that
/// parts bring of their own take the dimensions after them.
pub(super) fn normals(names: &[String], draw: u32, seed: u32) -> Vec<f64> {
    let mut next_own = VEHICLE_KEYS.len() + SCENARIO_KEYS.len();
    let mut normal = |name: &String| {
        if !name.starts_with("part.") {
            return deviate(name, draw, seed);
        }
        next_own += 1;
        bands::normal(next_own - 1, draw, seed)
    };
    names.iter().map(&mut normal).collect()
}

impl Field<'_> {
    /// Times in each of some draws, with the deviates of each; nothing if it was called off.
    pub(super) fn times(
        &self,
        menu: &[Launch],
        draws: u32,
        seed: u32,
        watch: &dyn Watch,
    ) -> Option<Vec<(Vec<f64>, Times)>> {
        let place = self.places();
        (0..draws)
            .into_par_iter()
            .map(|draw| {
                if watch.called_off() {
                    return None;
                }
                let z = normals(&self.names, draw, seed);
                let times = self.drawn(menu, &|key| place.get(key).map_or(0.0, |&i| z[i]));
                watch.done(runs_a_draw(self.cars.len() as u64, menu.len() as u64));
                Some((z, times))
            })
            .collect()
    }

    /// Place of each name among the deviates of a set.
    pub(super) fn places(&self) -> HashMap<&str, usize> {
        self.names.iter().enumerate().map(|(i, name)| (name.as_str(), i)).collect()
    }

    fn drawn(&self, menu: &[Launch], normal: &dyn Fn(&str) -> f64) -> Times {
        let starts: Vec<Starts<'_>> = self.cars.iter().map(|car| Starts::of(self, car, normal)).collect();
        let mut tuned: Vec<Option<(Launch, f64)>> = starts.iter().map(|car| car.tuned(menu, TRIES)).collect();
        // What was found for any car is tried for all, so that none is better looked after than another.
        let found: Vec<Launch> = tuned.iter().flatten().map(|(launch, _)| launch.clone()).collect();
        for (car, own) in starts.iter().zip(&mut tuned) {
            *own = car.best_of(own.take(), &found);
        }
        let of_base = tuned[0].as_ref().map(|(launch, _)| launch);
        Times {
            as_base: starts.iter().map(|car| of_base.and_then(|launch| car.time_s(launch))).collect(),
            own: tuned.iter().map(|own| own.as_ref().map(|(_, worth_s)| Starts::time_of_worth_s(*worth_s))).collect(),
        }
    }
}
