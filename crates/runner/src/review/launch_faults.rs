//! Faults between the bite of the clutch and the first shift, and lifts.

use super::fault::{Fault, FaultKind};
use super::trace::{Row, Trace};
use super::yardstick::Yardstick;

/// Wheels count as ahead of the road by more than this share of its speed, and by more than this, m/s.
const AHEAD_SHARE: f64 = 0.15;
const AHEAD_MPS: f64 = 1.5;
/// And by more than this over the recommended launch at that speed: a share of what that has, and m/s.
const OVER_PLAN: f64 = 1.35;
const OVER_PLAN_MPS: f64 = 1.0;
/// For so long, s.
const AHEAD_S: f64 = 0.3;
/// Of rows too far apart to show shifts two have to show it, s.
const SPARSE_AHEAD_S: f64 = 1.1;
/// A car with spinning wheels pulls with at least this share of what its tyres can give; with a slipping clutch with less
/// (tyres past their peak keep most of their grip; common practice, no source).
const SPINNING_GRIP: f64 = 0.77;
const COASTING_GRIP: f64 = 0.8;
/// An engine that can pull less than this share of the grip does not spin the tyres.
const MAY_SPIN: f64 = 0.85;
/// Torques closer than this share are of the same clutch: it fades as it heats.
const SAME_CLUTCH: f64 = 0.15;
/// Pedal at which the clutch is out.
const OUT: f64 = 0.95;
/// Rows further apart than this are sparse, s.
const SPARSE_S: f64 = 0.06;
/// Revs this far under the lowest of the useful range, or of the recommended launch, are a bog.
const UNDER: f64 = 0.92;
/// A release is slow if it takes this much longer than the recommended one: a share of it and so many s.
const SLOW_SHARE: f64 = 1.4;
const SLOW_S: f64 = 0.3;
/// The throttle is late by more than this, s, and half open by more than that: a throttle that is trimmed for wheelspin was open before.
const LATE_S: f64 = 0.4;
const HALF_OPEN: f64 = 0.6;
const HALF_LATE_S: f64 = 0.25;
/// Throttle by which it is judged when it opened, of its widest.
const NEARLY_WIDE: f64 = 0.85;
/// Throttle that counts as lifted, of its widest.
const LIFTED: f64 = 0.6;
const LIFTED_S: f64 = 0.15;
/// A throttle that was trimmed for wheelspin comes back within this after it, s: felt late, and fed in.
const TRIMS_ON_S: f64 = 0.7;

/// Spans of time for which a row has something, each at least so long; holes of up to `bridge_s` do not end one.
pub(super) fn spans(rows: &[Row], least_s: f64, bridge_s: f64, holds: impl Fn(&Row) -> bool) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut held = false;
    for (i, row) in rows.iter().enumerate() {
        let now = holds(row);
        if now {
            let until_s = rows.get(i + 1).map_or(row.time_s, |next| 0.5 * (row.time_s + next.time_s));
            match found.last_mut() {
                Some(last) if held || row.time_s - last.1 <= bridge_s => last.1 = until_s,
                _ => found.push((row.time_s, until_s)),
            }
        }
        held = now;
    }
    found.retain(|(from_s, to_s)| to_s - from_s >= least_s);
    found
}

/// Faults of the launch.
pub(super) fn launch_faults(trace: &Trace, ended_s: f64, best: &Yardstick) -> Vec<Fault> {
    let first_left_s = trace.shifts.first().map_or(f64::INFINITY, |s| s.left_s);
    let mut faults = Vec::new();
    faults.extend(ahead(trace, best));
    faults.extend(bog(trace, first_left_s, best));
    faults.extend(slow_release(trace, best));
    faults.extend(late_throttle(trace, best));
    let lifts = lift(trace, ended_s, best, &faults);
    faults.extend(lifts);
    faults
}

