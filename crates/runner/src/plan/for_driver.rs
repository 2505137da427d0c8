//! The best launch for a driver whose hands and feet stray.

use rayon::prelude::*;

use super::best::{Best, SHAPES, decisions_met, place, placed, shifts};
use super::decision::Decision;
use super::expected::{Remembered, Starts};
use super::judge::Judge;
use super::minimise::{Found, from_start};
use crate::launch::Launch;

/// Points of the sequence for each shape of release, judged by the first few starts alone.
const COARSE: u32 = 64;
const COARSE_STARTS: usize = 8;
/// Launches that are followed further, by how many of the starts, and how far.
const FOLLOWED_STARTS: usize = 12;
const FOLLOWED: usize = 3;
const STEPS: u64 = 30;
const EDGE: f64 = 0.1;
/// Launch and shifts together.
const JOINT_STEPS: u64 = 24;
const JOINT_EDGE: f64 = 0.05;
/// Shift speeds that are tried in each gear.
const SHIFTS_TRIED: u32 = 9;
const SEED: u32 = 9;
/// Rounds of steps by a unit, and the least that one has to gain, s: who reads what an error costs should find none that pays.
const UNIT_ROUNDS: u32 = 6;
const UNIT_GAINS_S: f64 = 0.002;

/// The launch with the shortest expected time, in numbers that a person can do (revs to 100 rpm, times to 0.1 s): searched for over
/// `starts`, and settled over `many`, since the rare start that stalls costs more than all else and a few starts do not see it.
#[must_use]
pub(super) fn best_for_driver(judge: &Judge<'_>, starts: &Starts<'_>, many: &Remembered<'_>, best: &Best) -> Launch {
    let base = &best.launch;
    let (few, half) = (starts.first(COARSE_STARTS), starts.first(FOLLOWED_STARTS));
    let decisions = Decision::LAUNCH;
    let mut tried: Vec<(Launch, f64)> = SHAPES
        .into_iter()
        .flat_map(|release_shape| {
            let base = Launch { release_shape, ..base.clone() };
            let points = (0..COARSE).map(|i| {
                (0..decisions.len()).map(|d| f64::from(sobol_burley::sample(i, d as u32, SEED))).collect::<Vec<f64>>()
            });
            // Every other one straight to wide open, which is an edge of the cube.
            let launches: Vec<Launch> = points
                .map(|at| placed(judge, &decisions, &base, &at))
                .enumerate()
                .map(|(i, launch)| if i % 2 == 0 { launch } else { Launch { part_throttle: 1.0, ..launch } })
                .collect();
            launches.into_iter().chain([base])
        })
        .collect::<Vec<Launch>>()
        .into_par_iter()
        .map(|launch| {
            let worth = few.worth(&launch);
            (launch, worth)
        })
        .collect();
    tried.sort_by(|a, b| a.1.total_cmp(&b.1));
    let followed: Vec<(Launch, f64)> = apart(judge, &tried)
        .into_par_iter()
        .map(|launch| {
            let (launch, _) = followed(judge, &half, &decisions, &launch, EDGE, STEPS);
            let worth = starts.worth(&launch);
            (launch, worth)
        })
        .collect();
    let found = followed.into_iter().reduce(|a, b| if b.1 < a.1 { b } else { a });
    let Some((launch, worth)) = found else { return base.clone() };
    let (launch, _) = shifted(judge, starts, launch, worth);
    let met = decisions_met(judge, &launch);
    let (launch, _) = self::followed(judge, starts, &met, &launch, JOINT_EDGE, JOINT_STEPS);
    // Now and then nothing that was searched for is better for this driver than the best possible.
    let ends =
        [rounded(judge, starts, &met, launch), rounded(judge, starts, &decisions_met(judge, base), base.clone())];
    let settled = ends.map(|launch| (many.worth(&launch), launch));
    let best = settled.into_iter().reduce(|a, b| if b.0 < a.0 { b } else { a });
    best.map_or_else(|| base.clone(), |best| descended(judge, many, best))
}

