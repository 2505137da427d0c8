//! The one recommended launch of a car on a day for a driver: the gentlest whose expected time is near the best.
//!
//! Every command uses it for whatever its scenario leaves open. It is looked for in four steps, each cheap because a launch's time is a smooth
//! function of what is decided:
//! 1. rules of thumb, done exactly, tell the valleys apart;
//! 2. the simplex of [`minimise`](super::minimise) goes down from the best of them, done exactly, then by expected time;
//! 3. if the tyres limit the start, a part throttle is tried, and kept if it wins by more than a driver would notice;
//! 4. within what the effort may lose, the simplex looks for the gentlest launch, in round numbers.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use bitepoint_inputs::scenario::{DriverScatter, OpenLaunch};
use bitepoint_inputs::scenario_keys as keys;
use bitepoint_physics::road::Surface;
use bitepoint_physics::run::Run;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;

use super::decision::Decision;
use super::effort::{Effort, harshness};
use super::expected::Starts;
use super::judge::Judge;
use super::limits::{LimitKind, Limits, Shortfall};
use super::minimise::{Found, from_start};
use super::verdict::Verdict;
use crate::case::Case;
use crate::launch::Launch;
use crate::target::{Clock, Target};
use crate::tractive_effort::crossings;
use crate::watch::Watch;

/// What a launch is recommended for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// What is to be reached.
    pub target: Target,
    /// How hard the start may be on the car.
    pub effort: Effort,
    /// What the user asks no start to exceed, besides what the effort protects.
    pub limits: Limits,
    /// Whether the engine may be held and shifted above its redline, up to just under the limiter.
    pub above_redline: bool,
}

/// Revs above the redline end this far under the limiter, rad/s (20 rpm): on the limiter there is no torque.
const UNDER_LIMITER_RADPS: f64 = 20.0 * core::f64::consts::PI / 30.0;

impl Wanted {
    /// What is recommended where nothing else is asked for: a start to 60 mph at the normal effort.
    #[must_use]
    pub fn usual() -> Self {
        let target = Target { gate: "60 mph", clock: Clock::FirstMovement };
        Self { target, effort: Effort::Normal, limits: Limits::default(), above_redline: false }
    }

    /// The same for another target.
    #[must_use]
    pub fn to(target: Target) -> Self {
        Self { target, ..Self::usual() }
    }

    /// The car as a launch is looked for: its redline just under the limiter where revs above the redline are allowed.
    pub(super) fn vehicle(&self, mut vehicle: Vehicle) -> Vehicle {
        let engine = &mut vehicle.engine;
        if self.above_redline {
            engine.redline_radps = engine.redline_radps.max(engine.limiter.cut_radps - UNDER_LIMITER_RADPS);
        }
        vehicle
    }
}

/// A recommended launch.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommended {
    /// The launch, in round numbers.
    pub launch: Launch,
    /// What the search expects of it, s: the mean over a small set of starts. Reports make more.
    pub expected_s: f64,
    /// What it expects of the quickest launch within the same limits, s.
    pub quickest_s: f64,
    /// The quickest launch.
    pub quickest: Launch,
    /// What protects the car, and what the user asked for.
    pub limits: Limits,
}

/// Why there is no launch to recommend.
#[derive(Debug, Clone, PartialEq)]
pub enum NoLaunch {
    /// No launch that was tried gets to the target. The run that came furthest, if any could be computed.
    NeverThere(Option<Box<Run>>),
    /// Launches get there, but none keeps the limits that were asked for: those that the nearest launch breaks.
    Limits(Vec<Shortfall>),
    /// Only a crawl keeps the limits that were asked for: its time and that of a launch without them, s.
    OnlyACrawl {
        /// Expected time within the limits, s.
        crawl_s: f64,
        /// Expected time without them, s.
        free_s: f64,
    },
    /// The work was called off.
    CalledOff,
}

