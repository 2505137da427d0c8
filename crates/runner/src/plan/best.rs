//! The quickest launch of all: what a hand that never errs could do.

use bitepoint_physics::driver::ReleaseShape;
use bitepoint_physics::run::Run;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;

use super::decision::Decision;
use super::judge::Judge;
use super::limits::{LimitKind, Limits, Shortfall};
use super::minimise::{Effort, Found, from_start, valleys};
use crate::launch::Launch;
use crate::target::Target;
use crate::watch::Nobody;

/// A launch, its run to the target and its time.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// The launch.
    pub launch: Launch,
    /// Its run, ended at the target.
    pub run: Run,
    /// Its time to the target, s.
    pub time_s: f64,
}

/// Why there is no best launch.
#[derive(Debug, Clone, PartialEq)]
pub enum NoLaunch {
    /// No launch that was tried gets to the target. The run that came furthest, if any could be computed.
    NeverThere(Option<Box<Run>>),
    /// Launches get there, but none keeps the limits: those that the nearest launch breaks.
    Limits(Vec<Shortfall>),
    /// The work was called off.
    CalledOff,
}

/// For each shape of release.
const WHOLE: Effort = Effort { coarse: 20, starts: 5, steps: 40, seed: 8 };
/// Valleys of each shape that are followed further.
const VALLEYS: usize = 1;
/// For the least that one limited quantity can be.
const LEAST: Effort = Effort { coarse: 8, starts: 3, steps: 40, seed: 8 };
/// Edge and steps of the simplex over launch and shifts together.
const JOINT_EDGE: f64 = 0.05;
const JOINT_STEPS: u64 = 70;
/// So many of the best are followed on, with simplexes of these edges one after the other: each sees what the last stepped over.
const DEEPENED: usize = 3;
const EDGES: [f64; 4] = [0.15, 0.04, 0.1, 0.02];
/// Part throttle that a search begins with where a scenario goes straight to the floor, and where it opens (60 km/h).
const FIRST_PART_THROTTLE: f64 = 0.7;
const FIRST_PART_UNTIL_MPS: f64 = 60.0 / 3.6;
/// Shift speeds that are tried in each gear before.
const SHIFTS_TRIED: u32 = 13;

/// Shapes of release.
pub(super) const SHAPES: [ReleaseShape; 2] = [ReleaseShape::Straight, ReleaseShape::QuickToBite];

/// The launch with the shortest time to the target among those that keep the limits; nothing if there is none.
#[must_use]
pub fn best_launch(vehicle: &Vehicle, scenario: &Scenario, target: Target, limits: &Limits) -> Option<Best> {
    find_best(&Judge::new(vehicle, scenario, target, *limits, &Nobody)).ok()
}

/// The same in the neighbourhood of a launch that is good already (that of a car which differs a little): a tenth of the runs.
#[must_use]
pub fn best_launch_near(
    vehicle: &Vehicle,
    scenario: &Scenario,
    target: Target,
    limits: &Limits,
    near: &Launch,
) -> Option<Best> {
    let judge = Judge::new(vehicle, scenario, target, *limits, &Nobody);
    let start = within_range(&judge, near);
    let polished = polish(&judge, &start, judge.worth(&start), JOINT_EDGE);
    judged(&judge, polished.0)
}

/// The same with a judge that somebody watches.
///
/// # Errors
/// When no launch that was tried arrives and keeps the limits, or the work was called off.
pub fn find_best(judge: &Judge<'_>) -> Result<Best, NoLaunch> {
    let base = within_range(judge, &Launch::of(&judge.scenario.driver));
    let mut found = polished_valleys(judge, &base);
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    found.truncate(DEEPENED);
    let best = found.into_par_iter().map(|(launch, worth)| deepened(judge, launch, worth)).reduce_with(better);
    if judge.called_off() {
        return Err(NoLaunch::CalledOff);
    }
    let Some((launch, worth)) = best else { return Err(NoLaunch::NeverThere(None)) };
    if !Judge::arrives(worth) {
        return Err(NoLaunch::NeverThere(judge.run(&launch).ok().map(Box::new)));
    }
    if !Judge::keeps_limits(worth) {
        return Err(NoLaunch::Limits(shortfalls(judge, &launch)));
    }
    judged(judge, launch).ok_or(NoLaunch::NeverThere(None))
}

