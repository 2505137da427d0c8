//! Gears and shifts from the ratio of engine speed to road speed.

use bitepoint_physics::vehicle::Vehicle;
use serde::Serialize;

use crate::channel::Channel;
use crate::log::Log;
use crate::measure::MeasuredRun;
use crate::rate::{Rate, median};
use crate::series::Series;

mod clusters;
mod late;

use clusters::clusters;

/// Under this speed the ratio says nothing: the clutch slips and the speed is mostly noise, m/s.
const LEAST_MPS: f64 = 3.0;
/// A ratio within this share of a gear's is that gear (tyres slip and grow; common practice, no source).
const TOLERANCE: f64 = 0.07;
/// A gear holds at least so long, s, and over so many rows.
const SHORTEST_S: f64 = 0.25;
const FEWEST_ROWS: usize = 2;

/// Time in one gear.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct InGear {
    /// Gear, 1 for first, of a car whose ratios are known; else the place of its ratio among those seen, from 1.
    pub gear: u8,
    /// When it is in, with the clutch home, s from first movement.
    pub from_s: f64,
    /// Until when, s from first movement.
    pub to_s: f64,
    /// Engine speed over road speed, rad/m.
    pub ratio_per_m: f64,
}

/// A change from one gear to a higher one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeasuredShift {
    /// Gear that is left.
    pub from_gear: u8,
    /// Gear that follows.
    pub to_gear: u8,
    /// Last moment at which the engine is with the gear that is left, s from first movement.
    pub left_s: f64,
    /// First moment at which it is with the one that follows, s from first movement.
    pub home_s: f64,
    /// How far each of both may be off, s: a row of the engine speed and a measurement of the road speed.
    pub within_s: f64,
    /// Highest engine speed within half a second before the gear is left, rad/s.
    pub engine_radps: f64,
}

/// What the engine speed says about the gears of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gears {
    /// By how much the road speed is late behind the engine speed, s, as far as it can be told.
    pub speed_late_s: Option<crate::estimate::Estimate>,
    /// Times in gear.
    pub spans: Vec<InGear>,
    /// Shifts up.
    pub shifts: Vec<MeasuredShift>,
    /// Share of the time over 3 m/s in which the ratio is that of a gear.
    pub fits: f64,
    /// Median time between rows of the engine speed, s.
    pub period_s: f64,
}

/// Engine radians over a metre of road in each gear of a car, first gear first.
#[must_use]
pub fn known_ratios(vehicle: &Vehicle) -> Vec<f64> {
    let tyre = if vehicle.drives_front() { &vehicle.front_tyre } else { &vehicle.rear_tyre };
    (0..vehicle.gearbox.gears.len()).map(|g| vehicle.gearbox.overall_ratio(g) / tyre.rolling_radius_m).collect()
}

/// Engine speed and road speed at one moment.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moment {
    /// s from first movement.
    pub time_s: f64,
    pub engine_radps: f64,
    pub speed_mps: f64,
    pub acceleration_mps2: f64,
}

/// Gears of a measured run, of a car with these ratios (rad/m, first gear first) or of one that is not known. Nothing if
/// the log has no engine speed over the run.
#[must_use]
pub fn gears(log: &Log, run: &MeasuredRun, known: Option<&[f64]>) -> Option<Gears> {
    let engine = log.stretches.get(run.start.stretch)?.known(Channel::EngineSpeed);
    let period_s = Rate::of_times(&engine.iter().map(|(t, _)| *t).collect::<Vec<_>>())?.period_s;
    let engine = Series::new(engine, 3.5 * period_s.max(0.1))?;
    let zero_s = run.first_movement_s.value;
    let late = late::speed_late(&engine, run, zero_s, known);
    let late_s = late.map_or(0.0, |l| l.value);
    let moments = moments(&engine, run, zero_s, late_s);
    let ratios: Vec<f64> = match known {
        Some(known) => known.to_vec(),
        None => clusters(&moments),
    };
    let assigned: Vec<Option<u8>> = moments.iter().map(|m| gear_of(m, &ratios)).collect();
    let spans = spans(&moments, &assigned, period_s);
    let in_gear_s: f64 = spans.iter().map(|s| s.to_s - s.from_s).sum();
    let fast_s = match (moments.first(), moments.last()) {
        (Some(first), Some(last)) => last.time_s - first.time_s,
        _ => 0.0,
    };
    let within_s = 0.5 * period_s + 0.5 * run.period_s;
    let shifts = spans
        .windows(2)
        .filter(|w| w[1].gear > w[0].gear)
        .map(|w| MeasuredShift {
            from_gear: w[0].gear,
            to_gear: w[1].gear,
            left_s: w[0].to_s,
            home_s: w[1].from_s,
            within_s,
            engine_radps: highest(&engine, zero_s - late_s + w[0].to_s),
        })
        .collect();
    let fits = if fast_s > 0.0 { (in_gear_s / fast_s).min(1.0) } else { 0.0 };
    Some(Gears { speed_late_s: late, spans, shifts, fits, period_s })
}

