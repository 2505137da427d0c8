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
const EXACT_STEPS: u64 = 36;
const EXPECTED_STEPS: u64 = 24;
const GENTLE_STEPS: u64 = 40;
const PART_STEPS: u64 = 40;
const LEAST_STEPS: u64 = 40;
/// Edges of the simplexes.
const FIRST_EDGE: f64 = 0.15;
const SECOND_EDGE: f64 = 0.08;
const GENTLE_EDGE: f64 = 0.12;
/// A part throttle is looked for in starts whose throttle is held back for longer than this, s, and kept if it gains this, s.
const TRIMMED_S: f64 = 0.4;
const PART_GAINS_S: f64 = 0.04;
/// Part throttles that are tried first.
const PARTS: [(f64, f64); 3] = [(0.85, 12.0), (0.6, 10.0), (0.35, 14.0)];
/// Within limits that make a start slower by this factor, the car creeps.
const CRAWL: f64 = 1.5;
/// Cost of each second beyond what may be lost, in units of harshness: no launch is that gentle.
const BEYOND: f64 = 200.0;

/// Looks for launches of one car on one day.
pub(super) struct Search<'a> {
    pub(super) judge: &'a Judge<'a>,
    starts: Starts<'a>,
    decisions: Vec<Decision>,
    base: Launch,
    shifts_open: bool,
    known: Mutex<HashMap<Vec<u64>, (Verdict, f64)>>,
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
            shift_points(judge.vehicle, &judge.scenario, judge.target)
        } else {
            own.shift_at_radps.clone()
        };
        let part_throttle = if open(Decision::PartThrottle) { 1.0 } else { own.part_throttle };
        let base = Launch { shift_at_radps, part_throttle, ..own };
        Self {
            judge,
            starts: Starts::balanced(judge, case, scatter),
            decisions: Decision::LAUNCH.into_iter().filter(|d| open(*d)).collect(),
            base,
            shifts_open,
            known: Mutex::new(HashMap::new()),
        }
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
        sensible(values.fold(base.clone(), |launch, (d, share)| d.with(&launch, d.at(*share, self.judge.vehicle))))
    }

    /// Expected verdict and harshness of a launch; each is worked out once.
    fn expected(&self, launch: &Launch) -> (Verdict, f64) {
        let key: Vec<u64> = Decision::LAUNCH.iter().map(|d| d.of(launch).to_bits()).collect();
        let known = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known().get(&key) {
            return *found;
        }
        let (verdict, run) = self.starts.verdict(launch);
        let found = (verdict, run.map_or(f64::INFINITY, |run| harshness(self.judge.vehicle, launch, &run)));
        known().insert(key, found);
        found
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

    /// The launch with the shortest expected time, with its verdict.
    pub(super) fn quickest(&self) -> (Launch, Verdict) {
        let decisions = self.decisions(false);
        let exactly = |launch: &Launch| self.judge.verdict(launch).for_search();
        let mut tried: Vec<(f64, Launch)> = rules_of_thumb(self.judge.vehicle, &self.base, &self.decisions)
            .into_par_iter()
            .map(|launch| (exactly(&launch), launch))
            .collect();
        tried.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut followed: Vec<Launch> = Vec::new();
        for (_, launch) in tried {
            let near = |other: &Launch| {
                let (a, b) = (self.place(&decisions, &launch), self.place(&decisions, other));
                a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 0.2)
            };
            if followed.len() < FOLLOWED && !followed.iter().any(near) {
                followed.push(launch);
            }
        }
        let found: Vec<Launch> = followed
            .into_par_iter()
            .map(|launch| self.simplex(&decisions, &launch, (FIRST_EDGE, EXACT_STEPS), &exactly))
            .collect();
        let by_expectation = |launch: &Launch| self.expected(launch).0.for_search();
        let best = best_of(&found, &by_expectation).unwrap_or_else(|| self.base.clone());
        let best = self.simplex(&decisions, &best, (SECOND_EDGE, EXPECTED_STEPS), &by_expectation);
        let straight = (best.clone(), self.expected(&best).0);
        self.with_part_throttle(straight, &by_expectation)
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
        let verdict = self.expected(&found).0;
        let gains = match (straight.1.time_s(), verdict.time_s()) {
            (Some(straight_s), Some(part_s)) => part_s < straight_s - PART_GAINS_S,
            _ => verdict < straight.1,
        };
        if gains { (found, verdict) } else { straight }
    }

    /// The gentlest launch that loses no more than `may_lose_s` against `quickest_s`, from a launch that loses none.
    fn gentlest(&self, quickest: &Launch, quickest_s: f64, may_lose_s: f64) -> Launch {
        let decisions = self.decisions(quickest.holds_part_throttle());
        let cost = |launch: &Launch| match self.expected(launch) {
            (Verdict::Arrives(s), harshness) => harshness + BEYOND * (s - quickest_s - may_lose_s).max(0.0),
            (verdict, _) => verdict.for_search(),
        };
        let lower = |factor: f64| {
            let lowered = [Decision::HeldRevs, Decision::KeptRevs].into_iter().filter(|d| decisions.contains(d));
            sensible(lowered.fold(quickest.clone(), |launch, d| {
                let (low, high) = d.range(self.judge.vehicle);
                d.with(&launch, (factor * d.of(&launch)).clamp(low, high))
            }))
        };
        let tried: Vec<Launch> = [1.0, 0.85, 0.7, 0.55].into_iter().map(lower).collect();
        let start = best_of(&tried, &cost).unwrap_or_else(|| quickest.clone());
        let found = self.simplex(&decisions, &start, (GENTLE_EDGE, GENTLE_STEPS), &cost);
        // A second, smaller simplex frees one that has collapsed on a slope.
        let found = self.simplex(&decisions, &found, (0.5 * GENTLE_EDGE, GENTLE_STEPS / 2), &cost);
        self.rounded(&decisions, found, &cost)
    }

    /// Each number on the better of its two round neighbours.
    fn rounded(&self, decisions: &[Decision], launch: Launch, cost: &(dyn Fn(&Launch) -> f64 + Sync)) -> Launch {
        decisions.iter().fold(launch, |launch, decision| {
            let unit = decision.unit();
            let (low, high) = decision.range(self.judge.vehicle);
            let below = (decision.of(&launch) / unit).floor() * unit;
            let neighbours = [below, below + unit].into_iter().filter(|v| (low - 1e-9..=high + 1e-9).contains(v));
            let rounded: Vec<Launch> = neighbours.map(|value| sensible(decision.with(&launch, value))).collect();
            best_of(&rounded, cost).unwrap_or(launch)
        })
    }

    /// The launch that is recommended at an effort.
    pub(super) fn recommended(&self, quickest: &(Launch, Verdict), effort: Effort) -> Option<(Launch, f64)> {
        let quickest_s = quickest.1.time_s()?;
        let launch = match effort {
            Effort::AllOut => {
                let cost = |launch: &Launch| self.expected(launch).0.for_search();
                self.rounded(&self.decisions(quickest.0.holds_part_throttle()), quickest.0.clone(), &cost)
            }
            Effort::Easy | Effort::Normal => self.gentlest(&quickest.0, quickest_s, effort.may_lose_s()),
        };
        let launch = self.shifted_under_redline(launch);
        let expected_s = self.expected(&launch).0.time_s()?;
        Some((launch, expected_s))
    }

    /// The launch with every shift begun so early that the needle is under the redline when the lever moves.
    fn shifted_under_redline(&self, launch: Launch) -> Launch {
        if !self.shifts_open {
            return launch;
        }
        let redline = self.judge.vehicle.engine.redline_radps;
        let unit = 0.5 * Decision::ShiftRevs(0).unit();
        (0..2).fold(launch, |launch, _| {
            let Ok(run) = self.judge.run(&launch) else { return launch };
            run.shifts.iter().fold(launch, |launch, shift| {
                let decision = Decision::ShiftRevs(usize::from(shift.from_gear) - 1);
                let over = shift.engine_radps - redline;
                let at = decision.of(&launch) - over.max(0.0);
                let at = if over > 0.0 { (at / unit).floor() * unit } else { at };
                decision.with(&launch, at)
            })
        })
    }
}

