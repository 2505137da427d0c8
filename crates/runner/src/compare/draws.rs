//! Cars drawn from their spreads: the same error for the same input in every car of a draw.
//!
//! In each draw every car is launched as is recommended for the car as it is expected: the driver does not know the draw. The launches
//! are chosen to be forgiving, so that the bands show what a part is worth and not how badly a knife's edge suits a car that turns out
//! otherwise.

use std::collections::HashMap;

use bitepoint_inputs::problem::Problems;
use rayon::prelude::*;

use super::car::{Expected, time_of};
use crate::bands::{self, FIRST_FREE, deviate};
use crate::case::Case;
use crate::launch::Launch;
use crate::target::Target;
use crate::watch::Watch;

/// Cars that are driven in the same draws, the base first.
#[derive(Debug, Clone)]
pub(super) struct Field<'a> {
    pub(super) cars: Vec<Driven<'a>>,
    /// Names of their uncertain inputs.
    pub(super) names: Vec<String>,
    pub(super) target: Target,
}

/// One car with its launch; nothing if none gets it to the target.
#[derive(Debug, Clone)]
pub(super) struct Driven<'a> {
    pub(super) case: &'a Case,
    pub(super) expected: &'a Expected,
    pub(super) launch: Option<Launch>,
}

/// Times to the target in one draw, s, car by car; nothing for one that did not arrive.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Times {
    /// Each with its own launch and shift points.
    pub(super) own: Vec<Option<f64>>,
    /// Each with the launch and the shift points of the base.
    pub(super) as_base: Vec<Option<f64>>,
}

/// Starts of one draw.
pub(super) const fn runs_a_draw(cars: u64) -> u64 {
    2 * cars
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
    let mut next_own = FIRST_FREE;
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
    pub(super) fn times(&self, draws: u32, seed: u32, watch: &dyn Watch) -> Option<Vec<(Vec<f64>, Times)>> {
        let place = self.places();
        (0..draws)
            .into_par_iter()
            .map(|draw| {
                if watch.called_off() {
                    return None;
                }
                let z = normals(&self.names, draw, seed);
                let times = self.drawn(&|key| place.get(key).map_or(0.0, |&i| z[i]));
                watch.done(runs_a_draw(self.cars.len() as u64));
                Some((z, times))
            })
            .collect()
    }

    /// Place of each name among the deviates of a set.
    pub(super) fn places(&self) -> HashMap<&str, usize> {
        self.names.iter().enumerate().map(|(i, name)| (name.as_str(), i)).collect()
    }

    fn drawn(&self, normal: &dyn Fn(&str) -> f64) -> Times {
        let of_base = self.cars[0].launch.as_ref();
        let times = |car: &Driven<'_>| {
            let (vehicle, scenario) = car.case.drawn(&car.expected.vehicle, normal);
            let with = |launch: &Launch| time_of(&vehicle, &scenario, launch, self.target).map(|(_, time_s)| time_s);
            let own = car.launch.as_ref().and_then(with);
            let as_base = if car.launch.as_ref() == of_base { own } else { of_base.and_then(with) };
            (own, as_base)
        };
        let (own, as_base) = self.cars.iter().map(times).unzip();
        Times { own, as_base }
    }
}
