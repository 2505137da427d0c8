//! The quickest cell of a sweep, how much room there is around it, and what goes wrong beyond.
//!
//! The best is always a cell that was computed, and so are the edges of the window: a window finer than the grid would be invented.

use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_inputs::scenario_keys as keys;
use serde::Serialize;

use super::axis::Axis;
use super::cell::{Cell, Fate};
use crate::plan::Decision;

/// What a start may lose against the best and still count as good, s.
pub const LOSS_S: f64 = 0.05;

/// The quickest cell.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Best {
    /// Its index among the cells.
    pub cell: usize,
    /// Its time, s.
    pub time_s: f64,
    /// What became of that start.
    pub fate: Fate,
    /// What is found along each axis through it, the other held.
    pub along: Vec<Along>,
}

/// One axis through the best cell.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Along {
    /// Place of the best cell on this axis, from 0.
    pub place: usize,
    /// Its value there, SI.
    pub value_si: f64,
    /// End of the range at which it lies: beyond it, something better may lie.
    pub at_end: Option<Side>,
    /// The stretch around it that loses less than [`LOSS_S`].
    pub window: Window,
    /// Whether every start along this axis that gets there is within that loss: the value hardly matters.
    pub all_alike: bool,
    /// What goes wrong below, nearest first.
    pub below: Vec<Trouble>,
    /// What goes wrong above, nearest first.
    pub above: Vec<Trouble>,
    /// Standard deviation with which the scenario's driver hits the value, SI; nothing for what is not the driver's to hit.
    pub driver_scatter_si: Option<f64>,
}

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The lower one.
    Lowest,
    /// The higher one.
    Highest,
}

/// A stretch of an axis, from one value that was tried to another, SI.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Window {
    /// Where it begins.
    pub from_si: f64,
    /// Where it ends.
    pub to_si: f64,
    /// Whether it goes on beyond the lower end of the range, for all that is known.
    pub open_below: bool,
    /// Whether it goes on beyond the upper end of the range, for all that is known.
    pub open_above: bool,
}

/// Something that goes wrong on one side of the best.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Trouble {
    /// What.
    pub fate: Fate,
    /// The value nearest to the best's at which it was seen, SI.
    pub from_si: f64,
}

/// The quickest of the cells, the first of those if several are equally quick.
pub(super) fn best(axes: &[Axis], cells: &[Cell], scatter: Option<&DriverScatter>) -> Option<Best> {
    let timed = cells.iter().enumerate().filter_map(|(i, cell)| Some((i, cell.time_s?)));
    let (index, time_s) = timed.reduce(|best, other| if other.1 < best.1 { other } else { best })?;
    let mut stride = cells.len();
    let along = axes
        .iter()
        .map(|axis| {
            let length = axis.len() as usize;
            stride /= length;
            let place = index / stride % length;
            let line: Vec<&Cell> = (0..length).map(|i| &cells[index - place * stride + i * stride]).collect();
            let values: Vec<f64> = (0..axis.len()).map(|i| axis.value(i).si).collect();
            Along {
                driver_scatter_si: scatter.and_then(|scatter| hit_within(axis, scatter)),
                ..along(&values, &line, place, time_s)
            }
        })
        .collect();
    Some(Best { cell: index, time_s, fate: cells[index].fate, along })
}

fn along(values: &[f64], line: &[&Cell], place: usize, best_s: f64) -> Along {
    let last = line.len() - 1;
    let (to_si, open_above) = edge(place..=last, values, line, best_s);
    let (from_si, open_below) = edge((0..=place).rev(), values, line, best_s);
    Along {
        place,
        value_si: values[place],
        at_end: match place {
            _ if last == 0 => None,
            0 => Some(Side::Lowest),
            _ if place == last => Some(Side::Highest),
            _ => None,
        },
        window: Window { from_si, to_si, open_below, open_above },
        all_alike: line.iter().filter_map(|cell| cell.time_s).all(|time_s| time_s < best_s + LOSS_S),
        below: troubles((0..=place).rev(), values, line),
        above: troubles(place..=last, values, line),
        driver_scatter_si: None,
    }
}

/// Standard deviation of what a driver does.
fn hit_within(axis: &Axis, scatter: &DriverScatter) -> Option<f64> {
    let path = axis.key().path;
    if let Some(decision) = Decision::of_key(path) {
        return Some(decision.scatter(scatter));
    }
    [
        (keys::SLIP_LAG.path, scatter.slip_lag_s),
        (keys::SHIFT_AT.path, scatter.shift_at_radps),
        (keys::SHIFT_REACTION.path, scatter.shift_reaction_s),
    ]
    .into_iter()
    .find(|(key, _)| *key == path)
    .map(|(_, deviation)| deviation)
}

/// Walks from the best outwards to the last value before the loss is reached; whether the end of the range came first.
fn edge(walk: impl Iterator<Item = usize>, values: &[f64], line: &[&Cell], best_s: f64) -> (f64, bool) {
    let mut inside = f64::NAN;
    for i in walk {
        if line[i].time_s.is_none_or(|time_s| time_s >= best_s + LOSS_S) {
            return (inside, false);
        }
        inside = values[i];
    }
    (inside, true)
}

