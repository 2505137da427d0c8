//! The driver's right foot as a log shows it.

use bitepoint_physics::driver::{Driver, PartThrottle, WheelspinResponse};

use super::fault::{Fault, FaultKind};
use super::trace::Trace;
use super::yardstick::Yardstick;

/// From this share of its widest on a throttle counts as wide open.
pub(super) const WIDE: f64 = 0.9;
/// Throttles closer than this are the same.
const SAME: f64 = 0.04;
/// A throttle that stays so long short of wide open is held there, s.
const HELD_S: f64 = 0.3;
/// Share of its way at which a ramp is timed: its ends are rounded by the engine's own throttle.
const TIMED_AT: f64 = 0.8;
/// Answer to wheelspin of a driver of whom only the lift is seen (from memory, as for scenario files).
const REACTION_S: f64 = 0.3;
const NOTICED_SLIP: f64 = 0.3;
const EASE_BACK_S: f64 = 0.6;

/// What the foot did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Foot {
    /// Time from the bite to wide open or to the part throttle, s.
    pub ease_s: f64,
    /// The part throttle, if one was held.
    pub part: Option<PartThrottle>,
    /// Share of the throttle that a lift in gear left, if there was one.
    pub lift_to: Option<f64>,
}

/// One moment: time, throttle as a share of its widest, speed, and what a foot that holds gives in this gear over first gear.
#[derive(Clone, Copy)]
struct Moment {
    time_s: f64,
    throttle: f64,
    speed_mps: f64,
    gear_share: f64,
}

impl Foot {
    /// Read off a start; nothing without throttle or pedal.
    pub(super) fn of(trace: &Trace, faults: &[Fault], until_s: f64, best: &Yardstick) -> Option<Self> {
        let widest = trace.widest()?;
        let bite_s = trace.pedal_passes_s(best.vehicle.clutch.bite_point)?;
        let opens_s = bite_s - best.scenario.driver.floor_lead_s;
        let gearbox = &best.vehicle.gearbox;
        let moments: Vec<Moment> = trace
            .rows
            .iter()
            .filter(|r| r.time_s >= opens_s && r.time_s <= until_s && r.throttle.is_finite())
            .filter(|r| !trace.shifts.iter().any(|s| r.time_s > s.left_s - 0.15 && r.time_s < s.home_s + 0.25))
            .map(|r| {
                let gear = trace.shifts.iter().filter(|s| s.left_s < r.time_s).count().min(gearbox.gears.len() - 1);
                Moment {
                    time_s: r.time_s,
                    throttle: r.throttle / widest,
                    speed_mps: r.speed_mps,
                    gear_share: gearbox.overall_ratio(0) / gearbox.overall_ratio(gear),
                }
            })
            .collect();
        let before = trace.rows.iter().rfind(|r| r.time_s < opens_s && r.throttle.is_finite());
        let holding = before.map_or(0.0, |r| r.throttle / widest);
        let lifts = faults.iter().filter(|f| f.kind == FaultKind::EarlyLift && f.to_s > f.from_s);
        let lift_to = lifts.map(|f| f.measured).min_by(f64::total_cmp);
        let part = part(&moments, opens_s);
        let to = part.map_or(1.0, |p| p.held);
        let level = holding + TIMED_AT * (to - holding);
        let reached = moments.iter().position(|m| if to > holding { m.throttle >= level } else { m.throttle <= level });
        let ease_s = reached.map_or(until_s - opens_s, |k| {
            let b = moments[k];
            let a = if k > 0 { (moments[k - 1].time_s, moments[k - 1].throttle) } else { (opens_s, holding) };
            let share = ((level - a.1) / (b.throttle - a.1)).clamp(0.0, 1.0);
            let at_s = if share.is_finite() { a.0 + share * (b.time_s - a.0) } else { b.time_s };
            ((at_s - opens_s) / TIMED_AT).max(0.0)
        });
        Some(Self { ease_s, part, lift_to })
    }

    /// The driver with this foot.
    pub(super) fn put_into(&self, driver: &mut Driver) {
        driver.throttle_ease_s = self.ease_s;
        driver.part_throttle = self.part;
        driver.wheelspin = match (self.lift_to, driver.wheelspin) {
            (None, _) => WheelspinResponse::None,
            (Some(lift_to), WheelspinResponse::Delayed { reaction_s, notice_slip, ease_back_s, .. }) => {
                WheelspinResponse::Delayed { reaction_s, notice_slip, lift_to, ease_back_s }
            }
            (Some(lift_to), _) => WheelspinResponse::Delayed {
                reaction_s: REACTION_S,
                notice_slip: NOTICED_SLIP,
                lift_to,
                ease_back_s: EASE_BACK_S,
            },
        };
    }

    /// Whether another foot did the same, as far as a log tells.
    pub(super) fn is_as(&self, ease_s: f64, part: Option<PartThrottle>) -> bool {
        let same_part = match (self.part, part) {
            (None, None) => true,
            (Some(a), Some(b)) => {
                (a.held - b.held).abs() < SAME
                    && (a.until_mps - b.until_mps).abs() < 1.0
                    && (a.open_s - b.open_s).abs() < 0.3
            }
            _ => false,
        };
        same_part && (self.ease_s - ease_s).abs() < 0.15 && self.lift_to.is_none()
    }
}

/// A throttle held short of wide open, and how it is left.
fn part(moments: &[Moment], opens_s: f64) -> Option<PartThrottle> {
    let first: Vec<&Moment> = moments.iter().take_while(|m| m.gear_share == 1.0 && m.throttle < WIDE).collect();
    // The throttle around which it stays longest.
    let stay_s = |level: f64| {
        let near: Vec<&&Moment> = first.iter().filter(|m| (m.throttle - level).abs() < SAME).collect();
        match (near.first(), near.last()) {
            (Some(a), Some(b)) => b.time_s - a.time_s,
            _ => 0.0,
        }
    };
    let longest = first.iter().max_by(|a, b| stay_s(a.throttle).total_cmp(&stay_s(b.throttle)))?;
    if stay_s(longest.throttle) < HELD_S {
        return None;
    }
    let near: Vec<f64> =
        first.iter().filter(|m| (m.throttle - longest.throttle).abs() < SAME).map(|m| m.throttle).collect();
    let held = near.iter().sum::<f64>() / near.len() as f64;
    let holds = |m: &Moment| m.throttle < (held * m.gear_share).min(1.0) + SAME;
    let settled = moments.iter().position(|m| (m.throttle - held).abs() < SAME)?;
    let left = moments[settled..].iter().position(|m| !holds(m)).map(|k| settled + k);
    let Some(left) = left else {
        // It is not seen to open: held to the end, or wide open already by what the higher gear gives less.
        let last = moments.iter().rfind(|m| held * m.gear_share < 1.0).or(moments.last())?;
        return Some(PartThrottle { held, until_mps: last.speed_mps, open_s: 0.2 });
    };
    let from = &moments[left.saturating_sub(1)];
    let here = held * from.gear_share;
    let level = here + TIMED_AT * (1.0 - here);
    let open = moments[left..].iter().find(|m| m.throttle >= level);
    let open_s = open.map_or(1.0, |m| ((m.time_s - from.time_s) / TIMED_AT).max(0.05));
    // A plateau before the foot has begun to open is the holding throttle, which a ramp tells as well.
    (from.time_s > opens_s).then_some(PartThrottle { held, until_mps: from.speed_mps, open_s })
}
