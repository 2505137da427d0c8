//! The channels of one measured start on the clock that begins with the car's first movement.

use bitepoint_physics::run::Sample;
use bitepoint_runlog::channel::Channel;
use bitepoint_runlog::gears::{Gears, MeasuredShift};
use bitepoint_runlog::log::Stretch;
use bitepoint_runlog::measure::MeasuredRun;

use super::foot::WIDE;
use super::yardstick::Yardstick;

/// So much before first movement is looked at, s: a driver holds the revs for less (common practice, no source).
const BEFORE_S: f64 = 3.0;
/// A pedal that moves by less than this share of its channel is none.
const LEAST_TRAVEL: f64 = 0.2;
/// Rows further apart than this show neither pedal nor shifts, s.
pub(super) const SPARSE_S: f64 = 0.25;
/// Pedal under which a shift is under way.
pub(super) const DOWN: f64 = 0.9;

/// Pedal under which it must come in a shift.
const PRESSED: f64 = 0.4;

/// After a shift the engine turns at less than this share of its speed before, so soon after, s: no gearbox has closer gears.
const FALLS_TO: f64 = 0.93;
const SETTLED_S: f64 = 0.1;

/// One row; NaN where the log has nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Row {
    /// s from first movement.
    pub time_s: f64,
    pub speed_mps: f64,
    pub acceleration_mps2: f64,
    pub engine_radps: f64,
    /// 0 to 1.
    pub throttle: f64,
    /// Clutch pedal, 0 pressed to 1 released.
    pub released: f64,
    /// Tread speed of a driven wheel, m/s, where the log has it.
    pub tread_mps: f64,
}

/// The rows of a start.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Trace {
    pub rows: Vec<Row>,
    pub has_engine: bool,
    pub has_throttle: bool,
    pub has_pedal: bool,
    pub has_tread: bool,
    /// Whether rows are too far apart to show the pedal, or an engine at the moment of a shift.
    pub is_sparse: bool,
    /// Shifts: by the pedal where the log has it, for spinning wheels hide gears from the ratio; else by the ratio.
    pub shifts: Vec<MeasuredShift>,
}

impl Trace {
    /// Rows from shortly before first movement to the end of the run. The speed is late by what the gears or the
    /// acceleration tell; all else is taken as on time.
    pub(super) fn new(stretch: &Stretch, run: &MeasuredRun, gears: Option<&Gears>) -> Self {
        let late_s = gears.and_then(|g| g.speed_late_s).map_or(0.0, |l| l.value);
        let zero_s = run.first_movement_s.value;
        let end_s = run.start.ended_s - zero_s;
        let values = |channel: Channel| stretch.channel(channel);
        let at = |values: Option<&[f64]>, i: usize| values.map_or(f64::NAN, |v| v[i]);
        let (engine, throttle) = (values(Channel::EngineSpeed), values(Channel::Throttle));
        let (clutch, tread) = (values(Channel::Clutch), values(Channel::WheelSpeed));
        let mut rows: Vec<Row> = stretch
            .time_s
            .iter()
            .enumerate()
            .map(|(i, t)| (i, t + late_s - zero_s))
            .filter(|(_, t)| (-BEFORE_S..=end_s).contains(t))
            .map(|(i, time_s)| {
                let (speed_mps, acceleration_mps2) = motion(run, time_s);
                Row {
                    time_s,
                    speed_mps,
                    acceleration_mps2,
                    engine_radps: at(engine, i),
                    throttle: at(throttle, i),
                    released: at(clutch, i),
                    tread_mps: at(tread, i),
                }
            })
            .collect();
        let has_pedal = orient_pedal(&mut rows);
        let any = |of: fn(&Row) -> f64| rows.iter().filter(|r| r.time_s > 0.0 && of(r).is_finite()).count() > 3;
        let has = (any(|r| r.engine_radps), any(|r| r.throttle), any(|r| r.tread_mps));
        let by_ratio = gears.map_or_else(Vec::new, |g| g.shifts.clone());
        let mut steps: Vec<f64> = rows.windows(2).map(|w| w[1].time_s - w[0].time_s).collect();
        steps.sort_by(f64::total_cmp);
        let is_sparse = steps.get(steps.len() / 2).is_some_and(|s| *s > SPARSE_S);
        let trace = Self {
            is_sparse,
            rows,
            has_engine: has.0,
            has_throttle: has.1,
            has_pedal,
            has_tread: has.2,
            shifts: by_ratio,
        };
        let by_pedal = trace.shifts_by_pedal();
        Self { shifts: by_pedal.unwrap_or_else(|| trace.shifts.clone()), ..trace }
    }

