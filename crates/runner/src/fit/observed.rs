//! Standing starts as measured: what a simulated run is held against.

use bitepoint_physics::vehicle::Vehicle;
use bitepoint_runlog::channel::Channel;
use bitepoint_runlog::gears::{gears, known_ratios};
use bitepoint_runlog::log::Log;
use bitepoint_runlog::measure::{ROLLOUT_M, measure};
use bitepoint_runlog::noise::StandstillNoise;
use bitepoint_runlog::start::{Effort, Start, Stop, find_starts};
use bitepoint_runlog::track::Track;

/// A standing start.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Observed {
    /// Name of its log.
    pub log: String,
    /// First movement on the log's clock, s, and how far it may be off.
    pub first_movement_s: f64,
    /// Its standard error, s.
    pub first_movement_sd_s: f64,
    /// Seconds since then.
    pub time_s: Vec<f64>,
    /// Speed, m/s.
    pub speed_mps: Vec<f64>,
    /// Standard deviation of one speed, of noise and of the model, m/s.
    pub sd_mps: f64,
    /// Engine speed that was held before, rad/s; nothing without engine speed.
    pub held_radps: Option<f64>,
    /// Highest engine speed of the start, rad/s; nothing without engine speed.
    pub highest_radps: Option<f64>,
    /// How each gear was left, first gear first; nothing without engine speed.
    pub shifts: Option<Vec<SeenShift>>,
    /// How well the ratios of engine speed to road speed are the car's: share of the time; nothing without engine speed.
    pub ratios_fit: Option<f64>,
}

/// A shift as the engine speed shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SeenShift {
    /// Engine speed at which the gear was left, rad/s.
    pub at_radps: f64,
    /// Its standard deviation, rad/s: the engine is seen once a row only, and rises between rows.
    pub sd_radps: f64,
    /// How fast it rose before, rad/s².
    pub rise_radps2: f64,
}

/// Why a start is not taken.
#[derive(Debug, Clone, PartialEq, serde::Serialize, schemars::JsonSchema)]
pub struct Refused {
    /// Name of its log.
    pub log: String,
    /// When, s on the log's clock.
    pub at_s: f64,
    /// Why, as the rest of a sentence.
    pub why: &'static str,
}

/// Kept from before the first movement, s.
const BEFORE_S: f64 = 0.5;
/// The run is taken to be over when this share of its top speed is reached: the foot comes off thereabouts.
const TO_SHARE_OF_TOP: f64 = 0.97;
/// Fewest measurements and shortest time that tell anything.
const FEWEST: usize = 6;
const LEAST_TOP_MPS: f64 = 8.0;
/// No car on tyres leaves faster on the mean, m/s².
const FASTEST_MPS2: f64 = 15.0;
/// What the model of a start errs by itself, m/s, and how long it errs alike, s: more rows do not make that less (common practice, no
/// source: no model of a foot, a clutch and spinning tyres is closer).
const MODEL_MPS: f64 = 0.25;
const MODEL_S: f64 = 0.1;
/// Time in which a car that stops comes to rest on its springs and the receiver settles, s.
const COMES_TO_REST_S: f64 = 1.5;
/// Time over which the engine's rise before a shift is taken, s.
const RISE_S: f64 = 0.3;
/// Rows farther apart see too little of each gear to tell cars apart, s.
const SPARSE_S: f64 = 0.5;
/// Least error of the engine speed at a shift, rad/s.
const LEAST_SHIFT_RADPS: f64 = 4.0;
/// Time before the first movement over which the revs are held, s.
const HELD_FROM_S: f64 = 0.6;
const HELD_TO_S: f64 = 0.15;

/// The starts of a log that can be held against full-load runs, and those that cannot.
#[must_use]
pub(super) fn observe(log: &Log, car: &Vehicle) -> (Vec<Observed>, Vec<Refused>) {
    let (mut taken, mut refused) = (Vec::new(), Vec::new());
    for start in find_starts(log).starts {
        match one(log, &start, car) {
            Ok(observed) => taken.push(observed),
            Err(why) => refused.push(Refused { log: log.name.clone(), at_s: start.stood_until_s, why }),
        }
    }
    (taken, refused)
}