/// Launches that are followed from the rules of thumb, how far, and how far the expected time is followed.
const FOLLOWED: usize = 3;
const EXACT_STEPS: u64 = 30;
const EXPECTED_STEPS: u64 = 20;
const PART_STEPS: u64 = 30;
const LEAST_STEPS: u64 = 40;
/// Edges of the simplexes.
const FIRST_EDGE: f64 = 0.15;
const SECOND_EDGE: f64 = 0.08;
/// Steps of the search for the gentlest launch, as fractions of each range, one after the other; each is taken until nothing near is gentler.
const GENTLE_STEPS: [f64; 2] = [0.1, 0.04];
const GENTLE_ROUNDS: usize = 6;
/// Rules of thumb whose expected time is asked for, and the gentle ones that are tried in a driver's hands.
const EXPECTED_RULES: usize = 4;
const GENTLE_RULES: usize = 12;
/// A rule of thumb that done exactly loses no more than this beyond what may be lost is worth that, s.
const QUICK_ENOUGH_S: f64 = 0.06;
/// No launch is harsher than this.
const MOST_HARSHNESS: f64 = 50.0;
/// A launch that loses this much more than it may when done exactly is not tried in a driver's hands, s.
const HOPELESS_S: f64 = 0.15;
/// A part throttle is looked for in starts whose throttle is held back for longer than this, s, and kept if it gains this, s.
const TRIMMED_S: f64 = 0.4;
const PART_GAINS_S: f64 = 0.04;
/// Part throttles that are tried first.
const PARTS: [(f64, f64); 3] = [(0.85, 12.0), (0.6, 10.0), (0.35, 14.0)];
/// Of the shift points that are tried none is earlier than this fraction of the redline: who changes up sooner in a timed run has to have a
/// reason that a model of this kind does not know (common practice, no source).
const EARLIEST_CHOICE: f64 = 0.85;
/// Most steps by which the revs kept are raised so that hardly any start stalls.
const MORE_KEPT: u32 = 12;
/// A shift that comes so long after the target is hardly ever made before it, s.
const CLEAR_S: f64 = 0.4;
/// Within limits that make a start slower by this factor, the car creeps.
const CRAWL: f64 = 1.5;
/// A surface with less friction than this, over dry asphalt, is slippery.
const SLIPPERY: f64 = 0.95;
/// Cost of each second beyond what may be lost, in units of harshness: no launch is that gentle.
const BEYOND: f64 = 200.0;
/// A start that comes off may differ by this from the mean of a driver's, s; each second beyond costs this much harshness: such a launch stands
/// on an edge.
const FIRM_S: f64 = 0.02;
const EDGE: f64 = 25.0;

/// What the search expects of a launch.
#[derive(Debug, Clone, Copy)]
struct Expected {
    verdict: Verdict,
    /// How hard it is on the car.
    harshness: f64,
    /// How far the start that comes off is from the mean of all, s: much where it stands on an edge.
    edge_s: f64,
}

/// A rule of thumb, done exactly.
pub(super) struct Rule {
    launch: Launch,
    /// Nothing if it could not be computed.
    run: Option<Run>,
}

/// Looks for launches of one car on one day.
pub(super) struct Search<'a> {
    pub(super) judge: &'a Judge<'a>,
    starts: Starts<'a>,
    bad_day: Starts<'a>,
    decisions: Vec<Decision>,
    base: Launch,
    shifts_open: bool,
    /// Most revs to hold, rad/s.
    most_held_radps: f64,
    known: Mutex<HashMap<Vec<u64>, Expected>>,
}

impl<'a> Search<'a> {
    /// `judge` should be a hurried one. `case` is what the car's unknowns are drawn from, if they count; `open` says which decisions the
    /// scenario leaves open.
    pub(super) fn new(
        judge: &'a Judge<'a>,
        case: Option<&Case>,
        scatter: &DriverScatter,
        open: &dyn Fn(Decision) -> bool,
    ) -> Self {
        let own = Launch::of(&judge.scenario.driver);
        let shifts_open = open(Decision::ShiftRevs(0));
        let shift_at_radps = if shifts_open {
            vec![judge.vehicle.engine.redline_radps; judge.vehicle.gearbox.gears.len().saturating_sub(1).max(1)]
        } else {
            own.shift_at_radps.clone()
        };
        let part_throttle = if open(Decision::PartThrottle) { 1.0 } else { own.part_throttle };
        let base = Launch { shift_at_radps, part_throttle, ..own };
        Self {
            judge,
            starts: Starts::balanced(judge, case, scatter),
            bad_day: Starts::on_a_bad_day(judge, scatter),
            decisions: Decision::LAUNCH.into_iter().filter(|d| open(*d)).collect(),
            base,
            shifts_open,
            most_held_radps: f64::INFINITY,
            known: Mutex::new(HashMap::new()),
        }
    }

    /// The same, holding no more revs than this.
    fn holding_at_most(self, most_held_radps: f64) -> Self {
        Self { most_held_radps, ..self }
    }

    /// A launch holds no more revs than it may, and keeps no more than it holds.
    fn sensible(&self, launch: Launch) -> Launch {
        let held_radps = launch.held_radps.min(self.most_held_radps);
        Launch { held_radps, kept_radps: launch.kept_radps.min(held_radps), ..launch }
    }

    /// Decisions of a launch that goes straight to the floor, or that does not.
    fn decisions(&self, part: bool) -> Vec<Decision> {
        let of_part = |d: &Decision| matches!(d, Decision::PartThrottle | Decision::PartUntil);
        self.decisions.iter().copied().filter(|d| part || !of_part(d)).collect()
    }