    /// A run of the model, as a log with all channels would show it: what is planned is read off it as what was done is read off a log.
    pub(super) fn of_samples(samples: &[Sample]) -> Self {
        let row = |s: &Sample| Row {
            time_s: s.time_s,
            speed_mps: s.speed_mps,
            acceleration_mps2: s.acceleration_mps2,
            engine_radps: s.engine_radps,
            throttle: s.throttle,
            released: s.pedal,
            tread_mps: f64::NAN,
        };
        let trace = Self {
            rows: samples.iter().map(row).collect(),
            has_engine: true,
            has_throttle: true,
            has_pedal: true,
            has_tread: false,
            is_sparse: false,
            shifts: Vec::new(),
        };
        Self { shifts: trace.shifts_by_pedal().unwrap_or_default(), ..trace }
    }

    /// Presses of the pedal after it was out; nothing without a pedal.
    fn shifts_by_pedal(&self) -> Option<Vec<MeasuredShift>> {
        let (from_s, out_s) = self.pedal_up()?;
        // The pedal may be pressed again before it was out.
        let top = self.rows.iter().filter(|r| r.time_s > from_s && r.time_s < out_s && r.released > DOWN);
        let out_s = top.map(|r| r.time_s).fold(out_s, f64::min);
        let mut shifts: Vec<MeasuredShift> = Vec::new();
        let mut pressed = false;
        for (i, row) in self.rows.iter().enumerate().filter(|(_, r)| r.time_s > out_s) {
            let down = row.released < DOWN;
            if down && !pressed {
                let from_gear = shifts.len() as u8 + 1;
                let near = self.rows[i.saturating_sub(4)..=i].iter().filter(|r| r.time_s > row.time_s - 0.25);
                let engine = near.map(|r| r.engine_radps).filter(|w| w.is_finite()).fold(0.0, f64::max);
                let before_s = self.rows[i.saturating_sub(1)].time_s;
                shifts.push(MeasuredShift {
                    from_gear,
                    to_gear: from_gear + 1,
                    left_s: 0.5 * (before_s + row.time_s),
                    home_s: row.time_s,
                    within_s: 0.5 * (row.time_s - before_s),
                    engine_radps: (engine > 0.0 && !self.is_sparse).then_some(engine),
                });
            }
            if let Some(last) = shifts.last_mut().filter(|_| down || pressed) {
                last.home_s = row.time_s;
            }
            pressed = down;
        }
        // Who keeps the revs with the pedal dips it a little; who shifts presses it down.
        let is_pressed = |shift: &MeasuredShift| {
            let during = self.rows.iter().filter(|r| (shift.left_s..=shift.home_s).contains(&r.time_s));
            during.map(|r| r.released).fold(1.0, f64::min) < PRESSED
        };
        shifts.retain(is_pressed);
        shifts.iter_mut().for_each(|shift| self.begun_where_pressed(shift));
        // A launch may dip it deep, but the engine falls only into the next gear.
        let falls = |shift: &MeasuredShift| {
            let after = self.engine_at(shift.home_s + SETTLED_S);
            self.engine_at(shift.left_s).zip(after).is_none_or(|(before, after)| after < FALLS_TO * before)
        };
        let dips = shifts.iter().take_while(|shift| !falls(shift)).count();
        shifts.drain(..dips);
        for (i, shift) in shifts.iter_mut().enumerate() {
            (shift.from_gear, shift.to_gear) = (i as u8 + 1, i as u8 + 2);
        }
        Some(shifts)
    }

    /// A pedal that was not wholly up before a shift (a clutch still kept slipping) makes the shift begin where it is pressed down.
    fn begun_where_pressed(&self, shift: &mut MeasuredShift) {
        let inside = |r: &Row| (shift.left_s..=shift.home_s).contains(&r.time_s);
        let Some(pressed) = self.rows.iter().position(|r| inside(r) && r.released < PRESSED) else { return };
        let falls = (1..=pressed).rev().take_while(|i| self.rows[*i].released < self.rows[*i - 1].released - 1e-3);
        let Some(begun) = falls.last().map(|i| i - 1).filter(|i| inside(&self.rows[*i])) else { return };
        shift.left_s = self.rows[begun].time_s;
        shift.engine_radps =
            shift.engine_radps.map(|w| Some(self.rows[begun].engine_radps).filter(|w| *w > 0.0).unwrap_or(w));
    }