fn best_of(launches: &[Launch], cost: &(dyn Fn(&Launch) -> f64 + Sync)) -> Option<Launch> {
    let costs: Vec<f64> = launches.par_iter().map(cost).collect();
    let best = (0..launches.len()).reduce(|a, b| if costs[b] < costs[a] { b } else { a })?;
    Some(launches[best].clone())
}

/// A launch keeps no more revs than it holds.
fn sensible(launch: Launch) -> Launch {
    Launch { kept_radps: launch.kept_radps.min(launch.held_radps), ..launch }
}

/// Where each gear is left: where the next pulls as hard, at the redline at the latest. A gear that reaches a target speed within the
/// redline is not left just before it.
#[must_use]
pub fn shift_points(vehicle: &Vehicle, scenario: &Scenario, target: Target) -> Vec<f64> {
    use bitepoint_physics::timing::Mark;
    let redline = vehicle.engine.redline_radps;
    let tyre = if vehicle.drives_rear() { &vehicle.rear_tyre } else { &vehicle.front_tyre };
    let (low, _) = Decision::ShiftRevs(0).range(vehicle);
    crossings(vehicle, scenario)
        .iter()
        .map(|crossing| {
            let at = crossing.crossing_radps.unwrap_or(redline).clamp(low, redline);
            let gear = usize::from(crossing.from_gear) - 1;
            let mps = |radps: f64| radps / vehicle.gearbox.overall_ratio(gear) * tyre.rolling_radius_m;
            match target.mark().mark {
                Mark::SpeedMps(speed_mps) if mps(at) < speed_mps && speed_mps <= mps(redline) => redline,
                _ => at,
            }
        })
        .collect()
}

