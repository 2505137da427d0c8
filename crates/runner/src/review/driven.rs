//! A start as it was driven, for the simulator: what the log shows of driver, gearbox and clutch.

use bitepoint_physics::run::Sample;
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;

use super::cause::Cause;
use super::fault::{Fault, FaultKind};
use super::foot::Foot;
use super::likeness::{engine_off, pedal_off, speed_off, throttle_off};
use super::power::{self, Missing, missing};
use super::trace::Trace;
use super::yardstick::Yardstick;

/// Differences that a log does not tell: share of held revs, of the release, of shift revs; seconds.
const SAME_REVS: f64 = 0.015;
const SAME_KEPT: f64 = 0.06;
const SAME_RELEASE: f64 = 0.08;
const SAME_SHIFT: f64 = 0.02;
const SAME_S: f64 = 0.08;
/// Highest engine speed for which a shift can wait, of the limiter's cut.
const UNDER_CUT: f64 = 0.985;
/// Least share of a whole clutch's torque that is looked for.
const LEAST_CLUTCH: f64 = 0.2;
/// Throttles, on the mean over a start, that are the same, of wide open.
const SAME_THROTTLE: f64 = 0.02;
/// A clutch that slips is believed where it leaves the engine off by less than this share.
const FAR_BETTER: f64 = 0.6;
/// Steps of the search for the foot.
const FOOT_STEPS: [f64; 6] = [1.0, 1.0, 0.5, 0.5, 0.25, 0.25];
/// Time between samples of a run that is held against a log, s.
const SAMPLE_S: f64 = 0.02;

/// Engine speeds at which gears are left, first gear first, and how long an engine at its limiter waits for it.
#[derive(Debug, Clone, PartialEq)]
struct Shifts {
    at_radps: Vec<f64>,
    reaction_s: f64,
}

/// How the clutch came in, for the model.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Clutching {
    /// Whether the revs were kept with the pedal; else it came up regardless.
    keeps: bool,
    /// Engine speed that was kept, rad/s.
    kept_radps: f64,
    /// Time for the pedal from pressed to released where nothing holds it back, s.
    release_s: f64,
}

/// What a log shows of how a start was driven; nothing for what it does not show.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Driven {
    held_radps: Option<f64>,
    /// Mean engine speed while the clutch slipped, rad/s.
    kept_radps: Option<f64>,
    /// Time of most of the pedal's way up, s.
    pedal_up_s: Option<f64>,
    clutching: Option<Clutching>,
    foot: Option<Foot>,
    /// When and how that foot's throttle is another than the recommended launch's, where the log has none: it is then known by its effect alone.
    power: Option<Missing>,
    shifts: Option<Shifts>,
    /// Mean time of a shift with the pedal down, s, and how far rows let it be off.
    shift_s: Option<f64>,
    shift_within_s: f64,
    /// Torque that the clutch carries, as a share of a whole one's.
    clutch_share: Option<f64>,
}

/// One thing that was done otherwise than in the recommended launch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Difference {
    pub cause: Cause,
    /// Gear, 1 for first, of the shift that is furthest off.
    pub gear: Option<u8>,
    /// In SI: rad/s, s, or a share.
    pub measured: f64,
    pub planned: f64,
    /// When, s from first movement, where it is known.
    pub during_s: Option<(f64, f64)>,
}

