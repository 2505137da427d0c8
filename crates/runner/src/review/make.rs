//! A review: every start of a log against the recommended launch.

use bitepoint_physics::driver::Driver;
use bitepoint_runlog::channel::Channel;
use bitepoint_runlog::estimate::Estimate;
use bitepoint_runlog::gears::{Gears, gears, known_ratios};
use bitepoint_runlog::log::Log;
use bitepoint_runlog::measure::{MeasuredRun, measure};
use bitepoint_runlog::start::Start;
use rayon::prelude::*;
use serde::Serialize;

use super::advice::{Advice, advice};
use super::cause::Cause;
use super::costs::{Costs, costs};
use super::driven::Driven;
use super::fault::{Fault, FaultKind};
use super::heat::{SessionHeat, session};
use super::launch_faults::launch_faults;
use super::sets::moments;
use super::shift_faults::shift_faults;
use super::trace::{SPARSE_S, Trace};
use super::yardstick::Yardstick;
use crate::target::Clock;

/// One measured start with what is said of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reviewed {
    /// Its times.
    pub run: MeasuredRun,
    /// Its gears, where the log has the engine's speed.
    pub gears: Option<Gears>,
    /// Engine speed held before the start, rad/s.
    pub held_radps: Option<f64>,
    /// Time for the pedal from pressed to released, s.
    pub release_s: Option<f64>,
    /// When the throttle is first wide open, s from first movement.
    pub wide_open_s: Option<f64>,
    /// Time to the target on its clock, s; nothing if the run was over before.
    pub time_s: Option<Estimate>,
    /// What went wrong, in the order of time.
    pub faults: Vec<Fault>,
    /// What that cost; nothing if the target was not reached.
    pub costs: Option<Costs>,
    /// How far the model's engine is from the log's when driven as this start was: the mean difference, as a share of the limiter's speed.
    #[serde(skip)]
    pub engine_off: Option<f64>,
    /// The driver with the launch as it was driven, for the model.
    #[serde(skip)]
    pub driver: Driver,
    /// Engine speed against time for the chart: s from first movement, rad/s.
    #[serde(skip)]
    pub engine: Vec<(f64, f64)>,
}

/// How far the starts lie apart.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Spread {
    /// Starts that reached the target.
    pub starts: usize,
    /// Index of the quickest.
    pub best: usize,
    /// Mean time, s.
    pub mean_s: f64,
    /// Standard deviation, s; nothing for one start.
    pub sd_s: Option<f64>,
}

/// A log's starts against the recommended launch.
#[derive(Debug, Clone, PartialEq)]
pub struct Review {
    /// What they are held against.
    pub best: Yardstick,
    /// The starts, in the order of the log.
    pub starts: Vec<Reviewed>,
    /// How far apart they lie; nothing if none reached the target.
    pub spread: Option<Spread>,
    /// The one thing to change next.
    pub advice: Advice,
    /// The clutch over the session.
    pub heat: SessionHeat,
    /// What this log cannot tell.
    pub untold: Vec<String>,
}

/// Times starts of a log, without those that have too few speeds. `rollout_m` is the distance that the clock gives away.
#[must_use]
pub fn timed(log: &Log, starts: &[Start], rollout_m: f64) -> Vec<MeasuredRun> {
    starts.par_iter().filter_map(|start| measure(log, start, rollout_m)).collect()
}

/// Reviews the timed starts of a log; the list is empty if it has none.
#[must_use]
pub fn review(log: &Log, runs: Vec<MeasuredRun>, best: Yardstick) -> Review {
    let ratios = known_ratios(&best.vehicle);
    let starts: Vec<Reviewed> = runs.into_par_iter().map(|run| reviewed(log, run, &ratios, &best)).collect();
    Review {
        spread: spread(&starts),
        advice: advice(&starts.iter().map(|start| start.costs.as_ref()).collect::<Vec<_>>()),
        heat: session(&starts, &best),
        untold: untold(log),
        starts,
        best,
    }
}

fn reviewed(log: &Log, run: MeasuredRun, ratios: &[f64], best: &Yardstick) -> Reviewed {
    let gears = gears(log, &run, Some(ratios));
    let trace = Trace::new(&log.stretches[run.start.stretch], &run, gears.as_ref());
    let passed = run.gates.iter().find(|g| g.name == best.target.gate).and_then(|g| g.passed);
    let time_s = passed.and_then(|p| match best.target.clock {
        Clock::FirstMovement => Some(p.time_s),
        Clock::Rollout => p.with_rollout_s,
    });
    let ended_s = run.start.ended_s - run.first_movement_s.value;
    let until_s = passed.map_or(ended_s, |p| p.time_s.value);
    let mut faults = launch_faults(&trace, until_s, best);
    let of_shifts = shift_faults(&trace, &faults, until_s, best);
    faults.extend(of_shifts);
    if passed.is_none() {
        faults.push(Fault::plain(FaultKind::EarlyLift, (ended_s, ended_s), 0.0, 1.0));
    }
    faults.retain(|f| f.from_s < until_s + 1e-9);
    faults.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    let driven = Driven::of(&trace, &faults, until_s, best);
    driven.name_clutch(&mut faults, best);
    let wide_open_s = trace.wide_open_s();
    let costs = time_s.map(|t| costs(t.value, &driven, &faults, wide_open_s, best));
    let engine_off = driven.engine_off(&trace, until_s, best);
    let launched = [Cause::HeldRevs, Cause::KeptRevs, Cause::Release];
    let driver = driven.put_into(best, launched.into_iter()).1.driver;
    let held_radps = trace.held_radps();
    let release_s = trace.release_s(best);
    let engine = trace.rows.iter().filter(|r| r.engine_radps.is_finite()).map(|r| (r.time_s, r.engine_radps)).collect();
    Reviewed { run, gears, held_radps, release_s, wide_open_s, time_s, faults, costs, engine_off, driver, engine }
}

fn spread(starts: &[Reviewed]) -> Option<Spread> {
    let times: Vec<(usize, f64)> = starts.iter().enumerate().filter_map(|(i, s)| Some((i, s.time_s?.value))).collect();
    let best = times.iter().min_by(|a, b| a.1.total_cmp(&b.1))?.0;
    let (_, mean_s, variance) = moments(&times.iter().map(|t| t.1).collect::<Vec<_>>());
    let sd_s = (times.len() > 1).then(|| variance.sqrt());
    Some(Spread { starts: times.len(), best, mean_s, sd_s })
}

fn untold(log: &Log) -> Vec<String> {
    let mut untold = Vec::new();
    let mut say = |what: &str| untold.push(what.to_owned());
    if !log.has(Channel::EngineSpeed) {
        say("without engine speed it cannot tell wheelspin, bog, clutch slip, shifts or the limiter");
    }
    if !log.has(Channel::Throttle) {
        say(
            "without throttle it cannot tell a late throttle or a lift within the run, nor a part throttle from an engine that is weaker than its file says",
        );
    }
    if !log.has(Channel::Clutch) {
        say("without the clutch pedal it cannot tell a slow release");
    }
    if log.has(Channel::EngineSpeed) && !log.has(Channel::WheelSpeed) {
        say(
            "without wheel speed it tells spinning tyres from a slipping clutch by how hard the car pulls, and only with the pedal out",
        );
    }
    if log.rate.is_some_and(|r| r.period_s > SPARSE_S) {
        say("at this rate pedal, shifts, clutch slip, short wheelspin, lifts and limiter contact pass between rows");
    }
    untold
}
