//! The best launch for a driver whose hands and feet stray.

use rayon::prelude::*;

use super::best::{Best, SHAPES, decisions_met, place, placed, shifts};
use super::decision::Decision;
use super::expected::Starts;
use super::judge::Judge;
use super::minimise::{Found, from_start};
use crate::launch::Launch;

/// Points of the sequence for each shape of release, judged by the first few starts alone.
const COARSE: u32 = 64;
const COARSE_STARTS: usize = 8;
/// Launches that are followed further, and how far.
const FOLLOWED: usize = 3;
const STEPS: u64 = 30;
const EDGE: f64 = 0.1;
/// Launch and shifts together.
const JOINT_STEPS: u64 = 24;
const JOINT_EDGE: f64 = 0.05;
/// Shift speeds that are tried in each gear.
const SHIFTS_TRIED: u32 = 9;
const SEED: u32 = 9;

/// The launch with the shortest expected time, in numbers that a person can do (revs to 100 rpm, times to 0.1 s).
#[must_use]
pub(super) fn best_for_driver(judge: &Judge<'_>, starts: &Starts<'_>, best: &Best) -> Launch {
    let base = &best.launch;
    let few = starts.first(COARSE_STARTS);
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
        .map(|launch| followed(judge, starts, &decisions, &launch, EDGE, STEPS))
        .collect();
    let found = followed.into_iter().reduce(|a, b| if b.1 < a.1 { b } else { a });
    let Some((launch, worth)) = found else { return base.clone() };
    let (launch, _) = shifted(judge, starts, launch, worth);
    let met = decisions_met(judge, &launch);
    let (launch, _) = self::followed(judge, starts, &met, &launch, JOINT_EDGE, JOINT_STEPS);
    rounded(judge, starts, &met, launch)
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