/// What goes wrong on the way outwards from the best. Where the best start itself is not clean, its own trouble counts on the side on
/// which it goes on to the end.
fn troubles(walk: impl Iterator<Item = usize>, values: &[f64], line: &[&Cell]) -> Vec<Trouble> {
    let places: Vec<usize> = walk.collect();
    let own = places.first().map_or(Fate::Clean, |first| line[*first].fate);
    let goes_on = places.last().is_some_and(|last| line[*last].fate == own);
    let mut found: Vec<Trouble> = Vec::new();
    for i in places.into_iter().skip_while(|i| !goes_on && line[*i].fate == own) {
        let fate = line[i].fate;
        if fate != Fate::Clean && found.iter().all(|t| t.fate != fate) {
            found.push(Trouble { fate, from_si: values[i] });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell(time_s: Option<f64>, fate: Fate) -> Cell {
        Cell { time_s, fate, figures: None, reason: None }
    }

    fn times(times: &[f64]) -> Vec<Cell> {
        times.iter().map(|t| cell(t.is_finite().then_some(*t), Fate::Clean)).collect()
    }

    fn found_best(axes: &[Axis], cells: &[Cell]) -> Option<Best> {
        best(axes, cells, None)
    }

    fn revs(text: &str) -> Vec<Axis> {
        text.split(' ').map(|axis| Axis::parse(axis).expect(axis)).collect()
    }

    #[test]
    fn the_window_ends_at_the_last_values_that_lose_under_five_hundredths() {
        let axes = revs("tyres.peak_slip=0.1..0.5/0.1");
        let found = found_best(&axes, &times(&[5.20, 5.02, 5.00, 5.04, 5.06])).expect("a best");
        let window = found.along[0].window;
        assert_eq!(found.cell, 2);
        assert_eq!((window.from_si, window.to_si), (0.2, 0.4));
        assert!(!window.open_below && !window.open_above);
    }

    #[test]
    fn a_second_valley_beyond_a_ridge_is_not_part_of_the_window() {
        let axes = revs("tyres.peak_slip=0.1..0.5/0.1");
        let found = found_best(&axes, &times(&[5.00, 5.10, 5.01, 5.01, 5.01])).expect("a best");
        assert_eq!((found.cell, found.along[0].at_end), (0, Some(Side::Lowest)));
        assert!(!found.along[0].all_alike);
        assert_eq!(found.along[0].window.to_si, 0.1);
        assert!(found.along[0].window.open_below);
    }

    #[test]
    fn a_window_beside_a_start_that_fails_ends_at_the_last_good_cell() {
        let axes = revs("tyres.peak_slip=0.1..0.4/0.1");
        let found = found_best(&axes, &times(&[f64::NAN, 5.01, 5.00, 5.01])).expect("a best");
        let window = found.along[0].window;
        assert_eq!((window.from_si, window.open_below, window.open_above), (0.2, false, true));
        assert!(found.along[0].all_alike);
    }

    #[test]
    fn trouble_is_told_by_side_nearest_first() {
        let axes = revs("tyres.peak_slip=0.1..0.5/0.1");
        let cells = [(9.0, Fate::Stall), (5.5, Fate::Bog), (5.0, Fate::Clean), (5.1, Fate::Clean), (5.3, Fate::Spin)];
        let cells = cells.map(|(t, fate)| cell((fate != Fate::Stall).then_some(t), fate));
        let found = found_best(&axes, &cells).expect("a best");
        assert_eq!(
            found.along[0].below,
            [Trouble { fate: Fate::Bog, from_si: 0.2 }, Trouble { fate: Fate::Stall, from_si: 0.1 }]
        );
        assert_eq!(found.along[0].above, [Trouble { fate: Fate::Spin, from_si: 0.5 }]);
    }

    #[test]
    fn where_the_best_start_spins_spin_is_the_trouble_of_the_side_that_spins_to_the_end() {
        let axes = revs("tyres.peak_slip=0.1..0.4/0.1");
        let cells = [(5.4, Fate::Bog), (5.1, Fate::Spin), (5.0, Fate::Spin), (5.3, Fate::Spin)];
        let found = found_best(&axes, &cells.map(|(t, fate)| cell(Some(t), fate))).expect("a best");
        assert_eq!(found.along[0].below, [Trouble { fate: Fate::Bog, from_si: 0.1 }]);
        assert_eq!(found.along[0].above, [Trouble { fate: Fate::Spin, from_si: 0.3 }]);
    }

    #[test]
    fn on_two_axes_each_window_runs_through_the_best_cell() {
        let axes = revs("tyres.peak_slip=0.1..0.2/0.1 tyres.sliding_share=0.5..0.7/0.1");
        let found = found_best(&axes, &times(&[5.3, 5.02, 5.3, 5.2, 5.0, 5.04])).expect("a best");
        assert_eq!((found.along[0].place, found.along[1].place), (1, 1));
        assert_eq!((found.along[0].window.from_si, found.along[0].window.to_si), (0.1, 0.2));
        assert!(found.along[1].window.open_above && !found.along[1].window.open_below);
    }

    #[test]
    fn where_nothing_gets_there_there_is_no_best() {
        assert_eq!(found_best(&revs("tyres.peak_slip=0.1..0.2/0.1"), &times(&[f64::NAN, f64::NAN])), None);
    }
}
