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
use statrs::distribution::{ContinuousCDF, Normal};

use super::car::{Expected, time_of};
use crate::bands::deviate;
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
    /// Each with the launch that suits the base best, and the base's shift points; empty unless asked for.
    pub(super) as_base: Vec<Option<f64>>,
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
        normal_at(draw, next_own - 1, seed)
    };
    names.iter().map(&mut normal).collect()
}

/// Standard normal deviate in a dimension of the Owen-scrambled Sobol sequence.
pub(super) fn normal_at(draw: u32, dimension: usize, seed: u32) -> f64 {
    // Beyond the dimensions that the sequence has it is begun again under another seed; no car has so many unknowns.
    let count = sobol_burley::NUM_DIMENSIONS;
    let (turn, dimension) = (dimension as u32 / count, dimension as u32 % count);
    let uniform = f64::from(sobol_burley::sample(draw, dimension, seed.wrapping_add(turn.wrapping_mul(0x9E37_79B9))));
    Normal::standard().inverse_cdf(uniform.max(2.0_f64.powi(-25)))
}

impl Field<'_> {
    /// Times in each of some sets of deviates; nothing if it was called off.
    pub(super) fn times(
        &self,
        menu: &[Launch],
        with_base_plan: bool,
        sets: u32,
        deviates: &(dyn Fn(u32) -> Vec<f64> + Sync),
        watch: &dyn Watch,
    ) -> Option<Vec<Times>> {
        let place = self.places();
        (0..sets)
            .into_par_iter()
            .map(|set| {
                if watch.called_off() {
                    return None;
                }
                let z = deviates(set);
                let times = self.drawn(menu, with_base_plan, &|key| place.get(key).map_or(0.0, |&i| z[i]));
                watch.done((menu.len() * self.cars.len()) as u64);
                Some(times)
            })
            .collect()
    }

    /// Place of each name among the deviates of a set.
    pub(super) fn places(&self) -> HashMap<&str, usize> {
        self.names.iter().enumerate().map(|(i, name)| (name.as_str(), i)).collect()
    }

    fn drawn(&self, menu: &[Launch], with_base_plan: bool, normal: &dyn Fn(&str) -> f64) -> Times {
        let mut times = Times { own: Vec::with_capacity(self.cars.len()), as_base: Vec::new() };
        let mut of_base = 0;
        for (i, car) in self.cars.iter().enumerate() {
            let each = self.on_menu(car, menu, normal);
            let best = quickest(&each);
            times.own.push(best.map(|best| each[best].0));
            if i == 0 {
                of_base = best.unwrap_or(0);
            }
            if with_base_plan {
                let shift_at_radps = &self.cars[0].shift_at_radps;
                times.as_base.push(if *shift_at_radps == car.shift_at_radps {
                    each[of_base].0.is_finite().then_some(each[of_base].0)
                } else {
                    let launch = Launch { shift_at_radps: shift_at_radps.clone(), ..menu[of_base].clone() };
                    let (vehicle, scenario) = car.case.drawn(&car.expected.vehicle, normal);
                    time_of(&vehicle, &scenario, &launch, self.target).map(|(_, time_s)| time_s)
                });
            }
        }
        times.own.iter_mut().for_each(|time| *time = time.filter(|s| s.is_finite()));
        times
    }

    /// A drawn car's time with each launch of a menu, and whether its engine was kept out of stalling's reach.
    pub(super) fn on_menu(&self, car: &Driven<'_>, menu: &[Launch], normal: &dyn Fn(&str) -> f64) -> Vec<(f64, bool)> {
        let (vehicle, scenario) = car.case.drawn(&car.expected.vehicle, normal);
        let timed = |launch: &Launch| {
            let launch = Launch { shift_at_radps: car.shift_at_radps.clone(), ..launch.clone() };
            match time_of(&vehicle, &scenario, &launch, self.target) {
                Some((run, time_s)) if self.limits.kept_by(&run) => {
                    (time_s, run.launch.lowest_radps >= vehicle.engine.idle_radps)
                }
                _ => (f64::INFINITY, false),
            }
        };
        menu.iter().map(timed).collect()
    }
}

/// Place of the quickest start: among those that keep the engine above idle, which a person can repeat, if there are any.
fn quickest(starts: &[(f64, bool)]) -> Option<usize> {
    let of = |sound: bool| {
        let those = starts.iter().enumerate().filter(move |(_, start)| start.0.is_finite() && (start.1 || !sound));
        those.min_by(|a, b| a.1.0.total_cmp(&b.1.0)).map(|(i, _)| i)
    };
    of(true).or_else(|| of(false))
}
