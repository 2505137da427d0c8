//! Whether a log contradicts itself or the car: speeds in the wrong unit, another car's engine, speeds that cannot be.

use serde::Serialize;

use crate::channel::Channel;
use crate::derive::distance_m;
use crate::gears::{InGear, gears};
use crate::latency::against_acceleration;
use crate::log::{Log, Stretch};
use crate::measure::MeasuredRun;
use crate::rate::median;
use crate::series::Series;
use crate::track::Track;

/// What does not go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Speeds seem to be in another unit than they are read in.
    SpeedUnit,
    /// Speed and another channel differ, by no factor of units.
    SpeedScale,
    /// The engine's ratios are not this car's.
    OtherCar,
    /// Speeds or accelerations that no car has.
    Absurd,
}

/// A suspicion, with what speaks for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suspicion {
    /// What kind.
    pub kind: Kind,
    /// The factor by which the speed is too large, where there is one.
    pub factor: Option<f64>,
    /// What was found and what would be accepted, as sentences.
    pub what: String,
}

/// Pairs of units that are taken for each other: the true one, the one read, and the factor by which the speed is then off.
const CONFUSED: [(&str, &str, f64); 10] = [
    ("km/h", "mph", 1.609_344),
    ("mph", "km/h", 0.621_371),
    ("km/h", "m/s", 3.6),
    ("m/s", "km/h", 0.277_778),
    ("mph", "m/s", 2.236_936),
    ("m/s", "mph", 0.447_04),
    ("km/h", "kn", 1.852),
    ("kn", "km/h", 0.539_957),
    ("mph", "kn", 1.150_779),
    ("kn", "mph", 0.868_976),
];
/// A factor within this share of that of two units is taken for it.
const NEAR: f64 = 0.06;
/// Factors within this share of 1 are ordinary: sensors that lean, tyres that grow.
const ORDINARY: f64 = 0.12;
/// No road car is faster, m/s, or pulls harder from standstill, m/s² (over 1.5 g; common practice, no source).
const FASTEST_MPS: f64 = 130.0;
const HARDEST_MPS2: f64 = 16.0;
/// Ratios lie within this of one factor, in logarithms, if they are the same gears (tyre slip differs from gear to gear).
const ALIKE: f64 = 0.035;
/// A factor within this of 1, in logarithms, is this car's: tyres slip, wear and are of other makes.
const OWN: f64 = 0.09;
/// An engine dwells at a ratio if it stays for so long, s.
const SHORTEST_S: f64 = 0.5;

/// Holds a log and its measured runs against themselves and, if its ratios (rad/m) are given, against the car.
#[must_use]
pub fn suspicions(log: &Log, runs: &[MeasuredRun], known: Option<&[f64]>) -> Vec<Suspicion> {
    let mut found = Vec::new();
    let unit = speed_unit(log);
    for (channel, factors) in [
        ("acceleration", log.stretches.iter().filter_map(of_acceleration).collect::<Vec<_>>()),
        ("distance", log.stretches.iter().filter_map(of_distance).collect()),
        ("positions", log.stretches.iter().filter_map(of_positions).collect()),
    ] {
        // A log whose speed comes from its positions cannot be held against them.
        let told =
            !(channel == "positions" && log.notes.iter().any(|n| n.what.contains("worked out from the positions")));
        if let Some(factor) = median(&factors).filter(|f| told && (f - 1.0).abs() > ORDINARY) {
            found.push(of_factor(channel, factor, unit));
        }
    }
    if let Some(known) = known {
        found.extend(by_gears(log, runs, known));
    }
    found.extend(absurd(runs));
    found
}

/// The unit that speeds are read in.
fn speed_unit(log: &Log) -> &str {
    log.columns.iter().find(|c| c.channel == Channel::Speed).map_or("", |c| c.unit.as_str())
}

fn of_factor(channel: &str, factor: f64, unit: &str) -> Suspicion {
    match confused(factor, unit) {
        Some((truly, read)) => Suspicion {
            kind: Kind::SpeedUnit,
            factor: Some(factor),
            what: format!(
                "the speed is {factor:.2} times what the {channel} says: it looks as if it were in {truly}, but it is read in {read}; --map speed=COLUMN:{truly} reads it so"
            ),
        },
        None => Suspicion {
            kind: Kind::SpeedScale,
            factor: Some(factor),
            what: format!(
                "the speed is {factor:.2} times what the {channel} says: one of both is wrong, or in another unit"
            ),
        },
    }
}