impl Driven {
    pub(super) fn of(trace: &Trace, faults: &[Fault], until_s: f64, best: &Yardstick) -> Self {
        let first_ratio = best.first_ratio();
        let read = Self {
            held_radps: trace.held_radps(),
            kept_radps: trace.kept_radps(first_ratio),
            pedal_up_s: trace.pedal_up_s(),
            clutching: None,
            foot: None,
            power: None,
            shifts: shifts(trace, faults, until_s, best),
            shift_s: trace.shift_s(until_s),
            shift_within_s: trace.shifts.iter().map(|s| s.within_s).fold(0.0, f64::max),
            clutch_share: None,
        };
        let clutching = read.matched_clutching(trace, until_s, best);
        let read = Self { clutching, ..read };
        let foot = read.matched_foot(trace, until_s, best);
        let read = Self { foot, ..read };
        let by_effect = foot.is_some() && !trace.has_throttle;
        let power = by_effect.then(|| read.samples(best)).flatten().and_then(|s| missing(&s, until_s, best));
        let read = Self { power, foot: foot.filter(|_| !by_effect || power.is_some()), ..read };
        let named = faults.iter().any(|f| f.kind == FaultKind::ClutchSlip);
        let doubtful = !trace.has_tread && faults.iter().any(|f| f.kind == FaultKind::Wheelspin);
        let matched =
            if trace.is_sparse || !(named || doubtful) { None } else { read.matched_clutch(trace, until_s, best) };
        // Without a throttle in the log the engine alone says too little of a clutch.
        let sure = named && trace.has_throttle;
        // A car pulls about as hard on spinning tyres as through a clutch that slips a little: the whole run tells more.
        let clutch_share = matched
            .filter(|(_, off)| named || *off < FAR_BETTER)
            .map(|(share, _)| share)
            .filter(|share| sure || read.is_nearer_with(*share, trace, until_s, best));
        Self { clutch_share, ..read }
    }

