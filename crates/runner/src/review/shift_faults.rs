//! Faults of shifts.

use super::fault::{Fault, FaultKind};
use super::launch_faults::spans;
use super::trace::{Row, Trace};
use super::yardstick::Yardstick;

/// Shifts from lower, and from higher, engine speeds than these shares of the best ones are early and late.
const EARLY: f64 = 0.92;
const LATE: f64 = 1.04;
/// An engine this near to where its limiter lets go again is on it, for so long, s.
const AT_LIMITER: f64 = 0.995;
const LIMITER_S: f64 = 0.46;
/// So far from where the limiter lets go to where it cuts an engine on it is seen to rise.
const NEARS: f64 = 0.4;
/// A shift that takes longer than this gearbox needs by more than this was missed, s.
const MISSED_S: f64 = 0.4;
/// Wheelspin so near to a shift hides it, s.
const NEAR_S: f64 = 0.5;
/// A gear that is seen only later than this was hidden by spinning wheels, s.
const LONGEST_S: f64 = 3.0;

/// Faults of shifts up to a time (s from first movement): those after the gate cost nothing there. `launch` are the faults found before.
pub(super) fn shift_faults(trace: &Trace, launch: &[Fault], until_s: f64, best: &Yardstick) -> Vec<Fault> {
    let mut faults = limiter(trace, until_s, best);
    for shift in trace.shifts.iter().filter(|s| s.left_s < until_s) {
        let planned = best.shift_radps(shift.from_gear);
        let fault = |kind, measured: f64, planned: f64| Fault {
            gear: Some(shift.from_gear),
            ..Fault::plain(kind, (shift.left_s, shift.home_s), measured, planned)
        };
        if let Some(engine_radps) = shift.engine_radps.filter(|_| best.reaches(shift.from_gear)) {
            // Between two rows an engine that spins its wheels rises by much.
            let at_least_radps = trace.engine_at(shift.left_s).map_or(engine_radps, |w| w.min(engine_radps));
            // An engine that hung on its limiter was left late for that reason, which is told once.
            let on_limiter = faults.iter().any(|f| {
                f.kind == FaultKind::LimiterBounce && f.from_s < shift.left_s + 0.3 && shift.left_s - f.to_s < 0.5
            });
            if engine_radps < EARLY * planned {
                faults.push(fault(FaultKind::EarlyShift, engine_radps, planned));
            } else if at_least_radps > LATE * planned && !on_limiter {
                faults.push(fault(FaultKind::LateShift, engine_radps, planned));
            }
        }
        let (measured, usual) = (shift.home_s - shift.left_s, best.shift_s());
        // Without a pedal in the log wheels that spin hide when the gear is in.
        let spins = |f: &Fault| {
            f.kind == FaultKind::Wheelspin && f.from_s < shift.home_s + NEAR_S && f.to_s > shift.left_s - NEAR_S
        };
        let hidden = trace.is_sparse || !trace.has_pedal && launch.iter().any(spins);
        if !hidden && measured > usual + MISSED_S + 2.0 * shift.within_s && measured < LONGEST_S {
            faults.push(fault(FaultKind::MissedShift, measured, usual));
        }
    }
    faults
}

fn limiter(trace: &Trace, until_s: f64, best: &Yardstick) -> Vec<Fault> {
    let limiter = &best.vehicle.engine.limiter;
    let limit = AT_LIMITER * limiter.resume_radps;
    let on = |r: &Row| r.time_s > 0.2 && r.time_s < until_s && r.engine_radps >= limit;
    spans(&trace.rows, LIMITER_S, 0.1, on)
        .into_iter()
        .filter(|(from_s, to_s)| {
            // An engine that only passes on its way up is not on it: it rises all the while. One that never nears the cut does not bounce.
            let inside: Vec<&Row> = trace.rows.iter().filter(|r| r.time_s >= *from_s && r.time_s <= *to_s).collect();
            let half = inside.len() / 2;
            let mean = |rows: &[&Row]| rows.iter().map(|r| r.engine_radps).sum::<f64>() / rows.len().max(1) as f64;
            let highest = inside.iter().map(|r| r.engine_radps).fold(0.0, f64::max);
            let nears = limiter.resume_radps + NEARS * (limiter.cut_radps - limiter.resume_radps);
            highest > nears && mean(&inside[half..]) - mean(&inside[..half]) < 0.004 * limiter.cut_radps
        })
        .map(|(from_s, to_s)| Fault::plain(FaultKind::LimiterBounce, (from_s, to_s), to_s - from_s, 0.0))
        .collect()
}
