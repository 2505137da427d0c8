//! What to change when the surface grips less or more than was planned for.

use bitepoint_physics::road::Surface;
use bitepoint_physics::vehicle::Scenario;
use rayon::prelude::*;
use serde::Serialize;

use super::decision::Decision;
use super::expected::Starts;
use super::judge::Judge;
use crate::launch::Launch;
use crate::watch::Watch;
use bitepoint_inputs::scenario::DriverScatter;

/// Grip other than planned, and the one change that helps most against the spin or the bog that it brings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct OtherGrip {
    /// Friction over what was planned for: 0.85 or 1.15.
    pub friction: f64,
    /// Expected time if nothing is changed, s.
    pub unchanged_s: f64,
    /// What to change, if anything helps by more than `WORTH_IT_S`.
    pub change: Option<Change>,
}

/// One decision changed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Change {
    /// Which.
    pub decision: Decision,
    /// Its new value.
    pub to: f64,
    /// What it was.
    pub from: f64,
    /// What it gains, s.
    pub gains_s: f64,
}

/// A change that gains less than this is not worth a word on a card, s.
pub const WORTH_IT_S: f64 = 0.02;
/// Changes that are tried, in units of 100 rpm, 0.1 s and so on.
const UNITS: [f64; 4] = [1.0, 3.0, 5.0, 8.0];

/// Which way a decision goes that asks less of a slipping tyre, or spares an engine that bogs (common practice, no source). A change the
/// other way may gain a little in the model; a driver who feels the trouble would not believe it, and one error would end the start.
fn way(decision: Decision, less_grip: bool) -> f64 {
    let slower = if less_grip { 1.0 } else { -1.0 };
    match decision {
        Decision::ReleaseTime => 1.0,
        Decision::ThrottleEase | Decision::PartUntil => slower,
        Decision::HeldRevs
        | Decision::KeptRevs
        | Decision::ThrottleLead
        | Decision::PartThrottle
        | Decision::ShiftRevs(_) => -slower,
    }
}

/// The best single change of a launch on a surface with `friction` times the grip.
pub(super) fn other_grip(
    judge: &Judge<'_>,
    scatter: &DriverScatter,
    (starts, seed): (u32, u32),
    launch: &Launch,
    friction: f64,
    watch: &dyn Watch,
) -> OtherGrip {
    let surface =
        Surface { friction_scale: friction * judge.scenario.surface.friction_scale, ..judge.scenario.surface.clone() };
    let scenario = Scenario { surface, ..judge.scenario.clone() };
    let there = Judge::new(judge.vehicle, &scenario, judge.target, judge.limits, watch).hurried();
    let starts = Starts::new(&there, scatter, starts, seed);
    let unchanged_s = starts.mean_time_s(launch).unwrap_or(f64::INFINITY);
    let tried: Vec<Change> = Decision::LAUNCH
        .into_iter()
        .flat_map(|decision| {
            let from = decision.of(launch);
            let (low, high) = decision.range(judge.vehicle);
            let values = UNITS.into_iter().map(move |n| from + way(decision, friction < 1.0) * n * decision.unit());
            values.filter(move |to| (low..=high).contains(to)).map(move |to| (decision, from, to))
        })
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|(decision, from, to)| {
            let gains_s = unchanged_s - starts.mean_time_s(&decision.with(launch, to)).unwrap_or(f64::INFINITY);
            Change { decision, to, from, gains_s }
        })
        .collect();
    let best = tried.into_iter().reduce(|best, other| if other.gains_s > best.gains_s { other } else { best });
    OtherGrip { friction, unchanged_s, change: best.filter(|change| change.gains_s >= WORTH_IT_S) }
}