    fn place(&self, decisions: &[Decision], launch: &Launch) -> Vec<f64> {
        decisions.iter().map(|d| d.share(d.of(launch), self.judge.vehicle)).collect()
    }

    fn placed(&self, decisions: &[Decision], base: &Launch, at: &[f64]) -> Launch {
        let values = decisions.iter().zip(at);
        self.sensible(values.fold(base.clone(), |launch, (d, share)| d.with(&launch, d.at(*share, self.judge.vehicle))))
    }

    /// What is expected of a launch; each is worked out once. One that done exactly takes longer than `hopeless_s` is not tried in a driver's
    /// hands: its exact time is all that is said of it.
    fn expected_within(&self, launch: &Launch, hopeless_s: f64) -> Expected {
        let decided = Decision::LAUNCH.iter().map(|d| d.of(launch)).chain(launch.shift_at_radps.iter().copied());
        let key: Vec<u64> = decided.map(f64::to_bits).collect();
        let known = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known().get(&key) {
            return *found;
        }
        let run = self.judge.run(launch).ok();
        let exactly = self.judge.verdict_on(launch, run.as_ref());
        let exact_s = exactly.time_s();
        if exact_s.is_some_and(|s| s > hopeless_s) {
            return Expected { verdict: exactly, harshness: f64::INFINITY, edge_s: 0.0 };
        }
        let verdict = self.starts.verdict_with(launch, exactly, run.as_ref());
        let found = Expected {
            verdict,
            harshness: run.map_or(f64::INFINITY, |run| harshness(self.judge.vehicle, launch, &run)),
            edge_s: exact_s.zip(verdict.time_s()).map_or(0.0, |(exact_s, mean_s)| (exact_s - mean_s).abs()),
        };
        known().insert(key, found);
        found
    }

    /// What is expected of a launch.
    fn expected(&self, launch: &Launch) -> Expected {
        self.expected_within(launch, f64::INFINITY)
    }

    fn simplex(
        &self,
        decisions: &[Decision],
        from: &Launch,
        (edge, steps): (f64, u64),
        cost: &(dyn Fn(&Launch) -> f64 + Sync),
    ) -> Launch {
        if decisions.is_empty() {
            return from.clone();
        }
        let objective = |at: &[f64]| cost(&self.placed(decisions, from, at));
        let at = self.place(decisions, from);
        let start = Found { value: objective(&at), at };
        let found = from_start(&objective, &start, edge, steps);
        self.placed(decisions, from, &found.at)
    }

    /// The rules of thumb, done exactly.
    fn rules(&self) -> Vec<Rule> {
        self.rules_like(&self.base)
    }

    /// The same with the throttle and the shifts of a launch.
    fn rules_like(&self, base: &Launch) -> Vec<Rule> {
        rules_of_thumb(self.judge.vehicle, base, &self.decisions)
            .into_par_iter()
            .map(|launch| {
                let launch = self.sensible(launch);
                Rule { run: self.judge.run(&launch).ok(), launch }
            })
            .collect()
    }

