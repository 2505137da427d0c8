//! Coast-downs: finding them in a log, and road load F0 + F1 v + F2 v² from them.
//!
//! The form of SAE J1263 and ISO 10521-1: m_e dv/dt = -(F0 + F1 v + F2 v²), the effective mass m_e with the wheels and what turns
//! with them in neutral. The equation is integrated and held against every measured speed, which needs no differences of noisy
//! speeds (ISO 10521-1 gives a like method by regression; from memory).

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runlog::channel::Channel;
use bitepoint_runlog::log::{Log, Stretch};
use bitepoint_runlog::track::Track;

/// A coast-down as measured.
#[derive(Debug, Clone, PartialEq)]
pub struct CoastDown {
    /// Name of its log.
    pub log: String,
    /// When it begins on the log's clock, s.
    pub from_s: f64,
    /// Seconds since then.
    pub time_s: Vec<f64>,
    /// Speed, m/s.
    pub speed_mps: Vec<f64>,
    /// Standard deviation of one speed, m/s.
    pub sd_mps: f64,
    /// 1 the way of the first, -1 against it.
    pub direction: f64,
    /// Whether the log's positions say so.
    pub direction_known: bool,
    /// Whether the engine speed shows that no gear was in; nothing without engine speed.
    pub neutral: Option<bool>,
}

/// Length of the blocks whose means are compared, s.
const BLOCK_S: f64 = 1.0;
/// Deceleration of a car that rolls out, m/s²: less is holding speed, more is braking or a gear (common practice, no source).
const SLOWEST_MPS2: f64 = 0.04;
const FASTEST_MPS2: f64 = 0.9;
/// A coast-down lasts so long, s, loses so much, m/s, and begins over this speed, m/s.
const SHORTEST_S: f64 = 12.0;
const LEAST_LOSS_MPS: f64 = 4.0;
const LEAST_TOP_MPS: f64 = 12.0;
/// Cut off either end: foot and lever are still moving, s.
const TRIMMED_S: f64 = 1.5;
/// Under this the car may be stopping by its brakes, m/s.
const LOWEST_MPS: f64 = 3.0;
/// Engine speed over road speed that strays by no more than this share is a gear.
const IN_GEAR: f64 = 0.12;

/// Finds the coast-downs of a log that was read whole.
#[must_use]
pub fn find_coast_downs(log: &Log) -> Vec<CoastDown> {
    let mut found = Vec::new();
    let mut heading: Option<(f64, f64)> = None;
    for stretch in &log.stretches {
        let Some(track) = Track::of(stretch) else { continue };
        for (from_s, to_s) in spans(&track) {
            let Some(mut coast) = taken(log, stretch, &track, from_s, to_s) else { continue };
            if let Some(way) = way(stretch, from_s, to_s) {
                let first = *heading.get_or_insert(way);
                coast.direction = if first.0 * way.0 + first.1 * way.1 < 0.0 { -1.0 } else { 1.0 };
                coast.direction_known = true;
            }
            found.push(coast);
        }
    }
    found
}

