//! Finds the standing starts of a log: a car that stands, then drives off.

use serde::Serialize;

use crate::keep::{LONGEST_GAP_S, LONGEST_S};
use crate::log::{Log, Stretch};
use crate::track::Track;

/// Under this mean speed a car stands, m/s: receivers show up to this of a parked car (seen in everyday drives; common
/// practice, no source).
const STANDING_MPS: f64 = 0.5;
/// A low of the speed under this and over `STANDING_MPS` may have been a stop, m/s.
const NEARLY_STANDING_MPS: f64 = 1.3;
/// Speed by which a car has driven off, m/s.
const GONE_MPS: f64 = 3.0;
/// Speed that it has to keep for so long, m/s and s, so that a spike is no start.
const KEPT_MPS: f64 = 2.0;
const KEPT_S: f64 = 1.0;
/// Window over which noise is evened out, s.
const WINDOW_S: f64 = 0.3;
/// A stop shorter than so many measurements, or than this many seconds, cannot be told from a slow roll.
const SURE_MEASUREMENTS: f64 = 3.0;
const SURE_S: f64 = 0.5;

/// How surely the car stood.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stop {
    /// It stood for about this long, s.
    Seen {
        /// How long, as far as the log shows, s.
        for_s: f64,
    },
    /// Its speed was nothing for less than this rate of measurement can tell from a slow roll.
    Brief,
}

/// How hard the car drove off (common practice, no source: traffic pulls away at 1 to 2 m/s², a car on street tyres can do 3 to 6).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Effort {
    /// Under 1.8 m/s² on the mean.
    Gentle,
    /// Up to 3 m/s².
    Brisk,
    /// More.
    Hard,
}

/// A standing start.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Start {
    /// Index of its stretch in the log.
    pub stretch: usize,
    /// Last moment at which the car stood for sure, s.
    pub stood_until_s: f64,
    /// First moment at which it moved for sure, s.
    pub moved_by_s: f64,
    /// When the run was over: the car slowed, stood again, or the log ended, s.
    pub ended_s: f64,
    /// How surely it stood before.
    pub stop: Stop,
    /// Highest speed before it was over, m/s.
    pub top_speed_mps: f64,
    /// Mean acceleration up to 8 m/s (29 km/h), or to the top speed if that is less, m/s².
    pub mean_acceleration_mps2: f64,
    /// What that means.
    pub effort: Effort,
}

/// A low of the speed that may or may not have been a stop.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NearStop {
    /// Index of its stretch in the log.
    pub stretch: usize,
    /// When, s.
    pub time_s: f64,
    /// The lowest speed, m/s.
    pub speed_mps: f64,
}

/// What was found in a log.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Found {
    /// The standing starts, in the order of the log.
    pub starts: Vec<Start>,
    /// Lows that cannot be told from a stop.
    pub near_stops: Vec<NearStop>,
}

/// Finds the standing starts of a log.
#[must_use]
pub fn find_starts(log: &Log) -> Found {
    let mut found = Found::default();
    for (index, stretch) in log.stretches.iter().enumerate() {
        find_in(index, stretch, &mut found);
    }
    // Stretches overlap where a car departs, stops and departs again within seconds.
    let recording = |stretch: usize| log.stretches[stretch].recording;
    found.starts.dedup_by(|b, a| {
        recording(a.stretch) == recording(b.stretch) && (a.stood_until_s - b.stood_until_s).abs() < 1e-6
    });
    found
        .near_stops
        .dedup_by(|b, a| recording(a.stretch) == recording(b.stretch) && (a.time_s - b.time_s).abs() < 1e-6);
    found
}

