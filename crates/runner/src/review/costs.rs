//! What each thing that was done otherwise cost: the start is run again on the model as it was driven, then with one thing after the
//! other as in the recommended launch.

use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use rayon::prelude::*;
use serde::Serialize;

use super::cause::Cause;
use super::driven::Driven;
use super::fault::Fault;
use super::yardstick::Yardstick;
use crate::shapley::shares;

/// What one cause cost.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Cost {
    /// What was done otherwise than in the recommended launch.
    pub cause: Cause,
    /// Gear, 1 for first, of the shift that is furthest off, where it is one of shift points.
    pub gear: Option<u8>,
    /// What was measured: rad/s for engine speeds, s for times (for the throttle until it is wide open), a share for the clutch, the throttle that would pull so for power.
    /// Nothing where the throttle is never wide open.
    pub measured: Option<f64>,
    /// The same in the recommended launch.
    pub planned: f64,
    /// When, s from first movement: of power, from when to when it was another.
    pub during_s: Option<(f64, f64)>,
    /// What it cost, s: the mean over all orders in which such things can be mended. Negative where it was better than in the recommended launch.
    pub lost_s: f64,
    /// What mending it alone would win, s; nothing where the car would stall.
    pub alone_s: Option<f64>,
    /// Indices of the faults in which it can show.
    pub faults: Vec<usize>,
}

/// The gap to the best run, and its parts.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Costs {
    /// Measured less best time, s.
    pub gap_s: f64,
    /// What each cause cost; with the rest they add up to the gap.
    pub parts: Vec<Cost>,
    /// What is left: car, tyres, road or air are not as the files say, or the log does not show it, s.
    pub rest_s: f64,
    /// Time of the start run again as it was driven, s; nothing if the model does not get to the gate so.
    pub replay_s: Option<f64>,
    /// That run: time from first movement, s, and speed, m/s.
    #[serde(skip)]
    pub replay: Vec<(f64, f64)>,
}

/// Costs of a start that took `measured_s` to the target.
pub(super) fn costs(
    measured_s: f64,
    driven: &Driven,
    faults: &[Fault],
    wide_open_s: Option<f64>,
    best: &Yardstick,
) -> Costs {
    let gap_s = measured_s - best.time_s;
    let differences = driven.differences(best, wide_open_s);
    let n = differences.len();
    let as_driven = |mended: usize| {
        let kept = differences.iter().enumerate().filter(move |(i, _)| mended & (1 << i) == 0);
        driven.put_into(best, kept.map(|(_, d)| d.cause))
    };
    let values: Vec<Option<f64>> = (0..1_usize << n)
        .into_par_iter()
        .map(|mended| {
            let (vehicle, scenario) = as_driven(mended);
            best.target.time_s(&simulate(&vehicle, &scenario, &Tolerances::default()).ok()?)
        })
        .collect();
    let Some(shares) = shares(n, &values) else {
        return Costs { gap_s, parts: Vec::new(), rest_s: gap_s, replay_s: None, replay: Vec::new() };
    };
    let parts: Vec<Cost> = differences
        .iter()
        .zip(&shares)
        .enumerate()
        .map(|(i, (d, share_s))| Cost {
            cause: d.cause,
            gear: d.gear,
            measured: Some(d.measured).filter(|m| m.is_finite()),
            planned: d.planned,
            during_s: d.during_s,
            lost_s: -share_s,
            alone_s: values[0].zip(values[1 << i]).map(|(whole, mended)| whole - mended),
            faults: (0..faults.len()).filter(|k| d.cause.shows_as(faults[*k].kind)).collect(),
        })
        .collect();
    let (vehicle, scenario) = as_driven(0);
    let replay = simulate_sampled(&vehicle, &scenario, &Tolerances::default(), 0.05).map_or_else(
        |_| Vec::new(),
        |(_, samples)| samples.iter().filter(|s| s.time_s >= 0.0).map(|s| (s.time_s, s.speed_mps)).collect(),
    );
    let explained_s: f64 = parts.iter().map(|p| p.lost_s).sum();
    Costs { gap_s, parts, rest_s: gap_s - explained_s, replay_s: values[0], replay }
}