/// The best of sorted launches that lie apart from each other or differ in shape.
fn apart(judge: &Judge<'_>, sorted: &[(Launch, f64)]) -> Vec<Launch> {
    let mut chosen: Vec<Launch> = Vec::new();
    for (launch, _) in sorted {
        let at = place(judge, &Decision::LAUNCH, launch);
        let near = |other: &Launch| {
            let there = place(judge, &Decision::LAUNCH, other);
            other.release_shape == launch.release_shape && at.iter().zip(there).all(|(a, b)| (a - b).abs() < 0.2)
        };
        if chosen.len() < FOLLOWED && !chosen.iter().any(near) {
            chosen.push(launch.clone());
        }
    }
    chosen
}

fn followed(
    judge: &Judge<'_>,
    starts: &Starts<'_>,
    decisions: &[Decision],
    launch: &Launch,
    edge: f64,
    steps: u64,
) -> (Launch, f64) {
    let objective = |at: &[f64]| starts.worth(&placed(judge, decisions, launch, at));
    let at = place(judge, decisions, launch);
    let start = Found { value: objective(&at), at };
    let found = from_start(&objective, &start, edge, steps);
    (placed(judge, decisions, launch, &found.at), found.value)
}

fn shifted(judge: &Judge<'_>, starts: &Starts<'_>, launch: Launch, worth: f64) -> (Launch, f64) {
    let mut best = (launch, worth);
    for gear in 0..judge.vehicle.gearbox.gears.len() - 1 {
        if gear >= shifts(judge, &best.0) {
            break;
        }
        let decision = Decision::ShiftRevs(gear);
        for i in 0..SHIFTS_TRIED {
            // The upper half of the range: who leaves a gear sooner has not looked at the curve.
            let share = 0.5 + 0.5 * f64::from(i) / f64::from(SHIFTS_TRIED - 1);
            let launch = decision.with(&best.0, decision.at(share, judge.vehicle));
            let worth = starts.worth(&launch);
            if worth < best.1 {
                best = (launch, worth);
            }
        }
    }
    best
}

/// Each number on the better of its two round neighbours.
fn rounded(judge: &Judge<'_>, starts: &Starts<'_>, decisions: &[Decision], launch: Launch) -> Launch {
    decisions.iter().fold(launch, |launch, decision| {
        let unit = decision.unit();
        let (low, high) = decision.range(judge.vehicle);
        let below = (decision.of(&launch) / unit).floor() * unit;
        let neighbours = [below, below + unit].into_iter().filter(|v| (low..=high).contains(v));
        let launches: Vec<Launch> = neighbours.map(|value| decision.with(&launch, value)).collect();
        let worths: Vec<f64> = launches.iter().map(|launch| starts.worth(launch)).collect();
        let best = (0..launches.len()).reduce(|a, b| if worths[b] < worths[a] { b } else { a });
        best.map_or(launch, |i| launches[i].clone())
    })
}

/// Step by step to the best neighbour that is a unit off in one decision, while that pays.
fn descended(judge: &Judge<'_>, starts: &Remembered<'_>, mut here: (f64, Launch)) -> Launch {
    for _ in 0..UNIT_ROUNDS {
        let neighbours: Vec<(f64, Launch)> = decisions_met(judge, &here.1)
            .into_iter()
            .flat_map(|decision| {
                let (low, high) = decision.range(judge.vehicle);
                let value = decision.of(&here.1);
                let around = [value - decision.unit(), value + decision.unit()].into_iter();
                around.filter(move |v| (low..=high).contains(v)).map(move |v| (decision, v))
            })
            .collect::<Vec<_>>()
            .into_par_iter()
            .map(|(decision, value)| {
                let launch = decision.with(&here.1, value);
                (starts.worth(&launch), launch)
            })
            .collect();
        let Some(best) = neighbours.into_iter().reduce(|a, b| if b.0 < a.0 { b } else { a }) else { break };
        if best.0 > here.0 - UNIT_GAINS_S {
            break;
        }
        here = best;
    }
    here.1
}