fn better(a: (Launch, f64), b: (Launch, f64)) -> (Launch, f64) {
    if b.1 < a.1 { b } else { a }
}

/// The bottoms of the valleys of every shape of release, with and without a part throttle, each with its own shift speeds.
fn polished_valleys(judge: &Judge<'_>, base: &Launch) -> Vec<(Launch, f64)> {
    let hurried = judge.hurried();
    let found: Vec<Launch> = SHAPES
        .into_par_iter()
        .flat_map(|release_shape| {
            let straight = Launch { release_shape, part_throttle: 1.0, ..base.clone() };
            let part = Launch { release_shape, ..with_part_throttle(base) };
            // Straight to wide open is an edge of the cube of part throttles: it needs a search of its own to be seen.
            [(&Decision::WIDE_OPEN[..], straight), (&Decision::LAUNCH[..], part)]
        })
        .flat_map(|(decisions, base)| {
            let found = over_launches(judge, decisions, &base, WHOLE, &|launch| hurried.worth(launch));
            found.into_iter().map(|found| placed(judge, decisions, &base, &found.at)).collect::<Vec<_>>()
        })
        .collect();
    // Every one of them: which is best can change once gears are left where it suits it.
    found
        .into_par_iter()
        .map(|launch| {
            let worth = judge.worth(&launch);
            let (launch, worth) = shifted(judge, &launch, worth);
            polish(judge, &launch, worth, JOINT_EDGE)
        })
        .collect()
}

/// A launch that holds a part throttle: its own, or one to begin a search with.
fn with_part_throttle(launch: &Launch) -> Launch {
    if launch.holds_part_throttle() {
        return launch.clone();
    }
    Launch { part_throttle: FIRST_PART_THROTTLE, part_until_mps: FIRST_PART_UNTIL_MPS, ..launch.clone() }
}

fn judged(judge: &Judge<'_>, launch: Launch) -> Option<Best> {
    let run = judge.run(&launch).ok()?;
    let time_s = judge.target.time_s(&run)?;
    judge.limits.kept_by(&run).then_some(Best { launch, run, time_s })
}

/// A launch that the search may begin with: every number within its range, and a shift speed for every gear that is left.
pub(super) fn within_range(judge: &Judge<'_>, launch: &Launch) -> Launch {
    let gears = judge.vehicle.gearbox.gears.len() - 1;
    let decisions = Decision::LAUNCH.into_iter().chain((0..gears).map(Decision::ShiftRevs));
    decisions.fold(launch.clone(), |launch, decision| {
        let (low, high) = decision.range(judge.vehicle);
        decision.with(&launch, decision.of(&launch).clamp(low, high))
    })
}

/// The launch at a point of the cube.
pub(super) fn placed(judge: &Judge<'_>, decisions: &[Decision], base: &Launch, at: &[f64]) -> Launch {
    let values = decisions.iter().zip(at);
    values.fold(base.clone(), |launch, (decision, share)| decision.with(&launch, decision.at(*share, judge.vehicle)))
}

/// Where in the cube a launch lies.
pub(super) fn place(judge: &Judge<'_>, decisions: &[Decision], launch: &Launch) -> Vec<f64> {
    decisions.iter().map(|decision| decision.share(decision.of(launch), judge.vehicle)).collect()
}

fn over_launches(
    judge: &Judge<'_>,
    decisions: &[Decision],
    base: &Launch,
    effort: Effort,
    worth: &(dyn Fn(&Launch) -> f64 + Sync),
) -> Vec<Found> {
    let objective = |at: &[f64]| worth(&placed(judge, decisions, base, at));
    valleys(&objective, decisions.len(), &rules_of_thumb(judge, decisions, base), effort, VALLEYS)
}