    /// The launch with the shortest expected time, with its verdict, from rules of thumb done exactly.
    pub(super) fn quickest(&self, rules: Vec<Rule>) -> (Launch, Verdict) {
        let decisions = self.decisions(false);
        let exactly = |launch: &Launch| self.judge.verdict(launch).for_search();
        let mut tried: Vec<(f64, Launch)> = rules
            .into_iter()
            .map(|rule| (self.judge.verdict_on(&rule.launch, rule.run.as_ref()).for_search(), rule.launch))
            .collect();
        tried.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut followed: Vec<Launch> = Vec::new();
        for (_, launch) in &tried {
            let near = |other: &Launch| {
                let (a, b) = (self.place(&decisions, launch), self.place(&decisions, other));
                a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 0.2)
            };
            if followed.len() < FOLLOWED && !followed.iter().any(near) {
                followed.push(launch.clone());
            }
        }
        let mut found: Vec<Launch> = followed
            .into_par_iter()
            .map(|launch| self.simplex(&decisions, &launch, (FIRST_EDGE, EXACT_STEPS), &exactly))
            .collect();
        let rules: Vec<Launch> = tried.into_iter().map(|(_, launch)| launch).collect();
        found.extend(rules.iter().take(EXPECTED_RULES).cloned());
        let by_expectation = |launch: &Launch| self.expected(launch).verdict.for_search();
        let mut best = best_of(&found, &by_expectation).unwrap_or_else(|| self.base.clone());
        if self.expected(&best).verdict.time_s().is_none() {
            // What just keeps a limit when done exactly exceeds it in too many starts, and a tight limit is far from there.
            best = best_of(&rules, &by_expectation).unwrap_or(best);
        }
        let best = self.shifted_under_redline(self.shifted(best));
        let best = self.simplex(&decisions, &best, (SECOND_EDGE, EXPECTED_STEPS), &by_expectation);
        let straight = (best.clone(), self.expected(&best).verdict);
        self.with_part_throttle(straight, &by_expectation)
    }

    /// The launch with each gear that is left before the target left at the best of the redline, where the next gear pulls as hard, and the
    /// middle of the two, and every other gear where the next pulls as hard. A shift takes time and lets boost go, so that the pull of the gears alone does not tell.
    fn shifted(&self, launch: Launch) -> Launch {
        if !self.shifts_open {
            return launch;
        }
        let shifts = self.judge.run(&launch).map_or(0, |run| run.shifts.len());
        let (low, redline) = Decision::ShiftRevs(0).range(self.judge.vehicle);
        let crossings = crossings(self.judge.vehicle, &self.judge.scenario);
        crossings.iter().enumerate().fold(launch, |launch, (gear, crossing)| {
            let at = crossing.crossing_radps.unwrap_or(redline).clamp(low, redline).max(EARLIEST_CHOICE * redline);
            let cost = |launch: &Launch| self.expected(launch).verdict.for_search();
            // The gear in which the target is passed is held to the redline: a shift just before it gains nothing.
            if gear >= shifts {
                return Decision::ShiftRevs(gear).with(&launch, if gear == shifts { redline } else { at });
            }
            let tried = [redline, 0.5 * (redline + at), at].map(|radps| Decision::ShiftRevs(gear).with(&launch, radps));
            best_of(&tried, &cost).unwrap_or(launch)
        })
    }

    /// The better of a launch and one with a part throttle, where the tyres make the driver hold the throttle back.
    fn with_part_throttle(
        &self,
        straight: (Launch, Verdict),
        by_expectation: &(dyn Fn(&Launch) -> f64 + Sync),
    ) -> (Launch, Verdict) {
        let open = self.decisions.contains(&Decision::PartThrottle);
        let trims = self.judge.run(&straight.0).is_ok_and(|run| run.launch.trimmed_s > TRIMMED_S);
        if !open || !trims || self.judge.called_off() {
            return straight;
        }
        let decisions = self.decisions(true);
        let tries: Vec<Launch> = PARTS
            .iter()
            .map(|&(part_throttle, part_until_mps)| Launch { part_throttle, part_until_mps, ..straight.0.clone() })
            .collect();
        let Some(start) = best_of(&tries, by_expectation) else { return straight };
        let found = self.simplex(&decisions, &start, (FIRST_EDGE, PART_STEPS), by_expectation);
        let verdict = self.expected(&found).verdict;
        let gains = match (straight.1.time_s(), verdict.time_s()) {
            (Some(straight_s), Some(part_s)) => part_s < straight_s - PART_GAINS_S,
            _ => verdict < straight.1,
        };
        if gains { (found, verdict) } else { straight }
    }

    /// The gentlest launch that loses no more than `may_lose_s` against `quickest_s`, from a launch that loses none.
    fn gentlest(&self, quickest: &Launch, quickest_s: f64, may_lose_s: f64) -> Launch {
        let decisions = self.decisions(quickest.holds_part_throttle());
        let most_s = quickest_s + may_lose_s;
        let cost = |launch: &Launch| {
            let Expected { verdict, harshness, edge_s } = self.expected_within(launch, most_s + HOPELESS_S);
            match verdict {
                Verdict::Arrives(s) => {
                    let beyond = BEYOND * (s - most_s).max(0.0);
                    harshness.min(MOST_HARSHNESS) + beyond + EDGE * (edge_s - FIRM_S).max(0.0)
                }
                other => other.for_search(),
            }
        };
        // The gentlest rules of thumb that done exactly are quick enough, as far as a driver's hands are worth trying.
        let quick = |rule: &Rule| {
            let verdict = self.judge.verdict_on(&rule.launch, rule.run.as_ref());
            verdict.time_s().is_some_and(|s| s < most_s + QUICK_ENOUGH_S)
        };
        let mut rules: Vec<(f64, Launch)> = self
            .rules_like(quickest)
            .into_iter()
            .filter(quick)
            .filter_map(|rule| Some((harshness(self.judge.vehicle, &rule.launch, &rule.run?), rule.launch)))
            .collect();
        rules.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut tried: Vec<Launch> = rules.into_iter().take(GENTLE_RULES).map(|(_, launch)| launch).collect();
        tried.push(quickest.clone());
        let start = best_of(&tried, &cost).unwrap_or_else(|| quickest.clone());
        let found = GENTLE_STEPS.into_iter().fold(start, |from, step| self.compass(&decisions, from, step, &cost));
        self.rounded(&decisions, found, &cost)
    }

    /// From a launch to the best of its neighbours that are a step off in one decision, while there is a better one.
    fn compass(
        &self,
        decisions: &[Decision],
        from: Launch,
        step: f64,
        cost: &(dyn Fn(&Launch) -> f64 + Sync),
    ) -> Launch {
        let mut here = (cost(&from), from);
        for _ in 0..GENTLE_ROUNDS {
            let at = self.place(decisions, &here.1);
            let neighbours: Vec<Launch> = (0..at.len())
                .flat_map(|d| [-step, step].map(|by| (d, by)))
                .map(|(d, by)| {
                    let mut near = at.clone();
                    near[d] = (near[d] + by).clamp(0.0, 1.0);
                    self.placed(decisions, &here.1, &near)
                })
                .filter(|near| *near != here.1)
                .collect();
            let Some(best) = best_of(&neighbours, cost) else { break };
            let best = (cost(&best), best);
            if best.0 >= here.0 {
                break;
            }
            here = best;
        }
        here.1
    }

    /// Each number on the better of its two round neighbours.
    fn rounded(&self, decisions: &[Decision], launch: Launch, cost: &(dyn Fn(&Launch) -> f64 + Sync)) -> Launch {
        decisions.iter().fold(launch, |launch, decision| {
            let unit = decision.unit();
            let (low, high) = decision.range(self.judge.vehicle);
            let below = (decision.of(&launch) / unit).floor() * unit;
            let neighbours = [below, below + unit].into_iter().filter(|v| (low - 1e-9..=high + 1e-9).contains(v));
            let rounded: Vec<Launch> = neighbours.map(|value| self.sensible(decision.with(&launch, value))).collect();
            best_of(&rounded, cost).unwrap_or(launch)
        })
    }

    /// The launch that is recommended at an effort.
    pub(super) fn recommended(&self, quickest: &(Launch, Verdict), effort: Effort) -> Option<(Launch, f64)> {
        let quickest_s = quickest.1.time_s()?;
        let launch = match effort {
            Effort::AllOut => {
                let cost = |launch: &Launch| self.expected(launch).verdict.for_search();
                let rounded =
                    self.rounded(&self.decisions(quickest.0.holds_part_throttle()), quickest.0.clone(), &cost);
                // What just keeps a limit may not when it is rounded.
                if self.expected(&rounded).verdict.time_s().is_some() { rounded } else { quickest.0.clone() }
            }
            Effort::Easy | Effort::Normal => self.gentlest(&quickest.0, quickest_s, effort.may_lose_s()),
        };
        let launch = self.shifted_under_redline(self.seldom_stalled(launch));
        let expected_s = match self.expected(&launch).verdict {
            Verdict::Arrives(s) => s,
            // Another shift point may put it a hair over what protects the car by default, though over nothing that was asked for.
            Verdict::OverLimit(_) if self.judge.run(&launch).is_ok_and(|run| self.judge.always.kept_by(&run)) => {
                self.starts.mean_time_s(&launch)?
            }
            _ => return None,
        };
        Some((launch, expected_s))
    }

    /// The launch with the revs kept so high that the engine does not die on a bad day: a small set of starts sees how an error costs time,
    /// not the one start in fifty that stalls.
    fn seldom_stalled(&self, launch: Launch) -> Launch {
        if !self.decisions.contains(&Decision::KeptRevs) || !self.expected(&launch).verdict.reaches() {
            return launch;
        }
        let mut best = (self.bad_day.failures(&launch), launch.clone());
        let (unit, (_, most_radps)) = (Decision::KeptRevs.unit(), Decision::KeptRevs.range(self.judge.vehicle));
        for step in 1..=MORE_KEPT {
            let kept_radps = launch.kept_radps + f64::from(step) * unit;
            let more =
                self.sensible(Launch { kept_radps, held_radps: launch.held_radps.max(kept_radps), ..launch.clone() });
            if best.0 == 0 || kept_radps > most_radps || self.expected(&more).verdict.time_s().is_none() {
                break;
            }
            let failures = self.bad_day.failures(&more);
            if failures < best.0 {
                best = (failures, more);
            }
        }
        best.1
    }

    /// The launch with every shift begun so early that the needle is under the redline when the lever moves.
    fn shifted_under_redline(&self, launch: Launch) -> Launch {
        if !self.shifts_open {
            return launch;
        }
        let redline = self.judge.vehicle.engine.redline_radps;
        let unit = 0.5 * Decision::ShiftRevs(0).unit();
        // To a quarter mile: who goes on beyond the target shifts there too.
        let exactly = self.judge.to_a_quarter_mile();
        let after_target_s = |run: &Run, gear: u8| {
            let shift = run.shifts.iter().find(|shift| shift.from_gear == gear)?;
            Some(shift.time_s - self.judge.target.time_s(run)?)
        };
        let mut launch = launch;
        for _ in 0..4 {
            let Ok(run) = exactly.run(&launch) else { break };
            let over = run.shifts.iter().filter(|shift| shift.engine_radps > redline);
            let mut lowered = launch.clone();
            for shift in over {
                let decision = Decision::ShiftRevs(usize::from(shift.from_gear) - 1);
                let at = decision.of(&launch) - (shift.engine_radps - redline);
                let earlier = decision.with(&lowered, (at / unit).floor() * unit);
                // Not where it would come so soon after the target that some starts had it just before, which a driver who is timed does without.
                let is_before = after_target_s(&run, shift.from_gear).is_none_or(|s| s < 0.0);
                let comes_s = || after_target_s(&exactly.run(&earlier).ok()?, shift.from_gear);
                if is_before || comes_s().is_none_or(|s| s > CLEAR_S) {
                    lowered = earlier;
                }
            }
            if lowered == launch {
                break;
            }
            launch = lowered;
        }
        launch
    }
}