fn one(log: &Log, start: &Start, car: &Vehicle) -> Result<Observed, &'static str> {
    if start.effort == Effort::Gentle {
        return Err("it is too gentle for full load, which is what is simulated");
    }
    if start.mean_acceleration_mps2 > FASTEST_MPS2 {
        return Err(
            "its speed rises as no car's does: is it in another unit (--map speed=COLUMN:km/h), or is part of the log missing?",
        );
    }
    if start.top_speed_mps < LEAST_TOP_MPS {
        return Err("it ends before it has begun");
    }
    let stretch = &log.stretches[start.stretch];
    let too_few = "it has too few speeds to time it";
    let run = measure(log, start, ROLLOUT_M).ok_or(too_few)?;
    let track = Track::of(stretch).ok_or(too_few)?;
    let zero_s = run.first_movement_s.value;
    let to_s = track
        .within(zero_s, start.ended_s)
        .find(|(_, v)| *v >= TO_SHARE_OF_TOP * start.top_speed_mps)
        .map_or(start.ended_s, |(t, _)| t);
    let (time_s, speed_mps): (Vec<f64>, Vec<f64>) =
        track.within(zero_s - BEFORE_S, to_s).map(|(t, v)| (t - zero_s, v)).unzip();
    if time_s.len() < FEWEST {
        return Err(too_few);
    }
    let inflation = StandstillNoise::before(&track, &settled(start)).map_or(1.0, |n| n.inflation());
    let found = gears(log, &run, Some(&known_ratios(car)));
    let engine = stretch.known(Channel::EngineSpeed);
    let late_s = found.as_ref().and_then(|g| g.speed_late_s).map_or(0.0, |l| l.value);
    let moved_s = zero_s - late_s;
    let mut held: Vec<f64> = engine
        .iter()
        .filter(|(t, _)| (moved_s - HELD_FROM_S..moved_s - HELD_TO_S).contains(t))
        .map(|(_, r)| *r)
        .collect();
    held.sort_by(f64::total_cmp);
    let shifts = found.as_ref().and_then(|g| {
        let seen: Option<Vec<SeenShift>> =
            g.shifts.iter().map(|s| seen_shift(&engine, moved_s + s.left_s, g.period_s, s.engine_radps?)).collect();
        let in_order = g.shifts.iter().enumerate().all(|(i, s)| usize::from(s.from_gear) == i + 1);
        seen.filter(|s| !s.is_empty() && in_order)
    });
    Ok(Observed {
        log: log.name.clone(),
        first_movement_s: zero_s,
        first_movement_sd_s: run.first_movement_s.sd,
        time_s,
        speed_mps,
        sd_mps: (run.noise_mps * inflation.sqrt()).hypot(MODEL_MPS * (MODEL_S / track.period_s).max(1.0).sqrt()),
        held_radps: held.get(held.len() / 2).copied(),
        highest_radps: engine.iter().filter(|(t, _)| *t > moved_s).map(|(_, r)| *r).max_by(f64::total_cmp),
        shifts,
        ratios_fit: found.filter(|g| g.period_s < SPARSE_S).map(|g| g.fits),
    })
}

/// The start without the first moments of its standstill, in which the car is still coming to rest.
fn settled(start: &Start) -> Start {
    let stop = match start.stop {
        Stop::Seen { for_s } => Stop::Seen { for_s: (for_s - COMES_TO_REST_S).max(0.5 * for_s) },
        Stop::Brief => Stop::Brief,
    };
    Start { stop, ..*start }
}

/// The last row before the engine falls is up to a row early.
fn seen_shift(engine: &[(f64, f64)], left_s: f64, period_s: f64, last_row_radps: f64) -> Option<SeenShift> {
    let over_s = RISE_S.max(4.0 * period_s);
    let within: Vec<&(f64, f64)> =
        engine.iter().filter(|(t, _)| (left_s - over_s..left_s + 1e-6).contains(t)).collect();
    let rise_radps2 = match (within.first(), within.last()) {
        (Some(a), Some(b)) if b.0 > a.0 => ((b.1 - a.1) / (b.0 - a.0)).max(0.0),
        _ => 0.0,
    };
    let in_a_row = rise_radps2 * period_s;
    Some(SeenShift {
        at_radps: last_row_radps + 0.5 * in_a_row,
        sd_radps: LEAST_SHIFT_RADPS.hypot(in_a_row / 12_f64.sqrt()),
        rise_radps2,
    })
}