/// Two units whose factor this is; those that the log names go first.
fn confused(factor: f64, unit: &str) -> Option<(&'static str, &'static str)> {
    let near = |f: f64| (factor / f).ln().abs() < NEAR;
    let folded: String = unit.to_lowercase();
    let same = |read: &str| {
        read == folded || matches!((read, folded.as_str()), ("km/h", "kph" | "kmh") | ("kn", "knots" | "kt" | "kts"))
    };
    let fits = || CONFUSED.iter().filter(|(_, _, f)| near(*f));
    let named = fits().find(|(_, read, _)| same(read));
    let any = fits().next().filter(|_| folded.is_empty());
    named.or(any).map(|(truly, read, _)| (*truly, *read))
}

fn of_acceleration(stretch: &Stretch) -> Option<f64> {
    let against = against_acceleration(stretch)?;
    (against.correlation > 0.85).then_some(against.scale.value)
}

/// Integral of the speed over the distance.
fn of_distance(stretch: &Stretch) -> Option<f64> {
    let distance = stretch.known(Channel::Distance);
    let (first, last) = (distance.first()?, distance.last()?);
    let gained_m = last.1 - first.1;
    (gained_m > 50.0).then(|| travelled_m(stretch, first.0, last.0)).flatten().map(|m| m / gained_m)
}

/// Integral of the speed over the way between positions a second or more apart, so that their scatter does not count.
fn of_positions(stretch: &Stretch) -> Option<f64> {
    let (lat, lon) = (stretch.channel(Channel::Latitude)?, stretch.channel(Channel::Longitude)?);
    let all = stretch.time_s.iter().zip(lat.iter().zip(lon)).filter(|(_, (a, b))| a.is_finite() && b.is_finite());
    let mut way_m = 0.0;
    let mut ends: Option<(f64, f64)> = None;
    let mut last: Option<(f64, (f64, f64))> = None;
    for (t, (a, b)) in all {
        match last {
            Some((since, _)) if t - since < 2.0 => continue,
            Some((_, from)) => way_m += distance_m(from, (*a, *b)),
            None => {}
        }
        last = Some((*t, (*a, *b)));
        ends = Some(ends.map_or((*t, *t), |(first, _)| (first, *t)));
    }
    let (from, to) = ends?;
    (way_m > 100.0).then(|| travelled_m(stretch, from, to)).flatten().map(|m| m / way_m)
}

fn travelled_m(stretch: &Stretch, from: f64, to: f64) -> Option<f64> {
    let track = Track::of(stretch)?;
    let points = track.time_s.iter().copied().zip(track.speed_mps.iter().copied()).collect();
    let series = Series::new(points, 10.0)?;
    let (first, last) = (track.time_s[0], track.time_s[track.time_s.len() - 1]);
    // Both have to cover the same time, but for a row or two.
    let slack = 3.0 * track.period_s;
    (from > first - slack && to < last + slack).then(|| series.integral(from.max(first), to.min(last))).flatten()
}

/// Ratios (rad/m) that the engine dwells at in the run that shows most of them, the highest first.
fn dwelt_at(log: &Log, runs: &[MeasuredRun]) -> Vec<f64> {
    let of = |run: &MeasuredRun| -> Vec<f64> {
        let Some(found) = gears(log, run, None) else { return Vec::new() };
        let mut longest: Vec<InGear> = Vec::new();
        for span in found.spans.iter().filter(|s| s.to_s - s.from_s > SHORTEST_S) {
            match longest.iter_mut().find(|l| l.gear == span.gear) {
                Some(kept) if kept.to_s - kept.from_s < span.to_s - span.from_s => *kept = *span,
                Some(_) => {}
                None => longest.push(*span),
            }
        }
        longest.sort_by(|a, b| b.ratio_per_m.total_cmp(&a.ratio_per_m));
        longest.iter().map(|s| s.ratio_per_m).collect()
    };
    runs.iter().map(of).max_by_key(Vec::len).unwrap_or_default()
}

