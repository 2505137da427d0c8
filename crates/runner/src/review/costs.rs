//! What each fault cost: the measured run with the stretch of each fault taken from the best run, one after the other.

use bitepoint_physics::timing::Mark;
use serde::Serialize;

use super::fault::{Fault, FaultKind};
use super::profile::{Profile, STEP_MPS};
use super::trace::Trace;
use super::yardstick::Yardstick;

/// Shifts at speeds further apart than this, in logarithms, are not held against each other.
const NEARBY: f64 = 0.25;

/// What one part of the gap is put down to.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Cost {
    /// Index of the fault in the start's list; nothing for what no fault explains.
    pub fault: Option<usize>,
    /// The time, s; negative where the start was quicker than the best run there.
    pub lost_s: f64,
}

/// The gap to the best run, and its parts.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Costs {
    /// Measured less best time, s.
    pub gap_s: f64,
    /// One a fault in their order, then what is not explained: car, air or driver. They add up to the gap.
    pub parts: Vec<Cost>,
}

/// Costs of faults to the target; nothing if the run did not get there. `measured_s` is the measured time.
pub(super) fn costs(
    points: impl Iterator<Item = (f64, f64, f64)>,
    measured_s: f64,
    faults: &[Fault],
    trace: &Trace,
    best: &Yardstick,
) -> Option<Costs> {
    let mark: Mark = best.target.mark().mark;
    let own = Profile::of(points);
    let ideal =
        Profile::of(best.samples.iter().filter(|s| s.time_s >= 0.0).map(|s| (s.time_s, s.speed_mps, s.distance_m)));
    let mut taken = vec![false; 2000];
    let mut before_s = own.time_to(mark)?;
    let mut parts = Vec::new();
    for (i, fault) in faults.iter().enumerate() {
        let (from, to) = speeds(fault, trace, best);
        let first = (from / STEP_MPS).floor().max(0.0) as usize;
        let last = ((to / STEP_MPS).ceil() as usize).min(taken.len());
        taken.iter_mut().take(last.max(first + 1)).skip(first).for_each(|t| *t = true);
        let after_s = own.spliced(&ideal, &taken).time_to(mark)?;
        parts.push(Cost { fault: Some(i), lost_s: before_s - after_s });
        before_s = after_s;
    }
    let gap_s = measured_s - best.time_s;
    let explained: f64 = parts.iter().map(|p| p.lost_s).sum();
    parts.push(Cost { fault: None, lost_s: gap_s - explained });
    Some(Costs { gap_s, parts })
}

/// Road speeds between which a fault shows, m/s: for a shift those of the best run's own shift, too.
fn speeds(fault: &Fault, trace: &Trace, best: &Yardstick) -> (f64, f64) {
    let (from, to) = (trace.speed_at(fault.from_s), trace.speed_at(fault.to_s));
    let at_shift = matches!(
        fault.kind,
        FaultKind::EarlyShift | FaultKind::LateShift | FaultKind::MissedShift | FaultKind::LimiterBounce
    );
    // Far apart, as when wheels spin through the gear, the two shifts are not about the same speeds.
    let near = |speed_mps: f64| (speed_mps / from.max(1.0)).ln().abs() < NEARBY;
    let shifts = best.run.shifts.iter().filter(|s| at_shift && near(s.speed_mps));
    let shift = shifts.into_iter().find(|s| fault.gear.is_none_or(|gear| s.from_gear == gear));
    let (from, to) = match shift {
        Some(s) => (from.min(s.speed_mps), to.max(s.speed_mps + 0.3)),
        None => (from, to),
    };
    (from - 0.3, to + 0.3)
}