/// What people try first: the scenario's own launch; a little gas and a slow foot; half-way up with a quick foot; the revs of the torque peak.
fn rules_of_thumb(judge: &Judge<'_>, decisions: &[Decision], base: &Launch) -> Vec<Vec<f64>> {
    let (peak_radps, _) = judge.vehicle.engine.full_load_nm.largest(60, |_, torque| torque);
    let mut rules = vec![base.clone()];
    let (low, high) = Decision::HeldRevs.range(judge.vehicle);
    for held_radps in [low, low + 0.15 * (high - low), 0.5 * (low + high), peak_radps.clamp(low, high), high] {
        for (release_s, throttle_ease_s) in [(0.15, 0.1), (0.4, 0.5), (1.0, 0.3), (2.0, 0.1), (2.0, 1.5)] {
            rules.push(Launch { held_radps, release_s, throttle_ease_s, ..base.clone() });
        }
    }
    rules.iter().map(|launch| place(judge, decisions, launch)).collect()
}

/// The launch with each gear left at its best speed, first gear first: the later shifts hardly know of the launch, nor of each other.
fn shifted(judge: &Judge<'_>, launch: &Launch, worth: f64) -> (Launch, f64) {
    let mut best = (launch.clone(), worth);
    for gear in 0..judge.vehicle.gearbox.gears.len() - 1 {
        if gear >= shifts(judge, &best.0) {
            break;
        }
        let decision = Decision::ShiftRevs(gear);
        let tried: Vec<(Launch, f64)> = (0..SHIFTS_TRIED)
            .into_par_iter()
            .map(|i| {
                let share = f64::from(i) / f64::from(SHIFTS_TRIED - 1);
                let launch = decision.with(&best.0, decision.at(share, judge.vehicle));
                let worth = judge.worth(&launch);
                (launch, worth)
            })
            .collect();
        best = tried.into_iter().fold(best, |best, other| if other.1 < best.1 { other } else { best });
    }
    best
}

/// How many shifts a launch's run has.
pub(super) fn shifts(judge: &Judge<'_>, launch: &Launch) -> usize {
    judge.run(launch).map_or(0, |run| run.shifts.len())
}

/// All decisions that this launch's run meets.
pub(super) fn decisions_met(judge: &Judge<'_>, launch: &Launch) -> Vec<Decision> {
    let launched = Decision::LAUNCH.into_iter().filter(|d| *d != Decision::PartUntil || launch.holds_part_throttle());
    launched.chain((0..shifts(judge, launch)).map(Decision::ShiftRevs)).collect()
}

/// Launch and shifts together, from a launch that is good already.
fn polish(judge: &Judge<'_>, launch: &Launch, worth: f64, edge: f64) -> (Launch, f64) {
    let decisions = decisions_met(judge, launch);
    let objective = |at: &[f64]| judge.worth(&placed(judge, &decisions, launch, at));
    let start = Found { at: place(judge, &decisions, launch), value: worth };
    let found = from_start(&objective, &start, edge, JOINT_STEPS);
    if found.value < worth {
        (placed(judge, &decisions, launch, &found.at), found.value)
    } else {
        (launch.clone(), worth)
    }
}

fn deepened(judge: &Judge<'_>, launch: Launch, worth: f64) -> (Launch, f64) {
    EDGES.into_iter().fold((launch, worth), |(launch, worth), edge| polish(judge, &launch, worth, edge))
}

/// Limits that the launch which comes nearest breaks, with the least that each can be for itself.
fn shortfalls(judge: &Judge<'_>, nearest: &Launch) -> Vec<Shortfall> {
    let Ok(run) = judge.run(nearest) else { return Vec::new() };
    let broken = LimitKind::ALL.into_iter().filter_map(|kind| {
        let limit = judge.limits.of(kind)?;
        (kind.value(&run) > limit).then_some((kind, limit))
    });
    broken
        .map(|(kind, limit)| {
            let least = |release_shape| {
                let base = Launch { release_shape, ..nearest.clone() };
                let value = |launch: &Launch| judge.worth_by(launch, &|run, _| kind.value(run));
                over_launches(judge, &Decision::LAUNCH, &base, LEAST, &value)
                    .first()
                    .map_or(f64::INFINITY, |found| found.value)
            };
            let least = SHAPES.into_iter().map(least).fold(f64::INFINITY, f64::min);
            let together = kind.value(&run);
            Shortfall { kind, limit, least: least.min(together), together }
        })
        .collect()
}