/// Mean speed around each measurement, or the middle one where there are enough.
fn evened(track: &Track) -> Vec<f64> {
    let half_s = 0.5 * WINDOW_S;
    let (mut from, mut to) = (0, 0);
    let mut window: Vec<f64> = Vec::new();
    let n = track.time_s.len();
    (0..n)
        .map(|i| {
            let t = track.time_s[i];
            while track.time_s[from] < t - half_s {
                from += 1;
            }
            to = to.max(i);
            while to < n && track.time_s[to] <= t + half_s {
                to += 1;
            }
            window.clear();
            window.extend_from_slice(&track.speed_mps[from..to]);
            window.sort_by(f64::total_cmp);
            window[window.len() / 2]
        })
        .collect()
}

fn find_in(index: usize, stretch: &Stretch, found: &mut Found) {
    let Some(track) = Track::of(stretch) else { return };
    let speed = evened(&track);
    let time = &track.time_s;
    // Last measurement at which the car stood, and the lowest since it last drove.
    let mut stood: Option<usize> = None;
    let mut lowest: Option<usize> = None;
    let mut i = 0;
    while i < speed.len() {
        if i > 0 && time[i] - time[i - 1] > LONGEST_GAP_S {
            (stood, lowest) = (None, None);
        }
        if speed[i] < STANDING_MPS {
            stood = Some(i);
        }
        if lowest.is_none_or(|l| speed[i] < speed[l]) {
            lowest = Some(i);
        }
        if speed[i] < GONE_MPS || !keeps_going(time, &speed, i) {
            i += 1;
            continue;
        }
        let end = end_of_run(time, &speed, i);
        match (stood, lowest) {
            (Some(last), _) => found.starts.push(start(index, &track, &speed, last, i, end)),
            (None, Some(l)) if l > 0 && speed[l] < NEARLY_STANDING_MPS => {
                found.near_stops.push(NearStop { stretch: index, time_s: time[l], speed_mps: speed[l] });
            }
            _ => {}
        }
        (stood, lowest) = (None, None);
        // Past the run, or to where the car may stand again.
        i += 1;
        while i < speed.len() && speed[i] >= GONE_MPS {
            i += 1;
        }
    }
}

/// Whether the car goes on driving from `i`.
fn keeps_going(time: &[f64], speed: &[f64], i: usize) -> bool {
    let ahead = (i + 1..speed.len()).take_while(|j| time[*j] - time[i] <= KEPT_S + 0.5);
    let (mut count, mut kept) = (0_usize, 0_usize);
    for j in ahead {
        count += 1;
        kept += usize::from(speed[j] >= KEPT_MPS);
    }
    // Behind a hole, or at the log's end, the next measurement has to do.
    match count {
        0 => time.get(i + 1).is_some_and(|t| t - time[i] < LONGEST_GAP_S) && speed[i + 1] >= KEPT_MPS,
        _ => 10 * kept >= 8 * count,
    }
}

/// Speed has to fail to reach a new height for so long before a run is over, s.
const NO_FASTER_S: f64 = 5.0;
/// Or fall by so much of its height.
const SLOWED: f64 = 0.8;

/// Index at which a run that is under way at `from` is over.
fn end_of_run(time: &[f64], speed: &[f64], from: usize) -> usize {
    let mut fastest = from;
    for i in from..speed.len() {
        if i > from && time[i] - time[i - 1] > LONGEST_GAP_S || time[i] - time[from] > LONGEST_S {
            return i - 1;
        }
        if speed[i] > 1.005 * speed[fastest] {
            fastest = i;
        }
        if speed[i] < SLOWED * speed[fastest] - 0.5 || time[i] - time[fastest] > NO_FASTER_S {
            return fastest;
        }
    }
    speed.len() - 1
}

/// Index since which the car stood; one or two measurements off on their own are the receiver's, not the car's.
fn stood_since(speed: &[f64], stood: usize) -> usize {
    let mut since = stood;
    for j in (0..stood).rev() {
        if speed[j] < NEARLY_STANDING_MPS {
            since = j;
        } else if speed[j] > GONE_MPS || since - j > 2 {
            break;
        }
    }
    since
}

/// Speed up to which the effort is judged, m/s.
const JUDGED_MPS: f64 = 8.0;