/// Whether ratios are those of neighbouring gears, all larger by about the same factor; what that is. Wheels that spin in the
/// first gear show a ratio above it, which may be passed over.
fn factors(dwelt: &[f64], known: &[f64]) -> Vec<f64> {
    let mut found = Vec::new();
    let shortened = if dwelt.len() > 2 { &dwelt[1..] } else { dwelt };
    for part in [dwelt, shortened] {
        for gears in known.windows(part.len()) {
            let logs: Vec<f64> = part.iter().zip(gears).map(|(d, k)| (d / k).ln()).collect();
            let mean = logs.iter().sum::<f64>() / logs.len() as f64;
            let rms = (logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / logs.len() as f64).sqrt();
            if rms < ALIKE {
                found.push(mean.exp());
            }
        }
    }
    found
}

/// Whether the engine turns as that of a car with these ratios (rad/m) would, or as it would were the speed in another unit. Nothing if it
/// dwells at fewer than two ratios, from which no car can be told. Wheels that spin and clutches that slip dwell at ratios of no gear, too.
#[must_use]
pub fn by_gears(log: &Log, runs: &[MeasuredRun], known: &[f64]) -> Option<Suspicion> {
    let unit = speed_unit(log);
    let dwelt = dwelt_at(log, runs);
    if dwelt.len() < 2 {
        return None;
    }
    let factors = factors(&dwelt, known);
    if factors.iter().any(|f| f.ln().abs() < OWN) {
        return None;
    }
    // A speed that reads too large makes the ratios too small.
    let other_unit = factors.iter().find_map(|f| Some((1.0 / f, confused(1.0 / f, unit)?)));
    // As road tests tell it: speed at 1000 rpm.
    let listed = |ratios: &[f64]| {
        let kmh = |ratio: f64| 3.6 * 1000.0 * core::f64::consts::PI / 30.0 / ratio;
        ratios.iter().map(|r| format!("{:.1}", kmh(*r))).collect::<Vec<_>>().join(", ")
    };
    let found = format!(
        "the log goes {} km/h at 1000 rpm in the gears that it stays in, this car's gears {}",
        listed(&dwelt),
        listed(known)
    );
    Some(match other_unit {
        Some((factor, (truly, read))) => Suspicion {
            kind: Kind::SpeedUnit,
            factor: Some(factor),
            what: format!(
                "{found}: they would fit if the speed, read in {read}, is in {truly}; --map speed=COLUMN:{truly} reads it so"
            ),
        },
        None => Suspicion {
            kind: Kind::OtherCar,
            factor: None,
            what: format!("{found}: another car's log, or other gears or tyres than the vehicle file says"),
        },
    })
}

fn absurd(runs: &[MeasuredRun]) -> Option<Suspicion> {
    let fastest_mps = runs.iter().map(|r| r.start.top_speed_mps).fold(0.0, f64::max);
    let hardest_mps2 =
        runs.iter().filter(|r| r.period_s < 0.6).map(|r| r.start.mean_acceleration_mps2).fold(0.0, f64::max);
    let what = if fastest_mps > FASTEST_MPS {
        format!("the speed reaches {:.0} km/h", 3.6 * fastest_mps)
    } else if hardest_mps2 > HARDEST_MPS2 {
        format!("the speed rises by {hardest_mps2:.0} m/s² on the mean")
    } else {
        return None;
    };
    let what = format!("{what}, which no road car does: is its unit right? --map speed=COLUMN:UNIT says otherwise");
    Some(Suspicion { kind: Kind::Absurd, factor: None, what })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_factor_of_two_units_is_named_by_them() {
        assert_eq!(confused(1.60, "mph"), Some(("km/h", "mph")));
        assert_eq!(confused(0.62, "km/h"), Some(("mph", "km/h")));
        assert_eq!(confused(0.62, "KPH"), Some(("mph", "km/h")));
        assert_eq!(confused(3.5, "m/s"), Some(("km/h", "m/s")));
        assert_eq!(confused(1.3, "km/h"), None);
        assert_eq!(confused(1.609, "km/h"), None);
    }
}
