//! Gears and shifts from the ratio of engine speed to road speed.

use bitepoint_physics::vehicle::Vehicle;
use serde::Serialize;

use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::falls::{Fall, falls};
use crate::latency::{against_acceleration, against_engine};
use crate::log::{Log, Stretch};
use crate::measure::MeasuredRun;
use crate::rate::{Rate, median};
use crate::series::Series;

mod clusters;

use clusters::clusters;

/// Under this speed the ratio says nothing: the clutch slips and the speed is mostly noise, m/s.
const LEAST_MPS: f64 = 3.0;
/// A ratio within this share of a gear's is that gear (tyres slip and grow; common practice, no source).
const TOLERANCE: f64 = 0.07;
/// A gear holds at least so long, s, and over so many rows.
const SHORTEST_S: f64 = 0.25;
const FEWEST_ROWS: usize = 2;
/// By then the clutch of a start has bitten, s.
const START_S: f64 = 1.0;
/// Rows further apart than this may miss the fall of the engine, s.
const SPARSE_S: f64 = 0.3;
/// A shift too quick for its rows to show takes no longer, s.
const LONGEST_SHIFT_S: f64 = 2.5;
/// For so long after the engine has begun to fall its ratio may still seem that of the gear, s.
const LATE_TO_LEAVE_S: f64 = 0.5;
/// In gear the ratio changes no faster (in logarithms, 1/s): wheels that stop spinning sweep it through other gears' ratios.
const STEADY_PER_S: f64 = 0.1;
/// Time over which that is judged, s, either way, and the fewest rows.
const STEADY_S: f64 = 0.3;
const STEADY_ROWS: usize = 4;

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
    /// When the engine begins to fall, s from first movement.
    pub left_s: f64,
    /// First moment at which it is with the one that follows, s from first movement.
    pub home_s: f64,
    /// How far each of both may be off, s: half a row of the engine speed, and what is not known of the latency.
    pub within_s: f64,
    /// Engine speed then, rad/s; nothing where the rows are too sparse to show it.
    pub engine_radps: Option<f64>,
}

/// What the engine speed says about the gears of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gears {
    /// By how much the road speed is late behind the engine speed, s, as far as it can be told.
    pub speed_late_s: Option<Estimate>,
    /// Times in gear.
    pub spans: Vec<InGear>,
    /// Shifts up.
    pub shifts: Vec<MeasuredShift>,
    /// Share of the time over 3 m/s in which the ratio is that of a gear.
    pub fits: f64,
    /// Time over 3 m/s, s.
    pub fast_s: f64,
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
    /// Whether the ratio of both stays about the same around it.
    pub steady: bool,
}

/// Gears of a measured run, of a car with these ratios (rad/m, first gear first) or of one that is not known. Nothing if
/// the log has no engine speed over the run.
#[must_use]
pub fn gears(log: &Log, run: &MeasuredRun, known: Option<&[f64]>) -> Option<Gears> {
    let stretch = log.stretches.get(run.start.stretch)?;
    let engine = stretch.known(Channel::EngineSpeed);
    let period_s = Rate::of_times(&engine.iter().map(|(t, _)| *t).collect::<Vec<_>>())?.period_s;
    let engine = Series::new(engine, 3.5 * period_s.max(0.1))?;
    let zero_s = run.first_movement_s.value;
    let late = late(stretch, run);
    let late_s = late.map_or(0.0, |l| l.value);
    let mut moments = moments(&engine, run, zero_s, late_s);
    mark_steady(&mut moments);
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
    let within_s = 0.5 * period_s + late.map_or(0.0, |l| l.sd);
    let engine_speed: Vec<(f64, f64)> = moments.iter().map(|m| (m.time_s, m.engine_radps)).collect();
    let shifts = shifts(&falls(&engine_speed), &spans, known.is_some(), period_s > SPARSE_S, within_s);
    let fits = if fast_s > 0.0 { (in_gear_s / fast_s).clamp(0.0, 1.0) + 0.0 } else { 0.0 };
    Some(Gears { speed_late_s: late, spans, shifts, fits, fast_s, period_s })
}

/// By how much the road speed is late, by the acceleration if there is one, else by the engine itself once the start is over.
fn late(stretch: &Stretch, run: &MeasuredRun) -> Option<Estimate> {
    let by_acceleration = against_acceleration(stretch).map(|a| a.late_s);
    by_acceleration.or_else(|| against_engine(stretch, run.first_movement_s.value + START_S, run.start.ended_s))
}