/// Spans over which block after block is slower by what a rolling car loses.
fn spans(track: &Track) -> Vec<(f64, f64)> {
    let block_s = BLOCK_S.max(2.0 * track.period_s);
    let Some((first_s, last_s)) = track.time_s.first().zip(track.time_s.last()) else { return Vec::new() };
    let count = ((last_s - first_s) / block_s) as usize;
    let means: Vec<Option<f64>> = (0..count)
        .map(|i| {
            let from_s = first_s + block_s * i as f64;
            let (n, sum) = track.within(from_s, from_s + block_s).fold((0, 0.0), |(n, s), (_, v)| (n + 1, s + v));
            (n > 0).then(|| sum / f64::from(n))
        })
        .collect();
    // Over four blocks noise and steps of the speed even out.
    let rolls = |i: usize| {
        let (Some(Some(a)), Some(Some(b))) = (means.get(i), means.get(i + 4)) else { return false };
        let slowing = (a - b) / (4.0 * block_s);
        // One block that brakes must not hide among three that do not.
        let sudden = (i..i + 4).any(|k| match (means[k], means[k + 1]) {
            (Some(a), Some(b)) => (a - b) / block_s > 1.6 * FASTEST_MPS2,
            _ => true,
        });
        (SLOWEST_MPS2..FASTEST_MPS2).contains(&slowing) && !sudden && *b > LOWEST_MPS
    };
    let mut spans = Vec::new();
    let mut i = 0;
    while i < count {
        let mut end = i;
        while rolls(end) {
            end += 1;
        }
        if end > i {
            // Four blocks of which the last alone is slower begin it: the three before may still hold speed.
            let from_s = first_s + block_s * (i + 3) as f64 + TRIMMED_S;
            spans.push((from_s, first_s + block_s * (end + 4) as f64 - TRIMMED_S));
            i = end + 4;
        } else {
            i += 1;
        }
    }
    spans
}

fn taken(log: &Log, stretch: &Stretch, track: &Track, from_s: f64, to_s: f64) -> Option<CoastDown> {
    let (time_s, speed_mps): (Vec<f64>, Vec<f64>) = track.within(from_s, to_s).map(|(t, v)| (t - from_s, v)).unzip();
    let (top, low) = (*speed_mps.first()?, *speed_mps.last()?);
    if to_s - from_s < SHORTEST_S || top - low < LEAST_LOSS_MPS || top < LEAST_TOP_MPS || time_s.len() < 10 {
        return None;
    }
    let neutral = neutral(stretch, from_s, to_s);
    if neutral == Some(false) {
        return None;
    }
    let step_sd = track.quantum_mps.map_or(0.0, |q| q / 12_f64.sqrt());
    let sd_mps = roughness(&time_s, &speed_mps).hypot(0.3 * step_sd).max(1e-3);
    let log = log.name.clone();
    Some(CoastDown { log, from_s, time_s, speed_mps, sd_mps, direction: 1.0, direction_known: false, neutral })
}

/// Noise by the second differences of the speed: of a smooth motion they are next to nothing.
fn roughness(time_s: &[f64], speed: &[f64]) -> f64 {
    let mut squares: Vec<f64> = (1..speed.len() - 1)
        .map(|i| {
            let share = (time_s[i] - time_s[i - 1]) / (time_s[i + 1] - time_s[i - 1]);
            let off = speed[i] - (speed[i - 1] + share * (speed[i + 1] - speed[i - 1]));
            off * off / (1.0 + share * share + (1.0 - share) * (1.0 - share))
        })
        .collect();
    squares.sort_by(f64::total_cmp);
    // Without the largest tenth, which may be outliers; of a normal distribution the others hold this share of the variance.
    let kept = &squares[..(9 * squares.len()).div_ceil(10)];
    const SHARE_OF_INNER_NINE_TENTHS: f64 = 0.623;
    (kept.iter().sum::<f64>() / kept.len() as f64 / SHARE_OF_INNER_NINE_TENTHS).sqrt()
}

/// Whether the engine turns apart from the wheels.
fn neutral(stretch: &Stretch, from_s: f64, to_s: f64) -> Option<bool> {
    let engine = stretch.channel(Channel::EngineSpeed)?;
    let speed = stretch.channel(Channel::Speed)?;
    let ratios: Vec<f64> = stretch
        .time_s
        .iter()
        .zip(engine.iter().zip(speed))
        .filter(|(t, (e, v))| (from_s..=to_s).contains(*t) && e.is_finite() && **v > LOWEST_MPS)
        .map(|(_, (e, v))| e / v)
        .collect();
    if ratios.len() < 5 {
        return None;
    }
    let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
    let sd = (ratios.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / ratios.len() as f64).sqrt();
    // The clutch pressed looks the same as neutral and is: only the gearbox turns along.
    Some(sd > IN_GEAR * mean.abs())
}

