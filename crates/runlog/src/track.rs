//! The road speed of a stretch as it was measured: without held repeats, drop-outs and spikes.

use serde::Serialize;

use crate::channel::Channel;
use crate::log::Stretch;
use crate::rate::{Rate, median};

/// Speed as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Track {
    /// When, s, rising.
    pub time_s: Vec<f64>,
    /// Speed then, m/s.
    pub speed_mps: Vec<f64>,
    /// Median time between measurements, s; rows that only repeat the last measurement do not count.
    pub period_s: f64,
    /// Step in which speeds come, m/s; nothing if none can be seen.
    pub quantum_mps: Option<f64>,
    /// Mean number of measurements on end that show the same value while the car drives.
    pub alike: f64,
    /// Whether rows come oftener than measurements, and repeat the last one.
    pub held: bool,
    /// Measurements left out as drop-outs or spikes.
    pub left_out: usize,
}

/// Over this a car drives, m/s.
const DRIVING_MPS: f64 = 3.0;
/// No car's speed changes faster, m/s²: what does is a drop-out or a spike.
const FASTEST_CHANGE_MPS2: f64 = 40.0;
/// Longest drop-out that is taken for one, s.
const LONGEST_DROPOUT_S: f64 = 2.0;
/// Steps finer than this do not matter, m/s.
const FINEST_QUANTUM_MPS: f64 = 0.002;

impl Track {
    /// The speed of a stretch; nothing if it has fewer than three.
    #[must_use]
    pub fn of(stretch: &Stretch) -> Option<Self> {
        let known = stretch.known(Channel::Speed);
        let quantum_mps = quantum(&known);
        let (mut points, held) = without_repeats(known, quantum_mps);
        let before = points.len();
        let period_s = period(&points)?;
        leave_out_leaps(&mut points, period_s);
        if points.len() < 3 {
            return None;
        }
        let left_out = before - points.len();
        let alike = runs_of_driving(&points).map_or(1.0, |runs| runs.iter().sum::<usize>() as f64 / runs.len() as f64);
        let (time_s, speed_mps) = points.into_iter().unzip();
        Some(Self { time_s, speed_mps, period_s, quantum_mps, alike, held, left_out })
    }

    /// Measurements from `from_s` up to `to_s`.
    pub fn within(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = (f64, f64)> + '_ {
        let first = self.time_s.partition_point(|t| *t < from_s);
        let last = self.time_s.partition_point(|t| *t <= to_s).max(first);
        self.time_s[first..last].iter().copied().zip(self.speed_mps[first..last].iter().copied())
    }
}

fn period(points: &[(f64, f64)]) -> Option<f64> {
    Rate::of_times(&points.iter().map(|(t, _)| *t).collect::<Vec<_>>()).map(|r| r.period_s)
}

/// The step that all values are multiples of.
fn quantum(points: &[(f64, f64)]) -> Option<f64> {
    let mut values: Vec<f64> = points.iter().map(|(_, v)| *v).collect();
    values.sort_by(f64::total_cmp);
    values.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let smallest = values.windows(2).map(|w| w[1] - w[0]).min_by(f64::total_cmp)?;
    if smallest < FINEST_QUANTUM_MPS || values.len() < 5 {
        return None;
    }
    let multiples = values.windows(2).filter(|w| {
        let steps = (w[1] - w[0]) / smallest;
        (steps - steps.round()).abs() < 0.1
    });
    (20 * multiples.count() >= 19 * (values.len() - 1)).then_some(smallest)
}

/// Lengths of the runs of equal values while driving.
fn runs_of_driving(points: &[(f64, f64)]) -> Option<Vec<usize>> {
    let mut runs: Vec<usize> = Vec::new();
    let mut last = f64::NAN;
    for (_, v) in points.iter().filter(|(_, v)| *v > DRIVING_MPS) {
        match runs.last_mut() {
            Some(run) if *v == last => *run += 1,
            _ => runs.push(1),
        }
        last = *v;
    }
    (runs.len() >= 3).then_some(runs)
}