/// The shifts between times in gear: falls of the engine speed, or, where rows are too sparse to show one, the time between.
/// A car that spins its wheels throughout a gear is never in it: of a known car the falls before are then the shifts up to it.
fn shifts(falls: &[Fall], spans: &[InGear], known: bool, sparse: bool, within_s: f64) -> Vec<MeasuredShift> {
    let first = known.then_some(InGear { gear: 1, from_s: 0.0, to_s: 0.0, ratio_per_m: 0.0 });
    let befores = first.into_iter().chain(spans.iter().copied());
    let afters = spans.iter().skip(usize::from(!known));
    let mut shifts = Vec::new();
    for (before, after) in befores.zip(afters).filter(|(before, after)| after.gear > before.gear) {
        let mut between: Vec<Fall> = falls
            .iter()
            .copied()
            .filter(|f| f.from_s > before.to_s - LATE_TO_LEAVE_S && f.from_s < after.from_s)
            .collect();
        let steps = if known { usize::from(after.gear - before.gear) } else { 1 };
        // Shifts are made from higher engine speeds than those from which a clutch bites or wheels stop spinning.
        between.sort_by(|a, b| b.from_radps.total_cmp(&a.from_radps));
        between.truncate(steps);
        between.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
        let count = between.len();
        for (i, fall) in between.iter().enumerate() {
            let to_gear = if known { after.gear - (count - 1 - i) as u8 } else { after.gear };
            let home_s = if i + 1 == count { after.from_s.max(fall.to_s) } else { fall.to_s };
            let from_gear = if known { to_gear - 1 } else { before.gear };
            shifts.push(MeasuredShift {
                from_gear,
                to_gear,
                left_s: fall.from_s,
                home_s,
                within_s,
                engine_radps: Some(fall.from_radps),
            });
        }
        if count == 0 && sparse && before.to_s > 0.0 && after.from_s - before.to_s < LONGEST_SHIFT_S {
            let within_s = within_s.max(0.5 * (after.from_s - before.to_s));
            let left_s = before.to_s;
            shifts.push(MeasuredShift {
                from_gear: before.gear,
                to_gear: after.gear,
                left_s,
                home_s: after.from_s,
                within_s,
                engine_radps: None,
            });
        }
    }
    shifts
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
                steady: true,
            })
        })
        .collect()
}

/// Marks the moments around which the ratio stays; where rows are too sparse to tell, all.
fn mark_steady(moments: &mut [Moment]) {
    let points: Vec<(f64, f64)> = moments.iter().map(|m| (m.time_s, (m.engine_radps / m.speed_mps).ln())).collect();
    for (i, moment) in moments.iter_mut().enumerate() {
        let near = |(t, _): &&(f64, f64)| (t - moment.time_s).abs() <= STEADY_S;
        let from = points.partition_point(|(t, _)| *t < moment.time_s - STEADY_S);
        let window: Vec<(f64, f64)> = points[from..].iter().take_while(near).copied().collect();
        if window.len() < STEADY_ROWS {
            continue;
        }
        let n = window.len() as f64;
        let (mean_t, mean_r) = window.iter().fold((0.0, 0.0), |(t, r), p| (t + p.0 / n, r + p.1 / n));
        let (tt, tr) = window
            .iter()
            .fold((0.0, 0.0), |(tt, tr), (t, r)| (tt + (t - mean_t).powi(2), tr + (t - mean_t) * (r - mean_r)));
        // At an end of its gear a moment sees one side of it only: the half that is steadier counts.
        let half = |side: &[(f64, f64)]| match (side.first(), side.last()) {
            (Some(a), Some(b)) if side.len() >= 3 => ((b.1 - a.1) / (b.0 - a.0)).abs(),
            _ => f64::INFINITY,
        };
        let at = i - from;
        let slope = (tr / tt).abs().min(half(&window[..=at])).min(half(&window[at..]));
        moment.steady = slope < STEADY_PER_S;
    }
}

/// The gear whose ratio is nearest, if it is near enough.
fn gear_of(moment: &Moment, ratios: &[f64]) -> Option<u8> {
    let ratio = moment.engine_radps / moment.speed_mps;
    let off = |r: f64| (ratio / r).ln().abs();
    let (place, nearest) = ratios.iter().enumerate().min_by(|a, b| off(*a.1).total_cmp(&off(*b.1)))?;
    (moment.steady && off(*nearest) < TOLERANCE).then_some(place as u8 + 1)
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
