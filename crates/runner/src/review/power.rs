//! The power that a start was driven with, from a log without throttle: how the car pulls and its engine rises.

use bitepoint_physics::driver::PartThrottle;
use bitepoint_physics::run::Sample;

use super::foot::{Foot, answers};
use super::likeness::{engine_off, speed_off};
use super::trace::{DOWN, Trace};
use super::yardstick::Yardstick;

/// Feet that are tried first: times to wide open, s; parts of the throttle, and up to which share of the run's last speed they are held.
const EASES_S: [f64; 5] = [0.2, 0.6, 1.2, 2.0, 3.5];
const PARTS: [f64; 7] = [0.35, 0.5, 0.6, 0.7, 0.8, 0.87, 0.94];
const UP_TO: [f64; 3] = [0.3, 0.6, 1.2];
/// Time from a part throttle to wide open of a driver of whom only what follows is seen (from memory, as for scenario files), s.
const OPEN_S: f64 = 1.0;
/// Throttles that differ by less are the same, of wide open.
const SAME: f64 = 0.1;
/// A foot is believed if the model is less off with it than with the recommended launch's by this share.
const NEARER: f64 = 0.8;

/// When the power was otherwise than in the recommended launch, and what throttle gives it on the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Missing {
    pub from_s: f64,
    pub to_s: f64,
    pub throttle: f64,
}

/// Feet that a start without a throttle in its log may be of.
pub(super) fn candidates(trace: &Trace, until_s: f64, best: &Yardstick) -> Vec<Foot> {
    let own = Foot::of(&best.scenario.driver);
    let top_mps = trace.rows.iter().filter(|r| r.time_s <= until_s).map(|r| r.speed_mps).fold(0.0, f64::max);
    let eased = EASES_S.iter().map(|ease_s| (*ease_s, None));
    let held = PARTS.iter().flat_map(|held| {
        let part = |up_to: &f64| PartThrottle { held: *held, until_mps: up_to * top_mps, open_s: OPEN_S };
        UP_TO.iter().map(move |up_to| (own.ease_s, Some(part(up_to))))
    });
    let shapes = std::iter::once((own.ease_s, own.part)).chain(eased).chain(held);
    shapes.flat_map(|(ease_s, part)| answers(&own).map(|wheelspin| Foot { ease_s, part, wheelspin })).collect()
}

/// How far a run is from a log in speed and engine speed together, as a share of the best run's highest ones.
pub(super) fn off(trace: &Trace, samples: &[Sample], until_s: f64, best: &Yardstick) -> f64 {
    let top_mps = best.samples.last().map_or(1.0, |s| s.speed_mps);
    speed_off(trace, samples, until_s) / top_mps
        + engine_off(trace, samples, until_s) / best.vehicle.engine.limiter.cut_radps
}

/// Whether a foot makes the model so much more like the log that it is believed.
pub(super) fn is_nearer(with: f64, without: f64) -> bool {
    with < NEARER * without
}

/// Where a run's throttle is another than the recommended launch's with the pedal up, up to a time.
pub(super) fn missing(samples: &[Sample], until_s: f64, best: &Yardstick) -> Option<Missing> {
    let planned = |time_s: f64| {
        let k = best.samples.partition_point(|s| s.time_s < time_s).min(best.samples.len() - 1);
        best.samples[k].throttle
    };
    let driving = || samples.iter().filter(|s| s.time_s > 0.0 && s.time_s < until_s && s.pedal >= DOWN);
    let other = |s: &&Sample| (s.throttle - planned(s.time_s)).abs() > SAME;
    let (from_s, to_s) = driving()
        .filter(other)
        .fold((f64::INFINITY, 0.0), |(from_s, to_s): (f64, f64), s| (from_s.min(s.time_s), to_s.max(s.time_s)));
    let inside: Vec<f64> = driving().filter(|s| (from_s..=to_s).contains(&s.time_s)).map(|s| s.throttle).collect();
    let throttle = inside.iter().sum::<f64>() / inside.len() as f64;
    (to_s > from_s).then_some(Missing { from_s, to_s, throttle })
}
