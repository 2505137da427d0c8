//! A start as it was driven, for the simulator: what the log shows of driver, gearbox and clutch.

use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::cause::Cause;
use super::fault::{Fault, FaultKind};
use super::foot::Foot;
use super::trace::Trace;
use super::yardstick::Yardstick;

/// Differences that a log does not tell: share of held revs, of the release, of shift revs; seconds.
const SAME_REVS: f64 = 0.015;
const SAME_RELEASE: f64 = 0.08;
const SAME_SHIFT: f64 = 0.02;
const SAME_S: f64 = 0.08;
/// Highest engine speed for which a shift can wait, of the limiter's cut.
const UNDER_CUT: f64 = 0.985;
/// A clutch that carries less than this share of a whole one's torque at the least is not one, but tyres that spin.
const LEAST_CLUTCH: f64 = 0.2;

/// Engine speeds at which gears are left, first gear first, and how long an engine at its limiter waits for it.
#[derive(Debug, Clone, PartialEq)]
struct Shifts {
    at_radps: Vec<f64>,
    reaction_s: f64,
}

/// What a log shows of how a start was driven; nothing for what it does not show.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Driven {
    held_radps: Option<f64>,
    release_s: Option<f64>,
    foot: Option<Foot>,
    shifts: Option<Shifts>,
    /// Mean time of a shift with the pedal down, s.
    shift_s: Option<f64>,
    /// Torque that the clutch carries, as a share of a whole one's.
    clutch_share: Option<f64>,
}

/// One thing that was done otherwise than in the best launch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Difference {
    pub cause: Cause,
    /// Gear, 1 for first, of the shift that is furthest off.
    pub gear: Option<u8>,
    /// In SI: rad/s, s, or a share.
    pub measured: f64,
    pub planned: f64,
}

impl Driven {
    pub(super) fn of(trace: &Trace, faults: &[Fault], until_s: f64, best: &Yardstick) -> Self {
        Self {
            held_radps: trace.held_radps(),
            release_s: trace.release_s(best),
            foot: Foot::of(trace, faults, until_s, best),
            shifts: shifts(trace, until_s, best),
            shift_s: shift_s(trace, until_s),
            clutch_share: clutch_share(trace, faults, best),
        }
    }

