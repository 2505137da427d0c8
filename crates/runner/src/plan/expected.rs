//! What a launch is worth to a driver whose hands and feet stray: the expected time over many starts.
//!
//! Each start strays by its own normal deviates, out of the same sequence as the bands'. Every launch is judged by the same
//! starts (common random numbers), so that two launches differ by what was planned and not by luck. Within one start all shifts
//! stray alike: who is late in one is late in the next.

use std::sync::{Mutex, PoisonError};

use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_inputs::scenario_keys as keys;
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::run::{Run, Story};
use bitepoint_physics::vehicle::Scenario;
use rayon::prelude::*;
use serde::Serialize;

use super::decision::Decision;
use super::judge::Judge;
use crate::bands::{Band, deviate};
use crate::launch::Launch;

/// Starts of a driver who strays, the same for every launch.
pub struct Starts<'a> {
    judge: &'a Judge<'a>,
    strays: Vec<Stray>,
    /// What a start that does not get there is counted as, s.
    botched_s: f64,
}

/// The same starts for few launches that are asked for again and again: what each is worth is worked out once.
pub(super) struct Remembered<'a> {
    starts: Starts<'a>,
    known: Mutex<Vec<(Launch, f64)>>,
}

impl<'a> Remembered<'a> {
    pub(super) fn new(starts: Starts<'a>) -> Self {
        Self { starts, known: Mutex::new(Vec::new()) }
    }

    /// As [`Starts::worth`].
    pub(super) fn worth(&self, launch: &Launch) -> f64 {
        let known = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, worth)) = known().iter().find(|(of, _)| of == launch) {
            return *worth;
        }
        let worth = self.starts.worth(launch);
        known().push((launch.clone(), worth));
        worth
    }
}

/// By how much one start strays.
#[derive(Debug, Clone, Copy)]
struct Stray {
    held_radps: f64,
    release_s: f64,
    throttle_ease_s: f64,
    part_throttle: f64,
    slip_lag_s: f64,
    shift_at_radps: f64,
    shift_reaction_s: f64,
}

/// What comes of a launch over the starts of a driver who strays.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Expectation {
    /// Starts that were made.
    pub starts: u32,
    /// Mean time to the target, s; each botched start counted as the time of a stall and another go.
    pub mean_s: f64,
    /// From the 5th to the 95th percentile of the starts that got there; nothing if none did.
    pub band: Option<Band>,
    /// Starts that stalled, rolled back or never got there.
    pub botched: u32,
    /// Starts with wheelspin.
    pub spins: u32,
    /// Starts that bogged.
    pub bogs: u32,
    /// Starts whose clutch slipped for long.
    pub slips: u32,
    /// Starts that exceeded a limit.
    pub over_limits: u32,
}

/// A stall costs this much over the best possible time, s: clutch down, restart, revs up, go (from memory). The same for every launch, so
/// that it does not pay to be slow.
pub const BOTCHED_COSTS_S: f64 = 5.0;
/// Starts that may exceed a limit, as a share: who asks for a limit does not mean half of the starts.
pub const MAY_EXCEED: f64 = 0.05;
/// Deviates are clipped to this, as everywhere.
const CLIP: f64 = 3.0;
/// Least a throttle can come down to: what holds the revs.
const LEAST_THROTTLE: f64 = 0.05;
/// Least a release and an answer can come down to, s.
const LEAST_S: f64 = 0.02;

impl<'a> Starts<'a> {
    /// So many starts; `best_s` is the best possible time.
    #[must_use]
    pub fn new(judge: &'a Judge<'a>, scatter: &DriverScatter, starts: u32, seed: u32, best_s: f64) -> Self {
        let strays = (0..starts)
            .map(|draw| {
                let normal = |key: &str| deviate(key, draw, seed).clamp(-CLIP, CLIP);
                Stray {
                    held_radps: scatter.held_radps * normal(keys::SCATTER_REVS.path),
                    release_s: scatter.release_s * normal(keys::SCATTER_RELEASE.path),
                    throttle_ease_s: scatter.throttle_ease_s * normal(keys::SCATTER_EASE.path),
                    part_throttle: scatter.part_throttle * normal(keys::SCATTER_PART.path),
                    slip_lag_s: scatter.slip_lag_s * normal(keys::SCATTER_SLIP_LAG.path),
                    shift_at_radps: scatter.shift_at_radps * normal(keys::SCATTER_SHIFT_AT.path),
                    shift_reaction_s: scatter.shift_reaction_s * normal(keys::SCATTER_SHIFT_REACTION.path),
                }
            })
            .collect();
        Self { judge, strays, botched_s: best_s + BOTCHED_COSTS_S }
    }