    /// Mean time of the shifts that are over by `until_s` with the pedal down, s; nothing without a pedal, or where none is.
    pub(super) fn shift_s(&self, until_s: f64) -> Option<f64> {
        let shown = self.has_pedal && !self.is_sparse;
        let made: Vec<f64> =
            self.shifts.iter().filter(|s| s.home_s < until_s && shown).map(|s| s.home_s - s.left_s).collect();
        (!made.is_empty()).then(|| made.iter().sum::<f64>() / made.len() as f64)
    }

    /// Engine speed held before the start: the middle one over the last second before the pedal moves, rad/s.
    pub(super) fn held_radps(&self) -> Option<f64> {
        let moves_s = self.release().map_or(-0.1, |(from_s, _)| from_s);
        let mut held: Vec<f64> = self
            .rows
            .iter()
            .filter(|r| (moves_s - 0.8..=moves_s).contains(&r.time_s) && r.engine_radps > 0.0)
            .map(|r| r.engine_radps)
            .collect();
        held.sort_by(f64::total_cmp);
        held.get(held.len() / 2).copied()
    }

    /// Engine speed at a time, rad/s.
    pub(super) fn engine_at(&self, time_s: f64) -> Option<f64> {
        self.rows.iter().rfind(|r| r.time_s <= time_s && r.engine_radps > 0.0).map(|r| r.engine_radps)
    }

    /// The widest throttle of the start; nothing without one.
    pub(super) fn widest(&self) -> Option<f64> {
        self.has_throttle.then(|| self.rows.iter().map(|r| r.throttle).fold(0.0, f64::max)).filter(|w| *w > 0.3)
    }

    /// When the throttle first reaches a share of its widest, s.
    pub(super) fn throttle_reaches_s(&self, share: f64) -> Option<f64> {
        let widest = self.widest()?;
        self.rows.iter().find(|r| r.time_s > -1.0 && r.throttle >= share * widest).map(|r| r.time_s)
    }

    /// When the throttle is first wide open, s.
    pub(super) fn wide_open_s(&self) -> Option<f64> {
        self.throttle_reaches_s(WIDE)
    }

    /// Time for the pedal from pressed to released, s, if it moves along the recommended launch's shape.
    pub(super) fn release_s(&self, best: &Yardstick) -> Option<f64> {
        let (from_s, to_s) = self.release()?;
        let (shape, bite) = (best.launch.release_shape, best.vehicle.clutch.bite_point);
        Some((to_s - from_s) / (shape.share_at(0.95, bite) - shape.share_at(0.05, bite)))
    }

    /// Time from a twentieth to nineteen twentieths of the pedal's way up, s.
    pub(super) fn pedal_up_s(&self) -> Option<f64> {
        self.release().map(|(from_s, to_s)| to_s - from_s)
    }

    /// When the clutch is fully engaged, s from first movement: where the engine first turns as first gear asks, or the pedal is up before
    /// that on spinning tyres; nothing without engine speed, or where neither is seen.
    pub(super) fn engaged_s(&self, first_ratio: f64) -> Option<f64> {
        /// An engine ahead of the road by less than this turns with it, m/s.
        const WITH_MPS: f64 = 0.7;
        let left_s = self.shifts.first().map_or(f64::INFINITY, |s| s.left_s);
        let meets = |r: &&Row| {
            let ahead_mps = r.engine_radps / first_ratio - r.speed_mps;
            r.time_s > 0.0 && r.time_s < left_s && r.speed_mps > 1.0 && ahead_mps < WITH_MPS.max(0.05 * r.speed_mps)
        };
        let met_s = self.rows.iter().find(meets).map(|r| r.time_s);
        let up_s = self.release().map(|(_, to_s)| to_s);
        match (met_s, up_s) {
            (Some(met_s), Some(up_s)) => Some(met_s.min(up_s)),
            (met_s, up_s) => met_s.or(up_s),
        }
    }