/// Wheels or engine ahead of the road with the pedal out: tyres that spin if the car pulls as spinning tyres do, else the clutch.
fn ahead(trace: &Trace, best: &Yardstick) -> Vec<Fault> {
    let ratios = bitepoint_runlog::gears::known_ratios(&best.vehicle);
    let shifts = &trace.shifts;
    let out_s = match trace.release() {
        Some((_, out_s)) => out_s,
        None if trace.has_pedal && !trace.is_sparse => f64::INFINITY,
        // Without a pedal in the log: where the engine first turns with the road, which is late for who keeps the revs for long.
        None => {
            let planned_s = best.run.launch.clutch_home_s.unwrap_or(0.0) + 0.5;
            trace.engaged_s(best.first_ratio()).map_or(planned_s, |engaged_s| planned_s.max(engaged_s))
        }
    };
    let gear_at = |time_s: f64| {
        let shifting = shifts.iter().any(|s| (s.left_s - 0.1..=s.home_s + 0.1).contains(&time_s));
        let gear = shifts.iter().take_while(|s| s.left_s < time_s).last().map_or(1, |s| s.to_gear);
        (!shifting).then_some(usize::from(gear) - 1)
    };
    let by = |row: &Row| {
        if row.tread_mps.is_finite() && row.speed_mps > 0.5 {
            return Some(row.tread_mps - row.speed_mps);
        }
        let ratio = ratios.get(gear_at(row.time_s)?)?;
        (row.time_s > out_s && row.engine_radps > 0.0).then(|| row.engine_radps / ratio - row.speed_mps)
    };
    let limit_mps = |speed_mps: f64| {
        let planned = OVER_PLAN * best.ahead_mps(speed_mps) + OVER_PLAN_MPS;
        AHEAD_MPS.max(AHEAD_SHARE * speed_mps).max(planned)
    };
    let pressed = |row: &Row| trace.has_pedal && row.released < OUT && !row.tread_mps.is_finite();
    let gear_left = |time_s: f64| shifts.iter().take_while(|s| s.left_s < time_s).last().map_or(1, |s| s.to_gear);
    let is_ahead = |row: &Row| !pressed(row) && by(row).is_some_and(|by| by > limit_mps(row.speed_mps));
    let least_s = if trace.is_sparse { SPARSE_AHEAD_S } else { AHEAD_S };
    let mut faults: Vec<Fault> = spans(&trace.rows, least_s, 0.1, is_ahead)
        .into_iter()
        .map(|(from_s, to_s)| {
            let inside: Vec<&Row> = trace.rows.iter().filter(|r| (from_s..=to_s).contains(&r.time_s)).collect();
            let n = inside.len().max(1) as f64;
            let pull = inside.iter().map(|r| r.acceleration_mps2).sum::<f64>() / n;
            // Tyres that slide fast over the road grip less.
            let grip_of = |r: &&Row| best.grip_mps2(r.speed_mps) / best.fall(by(r).unwrap_or(0.0));
            let grip = inside.iter().map(grip_of).sum::<f64>() / n;
            let most = inside.iter().filter_map(|r| by(r)).fold(0.0, f64::max);
            // Tyres that the engine cannot break loose in this gear spin only on what the shift brought with it.
            // No torque reaches them that the clutch does not carry.
            let full_pull = best.full_pull_mps2(usize::from(gear_left(from_s)) - 1);
            let least = if full_pull * best.clutch_reserve() < MAY_SPIN * grip {
                f64::INFINITY
            } else if full_pull < MAY_SPIN * grip {
                COASTING_GRIP
            } else {
                SPINNING_GRIP
            };
            let spins = inside.iter().any(|r| r.tread_mps.is_finite()) || pull > least * grip;
            let kind = if spins { FaultKind::Wheelspin } else { FaultKind::ClutchSlip };
            Fault {
                pull_mps2: Some(pull),
                grip_mps2: Some(grip),
                ..Fault::plain(kind, (from_s, to_s), most, AHEAD_MPS)
            }
        })
        .collect();
    // A clutch that slips in one gear carries as much in another: a car that pulls just so slips it there, too.
    let carries = |f: &Fault| f.pull_mps2.unwrap_or(0.0) / best.full_pull_mps2(usize::from(gear_left(f.from_s)) - 1);
    let slipped = faults.iter().filter(|f| f.kind == FaultKind::ClutchSlip).map(carries).fold(0.0, f64::max);
    for fault in &mut faults {
        if !trace.has_tread && slipped > 0.0 && (carries(fault) / slipped - 1.0).abs() < SAME_CLUTCH {
            fault.kind = FaultKind::ClutchSlip;
        }
    }
    // Between sparse rows the pedal may have been down.
    faults.retain(|f| !trace.is_sparse || f.kind == FaultKind::Wheelspin);
    faults
}