    /// The first `starts` of them.
    #[must_use]
    pub fn first(&self, starts: usize) -> Self {
        let strays = self.strays[..starts.min(self.strays.len())].to_vec();
        Self { judge: self.judge, strays, botched_s: self.botched_s }
    }

    /// The scenario of one start.
    fn driven(&self, launch: &Launch, stray: Stray) -> Scenario {
        let mut scenario = self.judge.driven(launch);
        let driver = &mut scenario.driver;
        let vehicle = self.judge.vehicle;
        let (_, most_held) = Decision::HeldRevs.range(vehicle);
        driver.held_radps = (driver.held_radps + stray.held_radps).clamp(vehicle.engine.idle_radps, most_held);
        driver.release_s = (driver.release_s + stray.release_s).max(LEAST_S);
        driver.throttle_ease_s = (driver.throttle_ease_s + stray.throttle_ease_s).max(0.0);
        if let Some(part) = &mut driver.part_throttle {
            // A foot that finds the floor is straight to wide open.
            part.held = (part.held + stray.part_throttle).clamp(LEAST_THROTTLE, 1.0);
        }
        // Late beyond the limiter is on the limiter: the model sees to that, but the needle must get there.
        let most = Decision::ShiftRevs(0).range(vehicle).1;
        for at in &mut driver.shift_at_radps {
            *at = (*at + stray.shift_at_radps).min(most);
        }
        driver.shift_reaction_s = (driver.shift_reaction_s + stray.shift_reaction_s).max(0.0);
        if let WheelspinResponse::Trimmed(trim) = &mut driver.wheelspin {
            trim.lag_s = (trim.lag_s + stray.slip_lag_s).max(LEAST_S);
        }
        scenario
    }

    /// The runs of a launch, in the order of the starts; nothing for one that could not be computed.
    #[must_use]
    pub fn runs(&self, launch: &Launch) -> Vec<Option<Run>> {
        self.strays
            .par_iter()
            .map(|stray| {
                if self.judge.called_off() {
                    return None;
                }
                self.judge.run_of(&self.driven(launch, *stray)).ok()
            })
            .collect()
    }

    /// What comes of a launch.
    #[must_use]
    pub fn expectation(&self, launch: &Launch) -> Expectation {
        let runs = self.runs(launch);
        let times: Vec<f64> = runs.iter().flatten().filter_map(|run| self.judge.target.time_s(run)).collect();
        let count = |story: Story| runs.iter().flatten().filter(|run| run.launch.story == story).count() as u32;
        Expectation {
            starts: runs.len() as u32,
            mean_s: self.mean_s(&runs),
            botched: (runs.len() - times.len()) as u32,
            band: (!times.is_empty()).then(|| Band::of(times)),
            spins: count(Story::Spin),
            bogs: count(Story::Bog),
            slips: count(Story::Slip),
            over_limits: runs.iter().flatten().filter(|run| !self.judge.limits.kept_by(run)).count() as u32,
        }
    }

    fn mean_s(&self, runs: &[Option<Run>]) -> f64 {
        let sum: f64 = runs
            .iter()
            .map(|run| {
                run.as_ref()
                    .and_then(|run| self.judge.target.time_s(run))
                    .map_or(self.botched_s, |t| t.min(self.botched_s))
            })
            .sum();
        sum / runs.len().max(1) as f64
    }

    /// Expected time of a launch, s.
    #[must_use]
    pub fn mean_time_s(&self, launch: &Launch) -> f64 {
        self.mean_s(&self.runs(launch))
    }

    /// What a launch is worth to this driver; less is better. Its expected time, if it is worth its time done as planned (see
    /// [`Judge::worth`]) and no more than [`MAY_EXCEED`] of its starts exceed a limit.
    #[must_use]
    pub fn worth(&self, launch: &Launch) -> f64 {
        let planned = self.judge.worth(launch);
        if !Judge::is_time(planned) {
            return planned;
        }
        let runs = self.runs(launch);
        if !self.judge.limits.are_none() {
            let excess: Vec<f64> = runs.iter().flatten().map(|run| self.judge.limits.excess(run)).collect();
            let over = excess.iter().filter(|e| **e > 0.0).count() as f64;
            if over > MAY_EXCEED * runs.len() as f64 {
                return Judge::beyond_limits(excess.iter().sum::<f64>() / excess.len() as f64);
            }
        }
        self.mean_s(&runs)
    }
}
