//! Which estimates a time depends on most: the first to give in the file.

use bitepoint_inputs::key::Key;
use bitepoint_inputs::problem::Problems;
use bitepoint_physics::simulate::{Tolerances, simulate};
use rayon::prelude::*;

use crate::case::Case;
use crate::slope::slope;
use crate::target::Target;

/// What one estimate does to a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence {
    /// Its key.
    pub key: &'static Key,
    /// Change of the time for one standard deviation more, s; the mean over both sides.
    pub s_per_sd: f64,
}

/// A time and the estimates that it depends on, the most important first.
#[derive(Debug, Clone, PartialEq)]
pub struct Influences {
    /// The time with every value as expected, s.
    pub time_s: f64,
    /// One for each value of the car that has a spread and moves the time.
    pub of: Vec<Influence>,
}

/// Moves every uncertain value of the car by up to one and a half standard deviations either way, the launch staying as it is. Nothing if the car does not get
/// to the target.
///
/// # Errors
/// Files that do not go together.
pub fn influences(case: &Case, target: Target) -> Result<Option<Influences>, Problems> {
    // What is not known of the rules counts with each value: a reader gives values, not rules.
    let vehicle = case.vehicle.folded();
    let resolved = case.resolve()?;
    let day = target.ending(&resolved.scenario.scenario);
    let time_s = |vehicle: &_| target.time_s(&simulate(vehicle, &day, &Tolerances::default()).ok()?);
    let Some(expected_s) = time_s(&resolved.vehicle.vehicle) else { return Ok(None) };
    let entries = vehicle.resolve().entries;
    let uncertain: Vec<&'static Key> = entries.iter().filter(|e| e.spread_sd_si > 0.0).map(|e| e.key).collect();
    let mut of: Vec<Influence> = uncertain
        .into_par_iter()
        .filter_map(|key| {
            let moved_s = |z: f64| time_s(&vehicle.resolve_with(&|name| if name == key.path { z } else { 0.0 }));
            let s_per_sd = slope(moved_s);
            (s_per_sd != 0.0).then_some(Influence { key, s_per_sd })
        })
        .collect();
    of.sort_by(|a, b| b.s_per_sd.abs().total_cmp(&a.s_per_sd.abs()).then(a.key.path.cmp(b.key.path)));
    Ok(Some(Influences { time_s: expected_s, of }))
}
