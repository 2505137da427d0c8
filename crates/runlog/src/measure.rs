//! Times a standing start: gates, traps and times between speeds, each with its error.

use bitepoint_physics::timing::{GATES, Mark};
use rand_distr::{Distribution, StandardUniform};
use rand_pcg::Pcg64Mcg;
use serde::Serialize;

use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::gates::{Crossing, ROLLING, TRAP_GATES, crossing, trap_begins_m};
use crate::log::{Log, Note, Stretch};
use crate::motion::{Path, Workspace, draw};
use crate::posterior::{Cell, posterior};
use crate::series::Series;
use crate::start::Start;
use crate::track::Track;

/// Rollout of the trade, m: one foot.
pub const ROLLOUT_M: f64 = 0.3048;
/// Paths that are drawn: the ends of a 95 % interval are then good to some 6 % of its width.
const DRAWS: usize = 600;
/// A gate counts as passed if all but this share of the paths pass it.
const MISSING: f64 = 0.03;
/// Share by which the log's own distance may differ without a word.
const OTHER_DISTANCE: f64 = 0.01;
/// Time between the points of the curve, s.
const CURVE_S: f64 = 0.05;

/// A gate of a measured run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeasuredGate {
    /// Name as people say it.
    pub name: &'static str,
    /// Its mark.
    pub mark: Mark,
    /// When it was passed; nothing if the run was over before.
    pub passed: Option<MeasuredPassing>,
}

/// How a gate was passed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeasuredPassing {
    /// Time from the car's first movement, s.
    pub time_s: Estimate,
    /// Time from the end of the rollout, s; nothing for a mark within it.
    pub with_rollout_s: Option<Estimate>,
    /// Speed there, m/s.
    pub speed_mps: Estimate,
    /// Distance covered there, m.
    pub distance_m: Estimate,
}

/// A number with a name.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Named {
    /// Name as people say it.
    pub name: &'static str,
    /// The number; nothing if the run was over before.
    pub value: Option<Estimate>,
}

/// The motion at one moment: means and standard errors.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Time from first movement, s.
    pub time_s: f64,
    /// Distance, m.
    pub distance_m: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Its standard error, m/s.
    pub speed_sd_mps: f64,
    /// Acceleration, m/s².
    pub acceleration_mps2: f64,
    /// Its standard error, m/s².
    pub acceleration_sd_mps2: f64,
}

/// A standing start, timed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeasuredRun {
    /// The start that this is of.
    pub start: Start,
    /// First movement on the log's clock, as its speed shows it (late by the speed's latency), s.
    pub first_movement_s: Estimate,
    /// Every gate, in the order of `physics::timing::GATES`.
    pub gates: Vec<MeasuredGate>,
    /// Mean speeds over the last 66 ft before 660 and 1320 ft, m/s.
    pub traps_mps: Vec<Named>,
    /// Times between speeds, s.
    pub rolling_s: Vec<Named>,
    /// The motion from first movement on.
    pub curve: Vec<CurvePoint>,
    /// Time between measurements of the speed, s.
    pub period_s: f64,
    /// Noise of the speed, m/s, with what its steps add.
    pub noise_mps: f64,
    /// Step in which speeds come, m/s.
    pub quantum_mps: Option<f64>,
    /// What limits these numbers.
    pub notes: Vec<Note>,
}

/// Everything that is read off one path.
#[derive(Default)]
struct Reading {
    start_s: f64,
    rollout_s: Option<f64>,
    gates: Vec<Option<Crossing>>,
    traps: Vec<Option<f64>>,
}