fn start(index: usize, track: &Track, speed: &[f64], stood: usize, gone: usize, end: usize) -> Start {
    let time = &track.time_s;
    let since = stood_since(speed, stood);
    let for_s = time[stood] - time[since];
    let sure_s = SURE_S.max((SURE_MEASUREMENTS - 1.0) * track.period_s - 1e-9);
    let top_speed_mps = speed[gone..=end].iter().copied().fold(0.0, f64::max);
    let judged_mps = JUDGED_MPS.min(0.95 * top_speed_mps);
    let reached = (gone..=end).find(|j| speed[*j] >= judged_mps).unwrap_or(end);
    // Where between two measurements the speed was reached.
    let reached_s = if reached > stood && speed[reached] > speed[reached - 1] {
        let share = ((judged_mps - speed[reached - 1]) / (speed[reached] - speed[reached - 1])).clamp(0.0, 1.0);
        time[reached - 1] + share * (time[reached] - time[reached - 1])
    } else {
        time[reached]
    };
    // A crawl before it goes does not count: the effort is that of the climb from a fifth of the speed on.
    let low = (stood..reached).rev().find(|j| speed[*j] < 0.2 * judged_mps).unwrap_or(stood);
    let climb_s = (reached_s - time[low]).max(0.5 * track.period_s).max(1e-3);
    let mean_acceleration_mps2 = (judged_mps - speed[low]) / climb_s;
    Start {
        stretch: index,
        stood_until_s: time[stood],
        moved_by_s: time[gone],
        ended_s: time[end],
        stop: if for_s >= sure_s { Stop::Seen { for_s } } else { Stop::Brief },
        top_speed_mps,
        mean_acceleration_mps2,
        effort: match mean_acceleration_mps2 {
            a if a < 1.8 => Effort::Gentle,
            a if a < 3.0 => Effort::Brisk,
            _ => Effort::Hard,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::channel::Channel;

    fn found(speed: impl Fn(f64) -> f64, hz: f64, length_s: f64) -> Found {
        let time_s: Vec<f64> = (0..(length_s * hz) as usize).map(|i| i as f64 / hz).collect();
        let speeds = time_s.iter().map(|t| speed(*t)).collect();
        let mut found = Found::default();
        find_in(0, &Stretch::new(time_s, vec![(Channel::Speed, speeds)]), &mut found);
        found
    }

    #[test]
    fn each_departure_from_standstill_is_a_start() {
        let speed = |t: f64| (3.0 * (t % 20.0 - 5.0)).clamp(0.0, 24.0) * f64::from(t % 20.0 < 16.0);
        for hz in [1.0, 10.0, 100.0] {
            let found = found(speed, hz, 60.0);
            assert_eq!(found.starts.len(), 3, "{hz} Hz");
            for (i, start) in found.starts.iter().enumerate() {
                let truth_s = 20.0 * i as f64 + 5.0;
                assert!(start.stood_until_s <= truth_s + 0.2 && start.moved_by_s >= truth_s, "{hz} Hz: {start:?}");
                assert!(matches!(start.stop, Stop::Seen { for_s } if for_s > 3.0));
            }
        }
    }

    #[test]
    fn a_car_that_never_stands_makes_no_start() {
        assert!(found(|t| 10.0 + 5.0 * (0.5 * t).sin(), 10.0, 60.0).starts.is_empty());
    }

    #[test]
    fn a_parked_cars_noise_makes_no_start() {
        let found = found(|t| 0.3 + 0.28 * (1.7 * t).sin() + if t == 30.0 { 4.0 } else { 0.0 }, 1.0, 60.0);
        assert_eq!(found, Found::default());
    }

    #[test]
    fn a_slow_roll_is_a_near_stop_and_no_start() {
        let rolling = found(|t| 1.0 + (t - 30.0).abs().min(10.0), 10.0, 60.0);
        assert!(rolling.starts.is_empty());
        assert_eq!(rolling.near_stops.len(), 1);
        assert!((rolling.near_stops[0].time_s - 30.0).abs() < 0.2);
    }
}