fn best_of(launches: &[Launch], cost: &(dyn Fn(&Launch) -> f64 + Sync)) -> Option<Launch> {
    let costs: Vec<f64> = launches.par_iter().map(cost).collect();
    let best = (0..launches.len()).reduce(|a, b| if costs[b] < costs[a] { b } else { a })?;
    Some(launches[best].clone())
}

/// What people try first, within what is open: from a little over idle to the redline, the revs kept or let fall, the foot quick or slow.
fn rules_of_thumb(vehicle: &Vehicle, base: &Launch, open: &[Decision]) -> Vec<Launch> {
    let (low, high) = Decision::HeldRevs.range(vehicle);
    let mut rules = vec![base.clone()];
    for share in [0.0, 0.08, 0.18, 0.3, 0.45, 0.62, 0.8, 1.0] {
        for kept in [0.65, 1.0] {
            for throttle_ease_s in [0.2, 0.6, 1.2] {
                let held_radps = low + share * (high - low);
                let kept_radps = (kept * held_radps).max(Decision::KeptRevs.range(vehicle).0);
                let (release_s, throttle_lead_s) = (0.6, 0.05);
                let rule =
                    Launch { held_radps, kept_radps, release_s, throttle_ease_s, throttle_lead_s, ..base.clone() };
                rules.push(open.iter().fold(base.clone(), |launch, d| match d {
                    Decision::PartThrottle | Decision::PartUntil => launch,
                    _ => d.with(&launch, d.of(&rule)),
                }));
            }
        }
    }
    rules
}