    /// What differs from the best launch.
    pub(super) fn differences(&self, best: &Yardstick, wide_open_s: Option<f64>) -> Vec<Difference> {
        let launch = &best.launch;
        let differs = |cause, measured: f64, planned: f64| Difference { cause, gear: None, measured, planned };
        let held = self.held_radps.filter(|w| (w / launch.held_radps - 1.0).abs() > SAME_REVS);
        let release =
            self.release_s.filter(|s| (s - launch.release_s).abs() > SAME_S.max(SAME_RELEASE * launch.release_s));
        let foot = self
            .foot
            .filter(|foot| !foot.is_as(best.scenario.driver.throttle_ease_s, best.scenario.driver.part_throttle));
        let planned_s = best.pedal_down_s();
        let slow = self.shift_s.filter(|s| (s - planned_s).abs() > SAME_S);
        [
            held.map(|w| differs(Cause::HeldRevs, w, launch.held_radps)),
            release.map(|s| differs(Cause::Release, s, launch.release_s)),
            foot.map(|_| {
                let planned_s = best.wide_open_s().unwrap_or(best.time_s);
                differs(Cause::Throttle, wide_open_s.unwrap_or(f64::NAN), planned_s)
            }),
            self.shift_difference(best),
            slow.map(|s| differs(Cause::ShiftTime, s, planned_s)),
            self.clutch_share.map(|share| differs(Cause::Clutch, share, 1.0)),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// The gear that is left furthest from where the best run leaves it; the limiter counts as late.
    fn shift_difference(&self, best: &Yardstick) -> Option<Difference> {
        let shifts = self.shifts.as_ref()?;
        let off = |(i, at): (usize, &f64)| {
            let planned = best.shift_radps(i as u8 + 1);
            Difference { cause: Cause::ShiftRevs, gear: Some(i as u8 + 1), measured: *at, planned }
        };
        let share = |d: &Difference| (d.measured / d.planned - 1.0).abs();
        let all = shifts.at_radps.iter().enumerate().map(off);
        let furthest = all.max_by(|a, b| share(a).total_cmp(&share(b)))?;
        let waits = shifts.reaction_s > best.scenario.driver.shift_reaction_s + SAME_S;
        (waits || share(&furthest) > SAME_SHIFT).then_some(furthest)
    }

    /// Car and day with these things as they were driven, all else as in the best launch.
    pub(super) fn put_into(&self, best: &Yardstick, causes: impl Iterator<Item = Cause>) -> (Vehicle, Scenario) {
        let (mut vehicle, mut scenario) = (best.vehicle.clone(), best.scenario.clone());
        let driver = &mut scenario.driver;
        for cause in causes {
            match cause {
                Cause::HeldRevs => driver.held_radps = self.held_radps.unwrap_or(driver.held_radps),
                Cause::Release => driver.release_s = self.release_s.unwrap_or(driver.release_s),
                Cause::Throttle => {
                    if let Some(foot) = &self.foot {
                        foot.put_into(driver);
                    }
                }
                Cause::ShiftRevs => {
                    if let Some(shifts) = &self.shifts {
                        let planned = driver.shift_at_radps.iter().skip(shifts.at_radps.len());
                        driver.shift_at_radps = shifts.at_radps.iter().chain(planned).copied().collect();
                        driver.shift_reaction_s = shifts.reaction_s;
                    }
                }
                Cause::ShiftTime => {
                    let more_s = self.shift_s.map_or(0.0, |s| s - best.pedal_down_s());
                    let change_s = &mut vehicle.gearbox.shift.change_s;
                    *change_s = (*change_s + more_s).max(0.2 * *change_s);
                }
                Cause::Clutch => vehicle.clutch.clamp_n *= self.clutch_share.unwrap_or(1.0),
            }
        }
        (vehicle, scenario)
    }
}

fn shifts(trace: &Trace, until_s: f64, best: &Yardstick) -> Option<Shifts> {
    let cut = UNDER_CUT * best.vehicle.engine.limiter.cut_radps;
    let made: Vec<_> = trace.shifts.iter().filter(|s| s.left_s < until_s && s.engine_radps.is_some()).collect();
    // How long the engine has been under its limiter when the gear is left.
    let waits: Vec<f64> = made
        .iter()
        .filter_map(|s| {
            let before = trace.rows.iter().rev().filter(|r| r.time_s <= s.left_s && r.engine_radps > 0.0);
            let on: Vec<f64> = before.take_while(|r| r.engine_radps >= 0.98 * cut).map(|r| r.time_s).collect();
            on.last().map(|from_s| s.left_s - from_s).filter(|waited_s| *waited_s > 0.25)
        })
        .collect();
    let planned_s = best.scenario.driver.shift_reaction_s;
    let reaction_s = if waits.is_empty() { planned_s } else { waits.iter().sum::<f64>() / waits.len() as f64 };
    let at = |from_gear: u8| {
        let shift = made.iter().find(|s| s.from_gear == from_gear)?;
        let early = trace.engine_at(shift.left_s - reaction_s).filter(|_| reaction_s > 0.0);
        Some(early.or(shift.engine_radps)?.min(cut))
    };
    let last = made.iter().map(|s| s.from_gear).max()?;
    Some(Shifts { at_radps: (1..=last).map(|g| at(g).unwrap_or(best.shift_radps(g)).min(cut)).collect(), reaction_s })
}

fn shift_s(trace: &Trace, until_s: f64) -> Option<f64> {
    let made: Vec<f64> =
        trace.shifts.iter().filter(|s| s.home_s < until_s && trace.has_pedal).map(|s| s.home_s - s.left_s).collect();
    (!made.is_empty()).then(|| made.iter().sum::<f64>() / made.len() as f64)
}

/// By the pull of the car while the clutch slips: what it carries is what the car gets.
fn clutch_share(trace: &Trace, faults: &[Fault], best: &Yardstick) -> Option<f64> {
    let (_, most_nm) = best.vehicle.engine.full_load_nm.largest(200, |_, torque| torque);
    let shares = faults.iter().filter(|f| f.kind == FaultKind::ClutchSlip).filter_map(|fault| {
        let gear = trace.shifts.iter().filter(|s| s.left_s < fault.from_s).count();
        let carried_nm = most_nm * fault.pull_mps2? / best.full_pull_mps2(gear);
        Some(carried_nm / best.vehicle.clutch.full_capacity_nm())
    });
    let shares: Vec<f64> = shares.collect();
    let mean = shares.iter().sum::<f64>() / shares.len().max(1) as f64;
    (mean > LEAST_CLUTCH).then(|| mean.min(1.0))
}