fn highest(engine: &Series, at_s: f64) -> f64 {
    let near = engine.points().iter().filter(|(t, _)| (at_s - 0.5..=at_s + 0.1).contains(t));
    near.map(|(_, radps)| *radps).fold(0.0, f64::max)
}

/// Rows of the engine speed with the road speed at their times, where the car is fast enough and the clutch may be home.
/// The road speed at a moment is the one that the log shows `late_s` later.
pub(crate) fn moments(engine: &Series, run: &MeasuredRun, zero_s: f64, late_s: f64) -> Vec<Moment> {
    let curve = &run.curve;
    let Some(last) = curve.last() else { return Vec::new() };
    let mut k = 0;
    engine
        .points()
        .iter()
        .filter_map(|(t, engine_radps)| {
            let since_s = t + late_s - zero_s;
            if since_s <= 0.0 || since_s >= last.time_s {
                return None;
            }
            while k + 2 < curve.len() && curve[k + 1].time_s <= since_s {
                k += 1;
            }
            let (a, b) = (&curve[k], &curve[k + 1]);
            let share = (since_s - a.time_s) / (b.time_s - a.time_s);
            let speed_mps = a.speed_mps + share * (b.speed_mps - a.speed_mps);
            (speed_mps > LEAST_MPS && *engine_radps > 0.0).then_some(Moment {
                time_s: since_s,
                engine_radps: *engine_radps,
                speed_mps,
                acceleration_mps2: a.acceleration_mps2,
            })
        })
        .collect()
}

/// The gear whose ratio is nearest, if it is near enough.
fn gear_of(moment: &Moment, ratios: &[f64]) -> Option<u8> {
    let ratio = moment.engine_radps / moment.speed_mps;
    let off = |r: f64| (ratio / r).ln().abs();
    let (place, nearest) = ratios.iter().enumerate().min_by(|a, b| off(*a.1).total_cmp(&off(*b.1)))?;
    (off(*nearest) < TOLERANCE).then_some(place as u8 + 1)
}

fn spans(moments: &[Moment], assigned: &[Option<u8>], period_s: f64) -> Vec<InGear> {
    let mut spans: Vec<InGear> = Vec::new();
    let mut from = 0;
    while from < moments.len() {
        let Some(gear) = assigned[from] else {
            from += 1;
            continue;
        };
        let mut to = from;
        // One row astray, as between two gears' bands or by noise, does not end it.
        while to + 1 < moments.len() {
            let next = (to + 1..moments.len()).take(2).find(|j| assigned[*j] == Some(gear));
            match next {
                Some(j) if moments[j].time_s - moments[to].time_s < 0.3_f64.max(2.5 * period_s) => to = j,
                _ => break,
            }
        }
        let (from_s, to_s) = (moments[from].time_s, moments[to].time_s);
        if to - from + 1 >= FEWEST_ROWS
            && to_s - from_s + 1e-9
                >= SHORTEST_S.min(period_s * (FEWEST_ROWS - 1) as f64).max(SHORTEST_S * f64::from(period_s < 0.2))
        {
            let ratios: Vec<f64> = moments[from..=to].iter().map(|m| m.engine_radps / m.speed_mps).collect();
            let ratio_per_m = median(&ratios).unwrap_or(0.0);
            match spans.last_mut() {
                Some(last) if last.gear == gear => last.to_s = to_s,
                _ => spans.push(InGear { gear, from_s, to_s, ratio_per_m }),
            }
        }
        from = to + 1;
    }
    spans
}