    /// The way of bringing the clutch in with which the model's pedal is most like the log's, or without one its engine; nothing where the
    /// log shows neither.
    fn matched_clutching(&self, trace: &Trace, until_s: f64, best: &Yardstick) -> Option<Clutching> {
        let driver = &best.scenario.driver;
        let own = Clutching {
            keeps: driver.clutch_feel.is_some(),
            kept_radps: driver.kept_radps,
            release_s: driver.release_s,
        };
        let measured_s = trace.release_s(best);
        // The clutch is in long before the first shift; what the pedal does then is another matter.
        let launch_s = until_s.min(trace.shifts.first().map_or(until_s, |s| s.left_s - 0.3));
        let mut tried = vec![own];
        if own.keeps && trace.has_engine && !trace.is_sparse {
            // The model keeps a little more or less than it means to: in the ratio of what both show.
            let seen = self.kept_radps.zip(best.seen.kept_radps).map(|(log, own)| log / own);
            let kept = seen.map_or(own.kept_radps, |ratio| own.kept_radps * ratio);
            let releases = std::iter::once(own.release_s).chain(measured_s.into_iter().flat_map(|s| [0.5 * s, s]));
            for release_s in releases {
                for share in [0.85, 1.0, 1.15] {
                    tried.push(Clutching { kept_radps: share * kept, release_s, ..own });
                }
            }
        }
        if let Some(release_s) = measured_s {
            tried.push(Clutching { keeps: false, release_s, ..own });
        } else if !trace.has_engine || trace.is_sparse {
            return None;
        }
        let off = |clutching: &Clutching| {
            let samples = Self { clutching: Some(*clutching), ..self.clone() }.samples(best);
            samples.map_or(f64::INFINITY, |samples| {
                let engine = engine_off(trace, &samples, launch_s) / best.vehicle.engine.limiter.cut_radps;
                let pedal = if measured_s.is_some() { pedal_off(trace, &samples, launch_s) } else { 0.0 };
                pedal + if engine.is_finite() { engine } else { 0.0 }
            })
        };
        let judged: Vec<(Clutching, f64)> = tried.into_par_iter().map(|c| (c, off(&c))).collect();
        judged.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).map(|(clutching, _)| clutching)
    }

    /// The foot with which the model's throttle is most like that of the log; nothing if that is the recommended launch's.
    fn matched_foot(&self, trace: &Trace, until_s: f64, best: &Yardstick) -> Option<Foot> {
        let told = trace.has_throttle;
        let off = |foot: &Foot| {
            let samples = Self { foot: Some(*foot), ..self.clone() }.samples(best);
            samples.map_or(f64::INFINITY, |samples| match told {
                true => throttle_off(trace, &samples, until_s),
                false => power::off(trace, &samples, until_s, best),
            })
        };
        let nearest = |feet: Vec<Foot>| {
            let judged: Vec<(Foot, f64)> = feet.into_par_iter().map(|foot| (foot, off(&foot))).collect();
            judged.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))
        };
        let candidates = match (told, trace.has_engine && !trace.is_sparse) {
            (true, _) => Foot::candidates(trace, until_s, best),
            (false, true) => power::candidates(trace, until_s, best),
            (false, false) => Vec::new(),
        };
        let (mut foot, mut least) = nearest(candidates)?;
        for step in FOOT_STEPS {
            if let Some((near, off)) = nearest(foot.neighbours(step)).filter(|(_, off)| *off < least) {
                (foot, least) = (near, off);
            }
        }
        let own = off(&Foot::of(&best.scenario.driver));
        let differs = if told { own > least + SAME_THROTTLE } else { power::is_nearer(least, own) };
        differs.then_some(foot)
    }

    /// The clutch with which the model's engine is most like that of the log; nothing for one that is whole.
    /// Also how far off that engine then is, as a share of how far it is with a whole one.
    fn matched_clutch(&self, trace: &Trace, until_s: f64, best: &Yardstick) -> Option<(f64, f64)> {
        let off = |share: f64| {
            let samples = Self { clutch_share: Some(share), ..self.clone() }.samples(best);
            samples.map_or(f64::INFINITY, |samples| engine_off(trace, &samples, until_s))
        };
        let nearest = |shares: Vec<f64>| {
            let judged: Vec<(f64, f64)> = shares.into_par_iter().map(|share| (share, off(share))).collect();
            judged.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))
        };
        let (coarse, _) = nearest((0..=16).map(|i| LEAST_CLUTCH + 0.05 * f64::from(i)).collect())?;
        let (share, least) = nearest((-5..=5).map(|i| coarse + 0.01 * f64::from(i)).collect())?;
        (share < 1.0 - SAME_THROTTLE).then(|| (share, least / off(1.0)))
    }

    /// Whether a clutch that slips so also brings the model's road speed nearer to the log's.
    fn is_nearer_with(&self, share: f64, trace: &Trace, until_s: f64, best: &Yardstick) -> bool {
        let off = |driven: &Self| driven.samples(best).map_or(f64::INFINITY, |s| speed_off(trace, &s, until_s));
        off(&Self { clutch_share: Some(share), ..self.clone() }) < off(self)
    }

    /// How far the model's engine is from the log's when driven so, as a share of the limiter's speed; nothing without an engine speed, or
    /// if the model stalls.
    pub(super) fn engine_off(&self, trace: &Trace, until_s: f64, best: &Yardstick) -> Option<f64> {
        let samples = self.samples(best).filter(|_| trace.has_engine)?;
        Some(engine_off(trace, &samples, until_s) / best.vehicle.engine.limiter.cut_radps).filter(|o| o.is_finite())
    }

    /// Names the clutch where the run of the model as driven slips it, and the pull alone seemed that of spinning tyres.
    pub(super) fn name_clutch(&self, faults: &mut [Fault], best: &Yardstick) {
        let Some(samples) = self.clutch_share.and_then(|_| self.samples(best)) else { return };
        for fault in faults.iter_mut().filter(|f| f.kind == FaultKind::Wheelspin) {
            let inside = || samples.iter().filter(|s| (fault.from_s..=fault.to_s).contains(&s.time_s));
            let spins = |s: &&Sample| s.tread_mps - s.speed_mps > fault.planned;
            let slips = inside().filter(|s| s.clutch_slipping).count();
            if 2 * slips > inside().count() && inside().filter(spins).count() < slips {
                fault.kind = FaultKind::ClutchSlip;
            }
        }
    }

    /// The run of the model with all that is known of how it was driven.
    fn samples(&self, best: &Yardstick) -> Option<Vec<Sample>> {
        let (vehicle, scenario) = self.put_into(best, Cause::ALL.into_iter());
        Some(simulate_sampled(&vehicle, &scenario, &Tolerances::default(), SAMPLE_S).ok()?.1)
    }

    /// What differs from the recommended launch.
    pub(super) fn differences(&self, best: &Yardstick, wide_open_s: Option<f64>) -> Vec<Difference> {
        let differs =
            |cause, measured: f64, planned: f64| Difference { cause, gear: None, measured, planned, during_s: None };
        let held =
            self.held_radps.zip(best.seen.held_radps).filter(|(w, planned)| (w / planned - 1.0).abs() > SAME_REVS);
        let keeps_as_planned = self.clutching.is_none_or(|c| c.keeps) && best.scenario.driver.clutch_feel.is_some();
        let kept = self.kept_radps.zip(best.seen.kept_radps).filter(|(w, planned)| {
            keeps_as_planned && self.clutching.is_some() && (w / planned - 1.0).abs() > SAME_KEPT
        });
        let release = self.pedal_up_s.zip(best.seen.pedal_up_s).filter(|(s, planned)| {
            // Who keeps the revs has the pedal up when the road has caught up: by that its time differs, too.
            let same_s = SAME_S.max(SAME_RELEASE * planned) * if keeps_as_planned { 2.0 } else { 1.0 };
            (s - planned).abs() > same_s
        });
        let planned_s = best.pedal_down_s();
        let slow = self.shift_s.filter(|s| (s - planned_s).abs() > SAME_S + self.shift_within_s);
        [
            held.map(|(w, planned)| differs(Cause::HeldRevs, w, planned)),
            kept.map(|(w, planned)| differs(Cause::KeptRevs, w, planned)),
            release.map(|(s, planned)| differs(Cause::Release, s, planned)),
            self.power.map(|p| Difference {
                during_s: Some((p.from_s, p.to_s)),
                ..differs(Cause::Power, p.throttle, best.launch.part_throttle.min(1.0))
            }),
            self.foot.filter(|_| self.power.is_none()).map(|_| {
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

    /// The gear that is left furthest from where the recommended run leaves it; the limiter counts as late.
    fn shift_difference(&self, best: &Yardstick) -> Option<Difference> {
        let shifts = self.shifts.as_ref()?;
        let off = |(i, at): (usize, &f64)| {
            let planned = best.shift_radps(i as u8 + 1);
            Difference { cause: Cause::ShiftRevs, gear: Some(i as u8 + 1), measured: *at, planned, during_s: None }
        };
        let share = |d: &Difference| (d.measured / d.planned - 1.0).abs();
        let all = shifts.at_radps.iter().enumerate().map(off);
        let furthest =
            all.filter(|d| d.gear.is_none_or(|g| best.reaches(g))).max_by(|a, b| share(a).total_cmp(&share(b)))?;
        let waits = shifts.reaction_s > best.scenario.driver.shift_reaction_s + SAME_S;
        (waits || share(&furthest) > SAME_SHIFT).then_some(furthest)
    }

    /// Car and day with these things as they were driven, all else as in the recommended launch.
    pub(super) fn put_into(&self, best: &Yardstick, causes: impl Iterator<Item = Cause>) -> (Vehicle, Scenario) {
        let (mut vehicle, mut scenario) = (best.vehicle.clone(), best.scenario.clone());
        let driver = &mut scenario.driver;
        for cause in causes {
            match cause {
                // In the ratio of what both show: revs that rise before the pedal moves are no longer those held.
                Cause::HeldRevs => {
                    let seen = self.held_radps.zip(best.seen.held_radps);
                    let most = best.vehicle.engine.limiter.cut_radps;
                    driver.held_radps =
                        seen.map_or(driver.held_radps, |(w, own)| (driver.held_radps * w / own).min(most));
                }
                Cause::KeptRevs => {
                    driver.kept_radps = self.clutching.filter(|c| c.keeps).map_or(driver.kept_radps, |c| c.kept_radps);
                }
                Cause::Release => {
                    if let Some(clutching) = self.clutching {
                        driver.release_s = clutching.release_s;
                        driver.clutch_feel = driver.clutch_feel.filter(|_| clutching.keeps);
                    }
                }
                Cause::Throttle | Cause::Power => {
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

fn shifts(trace: &Trace, faults: &[Fault], until_s: f64, best: &Yardstick) -> Option<Shifts> {
    let cut = UNDER_CUT * best.vehicle.engine.limiter.cut_radps;
    let made: Vec<_> = trace.shifts.iter().filter(|s| s.left_s < until_s && s.engine_radps.is_some()).collect();
    // How long the engine has been under its limiter when the gear is left; where the clutch slips it is that which it waits for.
    let slips = faults.iter().any(|f| f.kind == FaultKind::ClutchSlip);
    let waits: Vec<f64> = made
        .iter()
        .filter(|_| !slips)
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