/// What people try first, within what is open: from a little over idle to the redline, dropped and slipped.
fn rules_of_thumb(vehicle: &Vehicle, base: &Launch, open: &[Decision]) -> Vec<Launch> {
    let (low, high) = Decision::HeldRevs.range(vehicle);
    let mut rules = vec![base.clone()];
    for share in [0.08, 0.2, 0.35, 0.55, 0.8, 1.0] {
        for kept in [0.6, 1.0] {
            for (release_s, throttle_ease_s, throttle_lead_s) in [(0.4, 0.3, 0.0), (1.0, 0.8, 0.1), (1.0, 1.6, 0.0)] {
                let held_radps = low + share * (high - low);
                let kept_radps = (kept * held_radps).max(low.min(held_radps));
                let rule = Launch {
                    held_radps,
                    kept_radps,
                    release_s,
                    throttle_ease_s,
                    throttle_lead_s,
                    ..base.clone()
                };
                rules.push(sensible(open.iter().fold(base.clone(), |launch, d| match d {
                    Decision::PartThrottle | Decision::PartUntil => launch,
                    _ => d.with(&launch, d.of(&rule)),
                })));
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
        let free = Judge::new(self.vehicle, self.scenario, wanted.target, Limits::default(), watch);
        let steady_nm = free
            .run(&Launch::of(&self.scenario.driver))
            .map_or(f64::INFINITY, |run| run.peaks.steady_shaft_torque_nm);
        free.within(wanted.effort.limits(self.vehicle, steady_nm, &wanted.limits))
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
        let mut judge = self.judge(wanted, watch);
        let mut hurried = judge.hurried();
        let mut search = Search::new(&hurried, self.case, self.scatter, open);
        let mut quickest = search.quickest();
        if matches!(quickest.1, Verdict::OverLimit(_)) && wanted.limits.are_none() {
            // A car that cannot start without straining itself has to be strained.
            judge = judge.within(Limits::default());
            hurried = judge.hurried();
            search = Search::new(&hurried, self.case, self.scatter, open);
            quickest = search.quickest();
        }
        let recommended = search.recommended(&quickest, wanted.effort);
        if judge.called_off() {
            return Err(NoLaunch::CalledOff);
        }
        let (Some((launch, expected_s)), Some(quickest_s)) = (recommended, quickest.1.time_s()) else {
            return Err(why_none(&search, &quickest, wanted));
        };
        if !wanted.limits.are_none() {
            self.refuse_a_crawl(wanted, open, quickest_s, watch)?;
        }
        Ok(Recommended { launch, expected_s, quickest_s, quickest: quickest.0, limits: judge.limits })
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
        let found = Search::new(&judge, self.case, self.scatter, open).quickest();
        match found.1.time_s() {
            Some(free_s) if crawl_s > CRAWL * free_s => Err(NoLaunch::OnlyACrawl { crawl_s, free_s }),
            _ => Ok(()),
        }
    }
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
    let broken = LimitKind::ALL.into_iter().filter_map(|kind| {
        let limit = asked.of(kind).or(judge.limits.of(kind))?;
        (kind.value(&run) > limit).then_some((kind, limit))
    });
    broken
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