/// Recommends a launch of a car on a day that come from files, for what the scenario leaves open.
///
/// # Errors
/// When no launch that was tried arrives and keeps the limits, or the work was called off.
pub fn recommend(case: &Case, wanted: &Wanted, watch: &dyn Watch) -> Result<Recommended, NoLaunch> {
    let vehicle = case.vehicle.resolve().vehicle;
    let Ok(day) = case.scenario.resolve(&vehicle) else { return Err(NoLaunch::NeverThere(None)) };
    let vehicle = wanted.vehicle(vehicle);
    let open = |decision: Decision| case.scenario.leaves_open(decision.key());
    let known = Known { vehicle: &vehicle, scenario: &day.scenario, scatter: &day.scatter, case: Some(case) };
    known.recommend(wanted, &open, watch)
}

/// A car, a day and a driver of whom every value is known; with a case, also how surely.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The car.
    pub vehicle: &'a Vehicle,
    /// The day.
    pub scenario: &'a Scenario,
    /// How the driver scatters.
    pub scatter: &'a DriverScatter,
    /// Where the car's and the day's unknowns are drawn from, if they count.
    pub case: Option<&'a Case>,
}

impl Known<'_> {
    /// A judge within what an effort protects and the user asks for.
    pub(super) fn judge<'b>(&'b self, wanted: &Wanted, watch: &'b dyn Watch) -> Judge<'b> {
        let asked = Judge::new(self.vehicle, self.scenario, wanted.target, wanted.limits, watch);
        let steady_nm =
            asked.run(&Launch::of(&self.scenario.driver)).map_or(f64::INFINITY, |run| run.peaks.steady_shaft_torque_nm);
        asked.protecting(wanted.effort.limits(self.vehicle, steady_nm, &wanted.limits))
    }

    /// Recommends a launch for the decisions that are `open`.
    ///
    /// # Errors
    /// When no launch that was tried arrives and keeps the limits, or the work was called off.
    pub fn recommend(
        &self,
        wanted: &Wanted,
        open: &dyn Fn(Decision) -> bool,
        watch: &dyn Watch,
    ) -> Result<Recommended, NoLaunch> {
        let mut found = self.at_efforts(wanted, &[wanted.effort], open, watch)?;
        Ok(found.remove(0).1)
    }

    /// The same at several efforts that protect the car alike; the first has to be found, others are left out where there is none.
    fn at_efforts(
        &self,
        wanted: &Wanted,
        efforts: &[Effort],
        open: &dyn Fn(Decision) -> bool,
        watch: &dyn Watch,
    ) -> Result<Vec<(Effort, Recommended)>, NoLaunch> {
        let most_held_radps = self.held_in_the_dry(wanted, open, watch);
        let protecting = self.judge(wanted, watch);
        let spared = protecting.limits;
        let hurried = protecting.hurried();
        let rules = Search::new(&hurried, self.case, self.scatter, open).holding_at_most(most_held_radps).rules();
        // A car that cannot start without straining its shafts (a shift can jolt them harder than the launch) has to strain them, but not its
        // clutch, if that can be.
        let strained = Limits { shaft_torque_nm: wanted.limits.shaft_torque_nm, ..spared };
        let can_keep = |limits: &Limits| {
            let judge = protecting.protecting(*limits);
            rules.iter().any(|rule| judge.verdict_on(&rule.launch, rule.run.as_ref()).time_s().is_some())
        };
        let limits = [spared, strained, wanted.limits].into_iter().find(can_keep).unwrap_or(spared);
        let judge = protecting.protecting(limits);
        let hurried = judge.hurried();
        let search = Search::new(&hurried, self.case, self.scatter, open).holding_at_most(most_held_radps);
        let quickest = search.quickest(rules);
        if judge.called_off() {
            return Err(NoLaunch::CalledOff);
        }
        let Some(quickest_s) = quickest.1.time_s() else { return Err(why_none(&search, &quickest, wanted)) };
        if !wanted.limits.are_none() {
            self.refuse_a_crawl(wanted, open, quickest_s, watch)?;
        }
        let found: Vec<(Effort, Recommended)> = efforts
            .iter()
            .filter_map(|effort| {
                let (launch, expected_s) = search.recommended(&quickest, *effort)?;
                let (quickest, limits) = (quickest.0.clone(), judge.limits);
                Some((*effort, Recommended { launch, expected_s, quickest_s, quickest, limits }))
            })
            .collect();
        if judge.called_off() {
            return Err(NoLaunch::CalledOff);
        }
        match found.first() {
            Some((effort, _)) if *effort == efforts[0] => Ok(found),
            _ => Err(why_none(&search, &quickest, wanted)),
        }
    }

    /// What is recommended at each effort, the wanted one first.
    pub(super) fn levels(
        &self,
        wanted: &Wanted,
        open: &(dyn Fn(Decision) -> bool + Sync),
        watch: &dyn Watch,
    ) -> Result<Vec<(Effort, Recommended)>, NoLaunch> {
        // Two efforts share their limits, and with them the quickest launch.
        let spare =
            if wanted.effort == Effort::Easy { [Effort::Easy, Effort::Normal] } else { [Effort::Normal, Effort::Easy] };
        let all_out = Wanted { effort: Effort::AllOut, ..*wanted };
        let sparing = Wanted { effort: spare[0], ..*wanted };
        let (sparing, all_out) = rayon::join(
            || self.at_efforts(&sparing, &spare, open, watch),
            || self.at_efforts(&all_out, &[Effort::AllOut], open, watch),
        );
        // The normal launch may be taken at any effort: where the search without protection found nothing quicker, it is the answer there too.
        let all_out = all_out.map(|mut found| {
            let normal = sparing.iter().flatten().find(|(effort, _)| *effort == Effort::Normal);
            if let (Some((_, normal)), Some((_, hard))) = (normal, found.first_mut())
                && normal.expected_s < hard.expected_s
            {
                hard.launch.clone_from(&normal.launch);
                hard.expected_s = normal.expected_s;
            }
            found
        });
        let (first, others) = if wanted.effort == Effort::AllOut { (all_out, sparing) } else { (sparing, all_out) };
        let mut found = first?;
        found.extend(others.unwrap_or_default());
        Ok(found)
    }

    /// Revs that would be held if the road were dry, rad/s; without limit on a road that grips as well. Nobody holds more in the rain than in
    /// the dry (common practice, no source): what the flywheel then has over is spun away, and an error costs more.
    fn held_in_the_dry(&self, wanted: &Wanted, open: &dyn Fn(Decision) -> bool, watch: &dyn Watch) -> f64 {
        let surface = &self.scenario.surface;
        if surface.friction_scale >= SLIPPERY || !open(Decision::HeldRevs) {
            return f64::INFINITY;
        }
        let held = |dry: &Known<'_>| {
            dry.at_efforts(wanted, &[wanted.effort], open, watch)
                .map_or(f64::INFINITY, |found| found[0].1.launch.held_radps)
        };
        // From files it is the day that somebody would plan who wrote "dry asphalt" for the surface.
        if let Some(dry) = self.case.and_then(dried)
            && let Ok(day) = dry.scenario.resolve_launched(self.vehicle, dry.launch.as_ref())
        {
            return held(&Known { scenario: &day.scenario, scatter: &day.scatter, case: Some(&dry), ..*self });
        }
        let dry = Surface { friction_scale: 1.0, slip_stiffness_scale: 1.0, ..surface.clone() };
        held(&Known { scenario: &Scenario { surface: dry, ..self.scenario.clone() }, case: None, ..*self })
    }

    /// Limits that only a crawl can keep are refused.
    fn refuse_a_crawl(
        &self,
        wanted: &Wanted,
        open: &dyn Fn(Decision) -> bool,
        crawl_s: f64,
        watch: &dyn Watch,
    ) -> Result<(), NoLaunch> {
        let free = Wanted { limits: Limits::default(), ..*wanted };
        let judge = self.judge(&free, watch).hurried();
        let search = Search::new(&judge, self.case, self.scatter, open);
        let found = search.quickest(search.rules());
        match found.1.time_s() {
            Some(free_s) if crawl_s > CRAWL * free_s => Err(NoLaunch::OnlyACrawl { crawl_s, free_s }),
            _ => Ok(()),
        }
    }
}