    /// Mean engine speed from first movement until the clutch is fully engaged, rad/s.
    pub(super) fn kept_radps(&self, first_ratio: f64) -> Option<f64> {
        let until_s = self.engaged_s(first_ratio).filter(|_| self.has_engine && !self.is_sparse)?;
        let slipping: Vec<f64> = self
            .rows
            .iter()
            .filter(|r| (0.0..until_s).contains(&r.time_s) && r.engine_radps > 0.0)
            .map(|r| r.engine_radps)
            .collect();
        (slipping.len() > 2).then(|| slipping.iter().sum::<f64>() / slipping.len() as f64)
    }

    /// When the pedal passes a position on its way up, s.
    pub(super) fn pedal_passes_s(&self, position: f64) -> Option<f64> {
        let (from_s, to_s) = self.release()?;
        let rows: Vec<&Row> = self.rows.iter().filter(|r| r.released.is_finite() && r.time_s < to_s + 0.5).collect();
        let k = rows.iter().position(|r| r.time_s >= from_s && r.released >= position)?;
        let b = rows[k];
        let Some(a) = k.checked_sub(1).map(|k| rows[k]) else { return Some(b.time_s) };
        let share = ((position - a.released) / (b.released - a.released)).clamp(0.0, 1.0);
        Some(if share.is_finite() { a.time_s + share * (b.time_s - a.time_s) } else { b.time_s })
    }

    /// When the pedal passed a twentieth and when nineteen twentieths of its way, s. One that is pressed again for a shift before it is out is
    /// taken to have gone on as it came.
    pub(super) fn release(&self) -> Option<(f64, f64)> {
        self.pedal_up().filter(|_| !self.is_sparse)
    }

    fn pedal_up(&self) -> Option<(f64, f64)> {
        if !self.has_pedal {
            return None;
        }
        let half_out = self.rows.iter().position(|r| r.time_s > -0.3 && r.released >= 0.5)?;
        let pressed = self.rows[..half_out].iter().rposition(|r| r.released <= 0.05)?;
        let mut top = half_out;
        for (i, row) in self.rows.iter().enumerate().skip(half_out) {
            if row.released >= self.rows[top].released {
                top = i;
            }
            if self.rows[top].released >= 0.95 || row.released < self.rows[top].released - 0.1 {
                break;
            }
        }
        let cross = |k: usize, level: f64| {
            let (a, b) = (&self.rows[k], &self.rows[k + 1]);
            let share = ((level - a.released) / (b.released - a.released)).clamp(0.0, 1.0);
            a.time_s + if share.is_finite() { share } else { 1.0 } * (b.time_s - a.time_s)
        };
        let from_s = cross(pressed, 0.05);
        if self.rows[top].released >= 0.95 {
            return Some((from_s, cross(top - 1, 0.95)));
        }
        let part = (self.rows[top].released - 0.05) / 0.9;
        Some((from_s, from_s + (self.rows[top].time_s - from_s) / part))
    }
}

fn motion(run: &MeasuredRun, time_s: f64) -> (f64, f64) {
    let curve = &run.curve;
    let k = curve.partition_point(|p| p.time_s <= time_s);
    if k == 0 || curve.is_empty() {
        return (0.0, 0.0);
    }
    let (a, b) = (&curve[k - 1], &curve[k.min(curve.len() - 1)]);
    let share = if b.time_s > a.time_s { (time_s - a.time_s) / (b.time_s - a.time_s) } else { 0.0 };
    let mix = |x: f64, y: f64| x + share * (y - x);
    (mix(a.speed_mps, b.speed_mps), mix(a.acceleration_mps2, b.acceleration_mps2))
}

/// Turns the pedal's channel to 0 pressed, 1 released: before the start it is pressed. Whether there is one.
fn orient_pedal(rows: &mut [Row]) -> bool {
    let median = |values: Vec<f64>| {
        let mut values: Vec<f64> = values.into_iter().filter(|v| v.is_finite()).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    let end_s = rows.last().map_or(0.0, |r| r.time_s);
    let of = |from_s: f64, to_s: f64| {
        median(rows.iter().filter(|r| (from_s..=to_s).contains(&r.time_s)).map(|r| r.released).collect())
    };
    let both = of(-2.0, -0.6).or_else(|| of(-2.0, -0.2)).zip(of(0.4 * end_s, end_s));
    let travel = both.filter(|(pressed, released)| (pressed - released).abs() > LEAST_TRAVEL);
    for row in rows.iter_mut() {
        row.released = travel
            .map_or(f64::NAN, |(pressed, released)| ((row.released - pressed) / (released - pressed)).clamp(0.0, 1.0));
    }
    travel.is_some()
}
