//! How forgiving a launch is: what each decision costs when it is off, the others kept.

use bitepoint_physics::run::Run;
use rayon::prelude::*;
use serde::Serialize;

use super::decision::Decision;
use super::judge::Judge;
use super::trouble::{Summary, Trouble};
use crate::launch::Launch;

/// A launch may lose this much before it is called off, s.
pub const WINDOW_S: f64 = 0.05;

/// One decision of a launch, the others kept.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Window {
    /// Which; its unit is that of its values.
    pub decision: Decision,
    /// Its value in the launch.
    pub value: f64,
    /// From here...
    pub low: f64,
    /// ...to here less than 0.05 s is lost.
    pub high: f64,
    /// What a unit less costs (100 rpm, or 0.1 s).
    pub unit_less: Cost,
    /// What a unit more costs.
    pub unit_more: Cost,
    /// What goes wrong below the window; nothing where the window ends at the end of the range.
    pub below: Option<Trouble>,
    /// The same above.
    pub above: Option<Trouble>,
    /// Time against the decision, in rising order.
    pub curve: Vec<Point>,
}

/// What an error costs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Cost {
    /// So much time, s.
    Seconds(f64),
    /// That start does not get there, breaks a limit or drags the engine under its idle.
    NoStart,
    /// There is no such value: the plan stands at the end of the range.
    OutOfReach,
}

/// Time at one value of a decision.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Point {
    /// The decision's value.
    pub value: f64,
    /// Time, or expected time, s; nothing if the start does not get there.
    pub time_s: Option<f64>,
}

/// How a launch is measured.
pub(super) struct Measure<'a> {
    /// Its expected time; nothing if it does not get there, breaks a limit or drags the engine under its idle.
    pub(super) expected: &'a (dyn Fn(&Launch) -> Option<f64> + Sync),
    /// Its runs, to tell what goes wrong.
    pub(super) runs: &'a (dyn Fn(&Launch) -> Vec<Option<Run>> + Sync),
}

/// The window of a decision around a launch, on `points` values on each side: near each other at the launch, wide apart far from it.
pub(super) fn window(
    judge: &Judge<'_>,
    launch: &Launch,
    decision: Decision,
    points: u32,
    measure: &Measure<'_>,
) -> Window {
    let timed = measure.expected;
    let vehicle = judge.vehicle;
    let value = decision.of(launch);
    let (least, most) = decision.range(vehicle);
    let here = decision.share(value, vehicle);
    let mut shares: Vec<f64> = (0..=points)
        .flat_map(|i| {
            // From a two-hundredth of the range to all of it.
            let off = if i == 0 { 0.0 } else { libm::exp(libm::log(0.005) * (1.0 - f64::from(i) / f64::from(points))) };
            [here - off, here + off]
        })
        .map(|share| share.clamp(0.0, 1.0))
        .collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup();
    let at = |share: f64| if share == here { value } else { decision.at(share, vehicle) };
    let curve: Vec<Point> = shares
        .into_par_iter()
        .map(|share| Point { value: at(share), time_s: timed(&decision.with(launch, at(share))) })
        .collect();
    let best = curve.iter().find(|p| p.value == value).and_then(|p| p.time_s).unwrap_or(f64::INFINITY);
    let above: Vec<Point> = curve.iter().filter(|p| p.value >= value).copied().collect();
    let below: Vec<Point> = curve.iter().rev().filter(|p| p.value <= value).copied().collect();
    let (low, lost_below) = edge(&below, best + WINDOW_S);
    let (high, lost_above) = edge(&above, best + WINDOW_S);
    let summary = |launch: &Launch| Summary::of(judge, &(measure.runs)(launch));
    let planned = summary(launch);
    let trouble = |lost: Option<f64>| lost.map(|value| summary(&decision.with(launch, value)).against(&planned));
    let unit = decision.unit();
    let planned_s = timed(launch).unwrap_or(f64::INFINITY);
    let off = |value: f64| {
        if !(least..=most).contains(&value) {
            return Cost::OutOfReach;
        }
        timed(&decision.with(launch, value)).map_or(Cost::NoStart, |time_s| Cost::Seconds(time_s - planned_s))
    };
    Window {
        decision,
        value,
        low,
        high,
        unit_less: off(value - unit),
        unit_more: off(value + unit),
        below: trouble(lost_below),
        above: trouble(lost_above),
        curve,
    }
}

/// Where a curve that begins at the launch first passes `most_s`, by a straight line between its points; and the first value beyond.
fn edge(curve: &[Point], most_s: f64) -> (f64, Option<f64>) {
    for pair in curve.windows(2) {
        let within = pair[0].time_s.is_some_and(|t| t <= most_s);
        match pair[1].time_s {
            Some(t) if t <= most_s => {}
            Some(t) if within => {
                let from = pair[0].time_s.unwrap_or(most_s);
                let share = if t > from { (most_s - from) / (t - from) } else { 0.0 };
                return (pair[0].value + share * (pair[1].value - pair[0].value), Some(pair[1].value));
            }
            _ => return (pair[0].value, Some(pair[1].value)),
        }
    }
    (curve.last().map_or(f64::NAN, |p| p.value), None)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, Option<f64>)]) -> Vec<Point> {
        list.iter().map(|&(value, time_s)| Point { value, time_s }).collect()
    }

    #[test]
    fn an_edge_lies_where_the_straight_line_passes_the_loss() {
        let curve = points(&[(100.0, Some(5.0)), (110.0, Some(5.02)), (120.0, Some(5.08)), (130.0, None)]);
        let (at, beyond) = edge(&curve, 5.05);
        assert!((at - 115.0).abs() < 1e-9, "{at}");
        assert_eq!(beyond, Some(120.0));
    }

    #[test]
    fn a_start_that_does_not_get_there_ends_the_window_before_it() {
        assert_eq!(edge(&points(&[(1.0, Some(5.0)), (2.0, Some(5.01)), (3.0, None)]), 5.05), (2.0, Some(3.0)));
    }

    #[test]
    fn a_flat_curve_has_its_window_to_the_end_of_the_range() {
        assert_eq!(edge(&points(&[(1.0, Some(5.0)), (9.0, Some(5.04))]), 5.05), (9.0, None));
    }
}