/// The same case on dry asphalt.
fn dried(case: &Case) -> Option<Case> {
    let dry = case.with(keys::SURFACE.path, "dry asphalt").ok()?;
    let scales = [&keys::FRICTION_SCALE, &keys::SLIP_STIFFNESS_SCALE, &keys::ROLLING_SCALE];
    let mut stated = scales.into_iter().filter(|key| !case.scenario.leaves_open(key));
    stated.try_fold(dry, |dry, key| dry.with(key.path, "1").ok())
}

fn why_none(search: &Search<'_>, quickest: &(Launch, Verdict), wanted: &Wanted) -> NoLaunch {
    if !quickest.1.reaches() {
        return NoLaunch::NeverThere(search.judge.run(&quickest.0).ok().map(Box::new));
    }
    NoLaunch::Limits(shortfalls(search, &quickest.0, &wanted.limits))
}

/// Limits that the launch which comes nearest breaks, with the least that each can be for itself.
fn shortfalls(search: &Search<'_>, nearest: &Launch, asked: &Limits) -> Vec<Shortfall> {
    let judge = search.judge;
    let Ok(run) = judge.run(nearest) else { return Vec::new() };
    let limited = LimitKind::ALL.into_iter().filter_map(|kind| Some((kind, asked.of(kind).or(judge.limits.of(kind))?)));
    let (mut broken, kept): (Vec<_>, Vec<_>) = limited.partition(|(kind, limit)| kind.value(&run) > *limit);
    if broken.is_empty() {
        // Done exactly it keeps them all; too many of a driver's starts do not.
        broken = kept.into_iter().filter(|(kind, _)| asked.of(*kind).is_some()).collect();
    }
    broken
        .into_iter()
        .map(|(kind, limit)| {
            let value = |launch: &Launch| match judge.run(launch) {
                Ok(run) if judge.target.time_s(&run).is_some() => kind.value(&run),
                _ => f64::MAX,
            };
            let rules = rules_of_thumb(judge.vehicle, &search.base, &search.decisions);
            let gentlest = best_of(&rules, &value).unwrap_or_else(|| nearest.clone());
            let decisions = search.decisions(false);
            let least = value(&search.simplex(&decisions, &gentlest, (FIRST_EDGE, LEAST_STEPS), &value));
            let together = kind.value(&run);
            Shortfall { kind, limit, least: least.min(together), together }
        })
        .collect()
}

impl Launch {
    /// The launch as what a scenario leaves open.
    #[must_use]
    pub fn open(&self) -> OpenLaunch {
        OpenLaunch {
            held_radps: self.held_radps,
            kept_radps: self.kept_radps,
            release_s: self.release_s,
            throttle_ease_s: self.throttle_ease_s,
            throttle_lead_s: self.throttle_lead_s,
            part_throttle: self.part_throttle.min(1.0),
            part_until_mps: self.part_until_mps,
            shift_at_radps: self.shift_at_radps.clone(),
            rule: "recommended: the gentlest launch within 0.05 s of the quickest",
        }
    }
}