/// Leaves out rows that repeat the last measurement, where most do.
fn without_repeats(points: Vec<(f64, f64)>, quantum_mps: Option<f64>) -> (Vec<(f64, f64)>, bool) {
    let Some(runs) = runs_of_driving(&points) else { return (points, false) };
    let lengths: Vec<f64> = runs.iter().map(|n| *n as f64).collect();
    let usual = median(&lengths).unwrap_or(1.0);
    let jumps: Vec<f64> = points
        .windows(2)
        .filter(|w| w[0].1 > DRIVING_MPS && w[1].1 != w[0].1)
        .map(|w| (w[1].1 - w[0].1).abs())
        .collect();
    // Values that rise by one step at a time repeat because the steps are coarse, not because the rows are idle.
    let coarse = quantum_mps.is_some_and(|q| median(&jumps).is_some_and(|jump| jump < 1.5 * q));
    let Some(period_s) = period(&points).filter(|_| usual >= 2.0 && !coarse) else { return (points, false) };
    let every_s = usual * period_s;
    let mut kept: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for (t, v) in points {
        if kept.last().is_none_or(|(last_s, last)| v != *last || t - last_s > every_s - 0.5 * period_s) {
            kept.push((t, v));
        }
    }
    (kept, true)
}

/// Leaves out what no car can do: leaps to another speed and back within moments.
fn leave_out_leaps(points: &mut Vec<(f64, f64)>, period_s: f64) {
    let leaps = |from: (f64, f64), to: (f64, f64)| {
        let change = (to.1 - from.1).abs();
        change > 2.0 && change / (to.0 - from.0).max(0.5 * period_s).max(1e-3) > FASTEST_CHANGE_MPS2
    };
    let mut keep = vec![true; points.len()];
    let mut i = 1;
    while i < points.len() {
        let good = points[i - 1];
        if !leaps(good, points[i]) {
            i += 1;
            continue;
        }
        // Back to about where it was?
        let back = (i + 1..points.len())
            .take_while(|j| points[*j].0 - good.0 <= LONGEST_DROPOUT_S)
            .find(|j| leaps(points[*j - 1], points[*j]) && !leaps(good, points[*j]));
        match back {
            Some(j) => {
                keep[i..j].iter_mut().for_each(|k| *k = false);
                i = j + 1;
            }
            None => i += 1,
        }
    }
    let mut kept = keep.into_iter();
    points.retain(|_| kept.next().unwrap_or(true));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn track(speed: impl Fn(f64) -> f64, hz: f64) -> Track {
        let time_s: Vec<f64> = (0..(20.0 * hz) as usize).map(|i| i as f64 / hz).collect();
        let speeds = time_s.iter().map(|t| speed(*t)).collect();
        Track::of(&Stretch::new(time_s, vec![(Channel::Speed, speeds)])).expect("a track")
    }

    #[test]
    fn a_drop_out_to_nothing_is_left_out() {
        let dropped = track(|t| if (10.0..10.45).contains(&t) { 0.0 } else { 2.0 * t }, 10.0);
        assert_eq!(dropped.left_out, 5);
        assert!(dropped.within(5.0, 20.0).all(|(_, v)| v > 9.0));
    }

    #[test]
    fn rows_that_repeat_a_slower_receiver_are_told() {
        let smooth = |t: f64| 2.0 * t + 0.05 * t * t;
        let held = track(|t| smooth((10.0 * t + 1e-9).floor() / 10.0), 100.0);
        assert!(held.held);
        assert!((held.period_s - 0.1).abs() < 1e-9);
        assert_eq!(held.alike, 1.0);
    }

    #[test]
    fn a_coarse_speed_is_no_held_one() {
        let step = 1.0 / 3.6;
        let coarse = track(|t| (4.0 * t / step).round() * step, 100.0);
        assert!(!coarse.held);
        assert!((coarse.quantum_mps.expect("a step") - step).abs() < 1e-9);
        assert!(coarse.alike > 5.0);
    }
}