/// Times one of a log's starts. `rollout_m` is the distance that the clock gives away. The same log gives the same numbers
/// to the last bit. Nothing if the stretch has too few speeds.
#[must_use]
pub fn measure(log: &Log, start: &Start, rollout_m: f64) -> Option<MeasuredRun> {
    let stretch = log.stretches.get(start.stretch)?;
    let track = Track::of(stretch)?;
    let posterior = posterior(&track, start)?;
    // Any seed would do, so long as it stays.
    let mut rng = Pcg64Mcg::new(0x5eed);
    let (mut work, mut path) = (Workspace::default(), Path::default());
    let mut readings = Vec::with_capacity(DRAWS);
    let mut curve = CurveSums::default();
    let until_s = start.ended_s + 0.5 * track.period_s;
    for i in 0..DRAWS {
        // One draw from each of as many equal shares of the weight.
        let uniform: f64 = StandardUniform.sample(&mut rng);
        let cell = pick(&posterior.cells, (i as f64 + uniform) / DRAWS as f64)?;
        let within: f64 = StandardUniform.sample(&mut rng);
        let mut parameters = cell.parameters;
        parameters.start_s += (within - 0.5) * cell.width_s;
        draw(&posterior.nodes, &parameters, &mut rng, &mut work, &mut path);
        readings.push(read(&path, rollout_m, until_s));
        curve.add(&path, until_s);
    }
    let starts: Vec<f64> = readings.iter().map(|r| r.start_s).collect();
    Some(MeasuredRun {
        start: *start,
        first_movement_s: Estimate::of_draws(&starts)?,
        gates: GATES.iter().enumerate().map(|(i, gate)| measured(&readings, i, gate.name, gate.mark)).collect(),
        traps_mps: TRAP_GATES
            .iter()
            .enumerate()
            .map(|(i, name)| Named { name, value: most(readings.iter().map(|r| r.traps[i])) })
            .collect(),
        rolling_s: ROLLING.iter().map(|(name, from, to)| Named { name, value: between(&readings, from, to) }).collect(),
        curve: curve.points(),
        period_s: track.period_s,
        noise_mps: posterior.noise_mps,
        quantum_mps: track.quantum_mps,
        notes: notes(stretch, &track, start),
    })
}

fn pick(cells: &[Cell], share: f64) -> Option<&Cell> {
    let i = cells.partition_point(|c| c.cumulative < share);
    cells.get(i).or(cells.last())
}

fn read(path: &Path, rollout_m: f64, until_s: f64) -> Reading {
    let distance = |m: f64| crossing(path, Mark::DistanceM(m), until_s);
    let start_s = path.time_s[0];
    Reading {
        start_s,
        rollout_s: if rollout_m > 0.0 { distance(rollout_m).map(|c| c.time_s) } else { Some(start_s) },
        gates: GATES.iter().map(|g| crossing(path, g.mark, until_s)).collect(),
        traps: TRAP_GATES
            .iter()
            .map(|name| {
                let (from_m, to_m) = (trap_begins_m(name)?, crate::gates::gate_distance_m(name)?);
                Some((to_m - from_m) / (distance(to_m)?.time_s - distance(from_m)?.time_s))
            })
            .collect(),
    }
}

/// An estimate of what nearly all paths have.
fn most(draws: impl Iterator<Item = Option<f64>>) -> Option<Estimate> {
    let all: Vec<Option<f64>> = draws.collect();
    let there: Vec<f64> = all.iter().copied().flatten().collect();
    if (all.len() - there.len()) as f64 > MISSING * all.len() as f64 {
        return None;
    }
    Estimate::of_draws(&there)
}

fn measured(readings: &[Reading], gate: usize, name: &'static str, mark: Mark) -> MeasuredGate {
    let of = |value: fn(&Reading, &Crossing) -> Option<f64>| {
        most(readings.iter().map(|r| r.gates[gate].and_then(|c| value(r, &c))))
    };
    let passed = of(|r, c| Some(c.time_s - r.start_s)).and_then(|time_s| {
        Some(MeasuredPassing {
            time_s,
            with_rollout_s: of(|r, c| r.rollout_s.map(|from_s| c.time_s - from_s).filter(|s| *s >= 0.0)),
            speed_mps: of(|_, c| Some(c.speed_mps))?,
            distance_m: of(|_, c| Some(c.distance_m))?,
        })
    });
    MeasuredGate { name, mark, passed }
}