fn bog(trace: &Trace, first_left_s: f64, best: &Yardstick) -> Option<Fault> {
    let limit = UNDER * best.useful_from_radps().min(best.run.launch.lowest_radps);
    let bite_s = trace.release().map_or(-0.3, |(from_s, _)| from_s.max(-0.5));
    let until_s = first_left_s.min(4.0);
    let rows: Vec<Row> = trace
        .rows
        .iter()
        .copied()
        .filter(|r| r.time_s > bite_s && r.time_s < until_s && r.engine_radps > 0.0)
        .collect();
    // The middle of three rows: one row astray is no bog. Where rows are sparse one is all that shows it.
    let sparse = rows.windows(2).next().is_some_and(|w| w[1].time_s - w[0].time_s > SPARSE_S);
    let middle = |w: &[Row]| {
        let mut revs = [w[0].engine_radps, w[1].engine_radps, w[2].engine_radps];
        revs.sort_by(f64::total_cmp);
        Row { engine_radps: if sparse { w[1].engine_radps } else { revs[1] }, ..w[1] }
    };
    let evened: Vec<Row> = rows.windows(3).map(middle).collect();
    let lowest = evened.iter().map(|r| r.engine_radps).fold(f64::INFINITY, f64::min);
    if lowest >= limit {
        return None;
    }
    let low = evened.iter().filter(|r| r.engine_radps < limit);
    let (from_s, to_s) = low.fold((f64::INFINITY, 0.0), |(f, t): (f64, f64), r| (f.min(r.time_s), t.max(r.time_s)));
    Some(Fault::plain(FaultKind::Bog, (from_s, to_s + 0.2), lowest, best.run.launch.lowest_radps))
}

fn slow_release(trace: &Trace, best: &Yardstick) -> Option<Fault> {
    let (from_s, to_s) = trace.release()?;
    let (planned, measured) = (best.seen.pedal_up_s?, trace.pedal_up_s()?);
    (measured > SLOW_SHARE * planned + SLOW_S)
        .then(|| Fault::plain(FaultKind::SlowRelease, (from_s, to_s), measured, planned))
}

fn late_throttle(trace: &Trace, best: &Yardstick) -> Option<Fault> {
    // A little before wide open: between two rows a shift may have begun.
    let measured = trace.throttle_reaches_s(NEARLY_WIDE)?;
    let planned = best.wide_open_s()?;
    let late_s = trace.throttle_reaches_s(HALF_OPEN)? - best.throttle_reaches_s(HALF_OPEN)?;
    (measured > planned + LATE_S && late_s > HALF_LATE_S)
        .then(|| Fault::plain(FaultKind::LateThrottle, (planned.max(0.0), measured), measured, planned))
}

/// The throttle closed outside of shifts before the run was over, further than the recommended launch trims it at that speed, and not for
/// wheelspin, which is a fault of its own.
fn lift(trace: &Trace, ended_s: f64, best: &Yardstick, ahead: &[Fault]) -> Vec<Fault> {
    let Some(widest) = trace.widest() else { return Vec::new() };
    let shifts = &trace.shifts;
    let shifting = |t: f64| shifts.iter().any(|s| t > s.left_s - 0.3 && t < s.home_s + 0.4);
    let Some(open_s) = trace.wide_open_s() else { return Vec::new() };
    let spins = |f: &&Fault| f.kind == FaultKind::Wheelspin;
    let for_wheelspin = |t: f64| ahead.iter().filter(spins).any(|f| (f.from_s - 0.2..f.to_s + TRIMS_ON_S).contains(&t));
    let lifted = |r: &Row| {
        r.time_s > open_s && r.time_s < ended_s - 0.1 && r.throttle < LIFTED * widest && !shifting(r.time_s)
            // A pedal that is not up is a launch or a shift, whether or not its ratio was found: the right foot helps to keep the revs.
            && !(trace.has_pedal && r.released < OUT)
            && r.throttle < LIFTED * widest * best.throttle_at(r.speed_mps)
            && !for_wheelspin(r.time_s)
    };
    let inside = |a: f64, b: f64| trace.rows.iter().filter(move |r| r.time_s >= a && r.time_s <= b);
    spans(&trace.rows, LIFTED_S, 0.1, lifted)
        .into_iter()
        .map(|(from_s, to_s)| {
            let least = inside(from_s, to_s).map(|r| r.throttle).fold(1.0, f64::min) / widest;
            Fault::plain(FaultKind::EarlyLift, (from_s, to_s), least, 1.0)
        })
        .collect()
}
