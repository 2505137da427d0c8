//! How forgiving a launch is: what each decision costs when it is off, the others kept.

use bitepoint_physics::run::Story;
use rayon::prelude::*;
use serde::Serialize;

use super::decision::Decision;
use super::judge::Judge;
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
    /// What a unit less costs, s (100 rpm, or 0.1 s); nothing if that start does not get there or is not to be had.
    pub unit_less_s: Option<f64>,
    /// What a unit more costs, s.
    pub unit_more_s: Option<f64>,
    /// What goes wrong below the window, in one word; nothing where the window ends at the end of the range.
    pub below: Option<Story>,
    /// The same above.
    pub above: Option<Story>,
    /// Time against the decision, in rising order.
    pub curve: Vec<Point>,
}

/// Time at one value of a decision.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Point {
    /// The decision's value.
    pub value: f64,
    /// Time, or expected time, s; nothing if the start does not get there.
    pub time_s: Option<f64>,
}

/// How a launch is timed: nothing if it does not get there.
pub(super) type Timed<'a> = dyn Fn(&Launch) -> Option<f64> + Sync + 'a;

/// The window of a decision around a launch, on `points` values on each side: near each other at the launch, wide apart far from it.
pub(super) fn window(judge: &Judge<'_>, launch: &Launch, decision: Decision, points: u32, timed: &Timed<'_>) -> Window {
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
    let story = |lost: Option<f64>| {
        lost.and_then(|value| judge.run(&decision.with(launch, value)).ok()).map(|run| run.launch.story)
    };
    let unit = decision.unit();
    let off = |value: f64| {
        let inside = value >= least && value <= most;
        inside.then(|| timed(&decision.with(launch, value))).flatten().map(|time_s| time_s - best)
    };
    Window {
        decision,
        value,
        low,
        high,
        unit_less_s: off(value - unit),
        unit_more_s: off(value + unit),
        below: story(lost_below),
        above: story(lost_above),
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
