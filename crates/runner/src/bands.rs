//! How far the times could be off, given what is only estimated about car and conditions and how consistent the driver is.
//!
//! Every uncertain value is moved by its own standard normal deviate and the run is made again. The deviates come from an
//! Owen-scrambled Sobol sequence, which fills the space of values more evenly than random numbers do, through the normal
//! quantile function. A key has the same dimension in every file, so that two cars that share an estimate share its error.

use bitepoint_inputs::rules::{RULE_DEVIATE, RULE_NAMES};
use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_inputs::scenario_keys::SCENARIO_KEYS;
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use bitepoint_physics::run::Ending;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::timing::{GATE_COUNT, GATES, Passed};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

use crate::case::Case;
use crate::plan::scattered;

/// Spread of the times at every gate.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Bands {
    /// Number of runs with moved values.
    pub runs: u32,
    /// Those of them that stalled or did not reach the finish for another reason.
    pub unfinished: u32,
    /// Gates that at least half of them passed, in the order of the gates; each band is of the runs that passed.
    pub gates: Vec<GateBand>,
}

/// Spread of the time at one gate, s.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct GateBand {
    /// Name of the gate.
    pub gate: &'static str,
    /// From the car's first movement.
    pub from_movement: Band,
    /// From the end of the rollout; nothing for a mark that lies within it.
    pub with_rollout: Option<Band>,
    /// Runs that did not pass it.
    pub not_passed: u32,
}

/// From the 5th to the 95th percentile, s.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Band {
    /// 5th percentile, s.
    pub low_s: f64,
    /// 95th percentile, s.
    pub high_s: f64,
}

/// Dimension of the first number of the rules.
const FIRST_RULE: usize = VEHICLE_KEYS.len() + SCENARIO_KEYS.len();
/// First dimension that no input of the files or of the rules has.
pub(crate) const FIRST_FREE: usize = FIRST_RULE + RULE_NAMES.len();

/// Share of the runs that has to pass a gate for it to have a band.
const LEAST_PASSED: f64 = 0.5;

/// Standard normal deviate of a key in a draw: the same for the same key, draw and seed.
#[must_use]
pub fn deviate(key: &str, draw: u32, seed: u32) -> f64 {
    let in_vehicle = || VEHICLE_KEYS.iter().position(|k| k.path == key);
    let in_scenario = || SCENARIO_KEYS.iter().position(|k| k.path == key).map(|i| VEHICLE_KEYS.len() + i);
    let dimension = match key.strip_prefix(RULE_DEVIATE) {
        Some(rule) => RULE_NAMES.iter().position(|name| *name == rule).map(|i| FIRST_RULE + i),
        None => in_vehicle().or_else(in_scenario),
    };
    dimension.map_or(0.0, |dimension| normal(dimension, draw, seed))
}

/// Standard normal deviate of a dimension in a draw.
pub(crate) fn normal(dimension: usize, draw: u32, seed: u32) -> f64 {
    // The sequence may give 0 itself, whose quantile is without bound; half of its finest step is next to it.
    Normal::standard().inverse_cdf(uniform(dimension, draw, seed).max(2.0_f64.powi(-25)))
}

/// Number from 0 to 1 of a dimension in a draw.
pub(crate) fn uniform(dimension: usize, draw: u32, seed: u32) -> f64 {
    // Beyond the dimensions that the sequence has it is begun again under another seed; no car has so many unknowns.
    let count = sobol_burley::NUM_DIMENSIONS;
    let (turn, dimension) = (dimension as u32 / count, dimension as u32 % count);
    f64::from(sobol_burley::sample(draw, dimension, seed.wrapping_add(turn.wrapping_mul(0x9E37_79B9))))
}

/// A start that could be: car and day as they may be, the driver as consistent as drivers of that sort are, the launch as planned for the car
/// as expected.
#[must_use]
pub fn possible_start(
    case: &Case,
    expected: &Vehicle,
    scatter: &DriverScatter,
    draw: u32,
    seed: u32,
) -> (Vehicle, Scenario) {
    let normal = |key: &str| deviate(key, draw, seed);
    let (vehicle, day) = case.drawn(expected, &normal);
    let driver = scattered(&day.driver, scatter, &vehicle, &normal);
    (vehicle, Scenario { driver, ..day })
}

/// Bands of the times of a case over what is not known of car and day, and over the driver's scatter.
#[must_use]
pub fn bands(case: &Case, expected: &Vehicle, scatter: &DriverScatter, runs: u32, seed: u32) -> Bands {
    let times: Vec<(bool, [Option<Passed>; GATE_COUNT])> = (0..runs)
        .into_par_iter()
        .map(|draw| {
            let (moved_vehicle, moved_scenario) = possible_start(case, expected, scatter, draw, seed);
            // A run that can't be computed passes no gate.
            let run = simulate(&moved_vehicle, &moved_scenario, &Tolerances::default());
            let finished = run.as_ref().is_ok_and(|run| run.ending == Ending::Finished);
            (finished, core::array::from_fn(|gate| run.as_ref().ok().and_then(|run| run.gates[gate].passed)))
        })
        .collect();
    let gates = (0..GATE_COUNT).filter_map(|gate| gate_band(gate, times.iter().map(|run| run.1[gate]))).collect();
    let unfinished = times.iter().filter(|run| !run.0).count() as u32;
    Bands { runs, unfinished, gates }
}

fn gate_band(gate: usize, passed: impl ExactSizeIterator<Item = Option<Passed>> + Clone) -> Option<GateBand> {
    let runs = passed.len();
    let reached = passed.clone().flatten().count();
    if reached == 0 || (reached as f64) < LEAST_PASSED * runs as f64 {
        return None;
    }
    let rolled: Vec<f64> = passed.clone().flatten().filter_map(|p| p.with_rollout_s).collect();
    Some(GateBand {
        gate: GATES[gate].name,
        from_movement: Band::of(passed.flatten().map(|p| p.time_s).collect()),
        with_rollout: (rolled.len() == reached).then(|| Band::of(rolled)),
        not_passed: (runs - reached) as u32,
    })
}

impl Band {
    /// 5th and 95th percentile of values, by straight lines between order statistics.
    #[must_use]
    pub fn of(mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let place = share * (values.len() - 1) as f64;
            let below = place.floor() as usize;
            let above = (below + 1).min(values.len() - 1);
            values[below] + (values[above] - values[below]) * (place - below as f64)
        };
        Self { low_s: at(0.05), high_s: at(0.95) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn deviates_of_a_key_are_standard_normal() {
        let key = VEHICLE_KEYS[20].path;
        let draws: Vec<f64> = (0..4096).map(|draw| deviate(key, draw, 7)).collect();
        let mean = draws.iter().sum::<f64>() / 4096.0;
        let variance = draws.iter().map(|z| (z - mean) * (z - mean)).sum::<f64>() / 4095.0;
        assert!(mean.abs() < 0.01, "{mean}");
        assert!((variance - 1.0).abs() < 0.02, "{variance}");
    }

    #[test]
    fn keys_are_independent_of_each_other() {
        let (a, b) = (VEHICLE_KEYS[11].path, SCENARIO_KEYS[3].path);
        let sum: f64 = (0..4096).map(|draw| deviate(a, draw, 1) * deviate(b, draw, 1)).sum();
        assert!((sum / 4096.0).abs() < 0.03, "{}", sum / 4096.0);
    }

    #[test]
    fn a_band_of_known_values_has_their_percentiles() {
        let band = Band::of((0..=100).rev().map(f64::from).collect());
        assert_eq!((band.low_s, band.high_s), (5.0, 95.0));
    }
}