/// Which way the car went, from its positions: east and north.
fn way(stretch: &Stretch, from_s: f64, to_s: f64) -> Option<(f64, f64)> {
    let at = |channel| {
        let known = stretch.known(channel);
        let within: Vec<f64> = known.iter().filter(|(t, _)| (from_s..=to_s).contains(t)).map(|(_, x)| *x).collect();
        Some((*within.first()?, *within.last()?))
    };
    let (south, north) = at(Channel::Latitude)?;
    let (west, east) = at(Channel::Longitude)?;
    let (x, y) = ((east - west) * south.to_radians().cos(), north - south);
    (x.hypot(y) > 1e-5).then_some((x, y))
}

/// Mass that a coast-down slows: the car's, and what its wheels and all that turns with them in neutral add, kg.
#[must_use]
pub fn effective_mass_kg(vehicle: &Vehicle) -> f64 {
    let wheels = |tyre: &bitepoint_physics::tyre::Tyre| 2.0 * tyre.wheel_inertia_kgm2 / tyre.rolling_radius_m.powi(2);
    let driven = if vehicle.drives_rear() { &vehicle.rear_tyre } else { &vehicle.front_tyre };
    vehicle.chassis.mass_kg
        + wheels(&vehicle.front_tyre)
        + wheels(&vehicle.rear_tyre)
        + vehicle.gearbox.final_drive.inertia_kgm2 / driven.rolling_radius_m.powi(2)
}

/// Deceleration of the car in neutral as the model has it, m/s², at a speed, going `direction` on the scenario's slope and wind.
#[must_use]
pub fn model_deceleration(vehicle: &Vehicle, scenario: &Scenario, direction: f64, speed_mps: f64) -> f64 {
    let wind = speed_mps + direction * scenario.headwind_mps;
    let pressure = 0.5 * scenario.air.density_kg_per_m3() * wind * wind.abs();
    let sine = direction * scenario.slope.sine(0.0);
    let (front_n, rear_n) = vehicle.chassis.axle_loads(0.0, pressure.abs(), (1.0 - sine * sine).sqrt());
    let rolling_n = scenario.surface.rolling_resistance_scale
        * (vehicle.front_tyre.rolling_coefficient(speed_mps) * front_n
            + vehicle.rear_tyre.rolling_coefficient(speed_mps) * rear_n);
    let force_n = pressure * vehicle.chassis.drag_area_m2 + rolling_n + vehicle.chassis.mass_kg * GRAVITY_MPS2 * sine;
    force_n / effective_mass_kg(vehicle)
}

/// Speeds of a car that slows by `deceleration`, at rising times, from `start_mps` at nothing; never below nothing. Runge and
/// Kutta's fourth order in steps of at most half a second: its error is far under any measured speed's.
#[must_use]
pub fn speeds(start_mps: f64, times_s: &[f64], deceleration: impl Fn(f64) -> f64) -> Vec<f64> {
    const LONGEST_STEP_S: f64 = 0.5;
    let slow = |v: f64| -deceleration(v.max(0.0));
    let (mut now_s, mut v) = (0.0, start_mps);
    times_s
        .iter()
        .map(|time_s| {
            let steps = ((time_s - now_s) / LONGEST_STEP_S).ceil().max(1.0);
            let h = (time_s - now_s) / steps;
            for _ in 0..steps as usize {
                let a = slow(v);
                let b = slow(v + 0.5 * h * a);
                let c = slow(v + 0.5 * h * b);
                let d = slow(v + h * c);
                v += h / 6.0 * (a + 2.0 * b + 2.0 * c + d);
            }
            now_s = *time_s;
            v.max(0.0)
        })
        .collect()
}

/// Whether a scenario says how the road slopes.
#[must_use]
pub fn slope_given(scenario: &ScenarioFile, vehicle: &Vehicle) -> bool {
    let Ok(resolved) = scenario.resolve(vehicle) else { return true };
    resolved.entries.iter().any(|e| e.given() && (e.key.path == "road.slope" || e.key.path == "road.slope_profile"))
}
