//! How much a driver's own times scatter from start to start.

use bitepoint_inputs::scenario::DriverScatter;
use serde::Serialize;

use super::car::{Car, Expected};
use super::watched::Quiet;
use crate::plan::{Judge, Limits, Starts};
use crate::target::Target;
use crate::watch::Watch;

/// Times of the same car, planned the same, driven by a person.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Scatter {
    /// Number of starts.
    pub starts: u32,
    /// Those of them that did not get to the target.
    pub not_arrived: u32,
    /// Standard deviation of the time of the others, s.
    pub sd_s: f64,
    /// Their mean time less that of the launch carried out exactly, s.
    pub mean_loss_s: f64,
}

/// Starts for the scatter.
pub(super) const STARTS: u32 = 256;

/// Scatter of the times to the target of the car as expected, with its launch. Nothing if it was called off.
pub(super) fn scatter(
    car: &Expected,
    base: &Car,
    spread: &DriverScatter,
    (target, seed): (Target, u32),
    watch: &dyn Watch,
) -> Option<Scatter> {
    let quiet = Quiet(watch);
    let judge = Judge::new(&car.vehicle, &car.scenario, target, Limits::default(), &quiet);
    let starts = Starts::new(&judge, spread, STARTS, seed);
    let runs = starts.runs(&base.launch);
    watch.done(u64::from(STARTS));
    if watch.called_off() {
        return None;
    }
    let arrived: Vec<f64> = runs.iter().flatten().filter_map(|run| target.time_s(run)).collect();
    let n = arrived.len() as f64;
    let mean_s = arrived.iter().sum::<f64>() / n.max(1.0);
    let variance = arrived.iter().map(|s| (s - mean_s) * (s - mean_s)).sum::<f64>() / (n - 1.0).max(1.0);
    Some(Scatter {
        starts: STARTS,
        not_arrived: STARTS - arrived.len() as u32,
        sd_s: variance.sqrt(),
        mean_loss_s: if arrived.is_empty() { 0.0 } else { mean_s - base.time_s },
    })
}