fn between(readings: &[Reading], from: &str, to: &str) -> Option<Estimate> {
    let index = |name: &str| GATES.iter().position(|g| g.name == name);
    let (from, to) = (index(from)?, index(to)?);
    most(readings.iter().map(|r| Some(r.gates[to]?.time_s - r.gates[from]?.time_s)))
}

/// Sums over paths at even times from first movement.
#[derive(Default)]
struct CurveSums {
    points: Vec<[f64; 6]>,
}

impl CurveSums {
    fn add(&mut self, path: &Path, until_s: f64) {
        let start_s = path.time_s[0];
        let last_s = path.time_s[path.time_s.len() - 1].min(until_s);
        let mut k = 1;
        for i in 0.. {
            let t = start_s + CURVE_S * f64::from(i);
            if t > last_s {
                break;
            }
            while k + 1 < path.time_s.len() && path.time_s[k] < t {
                k += 1;
            }
            let share = ((t - path.time_s[k - 1]) / (path.time_s[k] - path.time_s[k - 1])).clamp(0.0, 1.0);
            let mix = |along: &[f64]| along[k - 1] + share * (along[k] - along[k - 1]);
            let (x, v, a) = (mix(&path.distance_m), mix(&path.speed_mps), mix(&path.acceleration_mps2));
            if self.points.len() <= i as usize {
                self.points.push([0.0; 6]);
            }
            for (sum, value) in self.points[i as usize].iter_mut().zip([1.0, x, v, v * v, a, a * a]) {
                *sum += value;
            }
        }
    }

    fn points(&self) -> Vec<CurvePoint> {
        let whole = self.points.iter().enumerate().take_while(|(_, s)| s[0] >= 0.97 * DRAWS as f64);
        whole
            .map(|(i, [n, x, v, vv, a, aa])| CurvePoint {
                time_s: CURVE_S * i as f64,
                distance_m: x / n,
                speed_mps: v / n,
                speed_sd_mps: (vv / n - (v / n).powi(2)).max(0.0).sqrt(),
                acceleration_mps2: a / n,
                acceleration_sd_mps2: (aa / n - (a / n).powi(2)).max(0.0).sqrt(),
            })
            .collect()
    }
}

/// The log's own distance over the integral of its speed, from the start to the end of the run.
fn distance_factor(stretch: &Stretch, track: &Track, start: &Start) -> Option<f64> {
    let distance = Series::new(stretch.known(Channel::Distance), 5.0)?;
    let points = track.time_s.iter().copied().zip(track.speed_mps.iter().copied()).collect();
    let speed = Series::new(points, 5.0)?;
    let (from_s, to_s) = (start.stood_until_s, start.ended_s);
    let by_speed_m = speed.integral(from_s, to_s).filter(|m| *m > 30.0)?;
    Some((distance.at(to_s)? - distance.at(from_s)?) / by_speed_m)
}

fn notes(stretch: &Stretch, track: &Track, start: &Start) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut note = |what: String| notes.push(Note { line: None, what });
    if track.held {
        note(format!("rows repeat the speed, which is measured only every {:.2} s", track.period_s));
    }
    if let Some(quantum_mps) = track.quantum_mps.filter(|q| *q > 0.1) {
        note(format!("the speed comes in steps of {:.2} km/h", 3.6 * quantum_mps));
    }
    let times: Vec<f64> = track.within(start.stood_until_s, start.ended_s).map(|(t, _)| t).collect();
    let longest_s = times.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
    if longest_s > 2.5 * track.period_s {
        note(format!("the speed is missing for {longest_s:.2} s of the run"));
    }
    if let Some(factor) = distance_factor(stretch, track, start).filter(|f| (f - 1.0).abs() > OTHER_DISTANCE) {
        let percent = 100.0 * (factor - 1.0);
        note(format!(
            "the log's own distance differs by {percent:+.1} % from its speed over time, which the distance gates go by"
        ));
    }
    if matches!(start.stop, crate::start::Stop::Brief) {
        note("the car stood for a moment, if at all: too short to tell at this rate".to_owned());
    }
    notes
}
