//! What becomes of a launch over many starts: the driver scatters, and the car is not surely known.
//!
//! Every launch is judged by the same starts (common random numbers), so that two launches differ by what was planned and not by luck.
//! Within one start all shifts scatter alike: who is late in one is late in the next.

use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_inputs::scenario_keys as keys;
use bitepoint_physics::driver::{Driver, WheelspinResponse};
use bitepoint_physics::run::{Run, Story};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;
use serde::Serialize;

use super::decision::Decision;
use super::judge::Judge;
use super::verdict::Verdict;
use crate::bands::{Band, deviate};
use crate::case::Case;
use crate::launch::Launch;

/// Starts of one driver, the same for every launch.
pub struct Starts<'a> {
    judge: &'a Judge<'a>,
    drawn: Vec<Drawn>,
}

/// One start: how far the driver is off, and the car and day if they are not as expected.
struct Drawn {
    scatter: [f64; Decision::LAUNCH.len()],
    slip_lag_s: f64,
    shift_at_radps: f64,
    shift_reaction_s: f64,
    car: Option<Box<(Vehicle, Scenario)>>,
}

/// What comes of a launch over many starts.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Expectation {
    /// Starts that were made.
    pub starts: u32,
    /// Mean time to the target, s; each failed start counted as the time of a stall and another go.
    pub mean_s: f64,
    /// From the 5th to the 95th percentile of the starts that got there; nothing if none did.
    pub band: Option<Band>,
    /// Starts that stalled, rolled back or never got there.
    pub failed: u32,
    /// Starts with wheelspin.
    pub spins: u32,
    /// Starts that bogged.
    pub bogs: u32,
    /// Starts whose clutch slipped for long.
    pub slips: u32,
    /// Starts that exceeded a limit.
    pub over_limits: u32,
}

/// A failed start costs this much over the mean of the others, s: clutch down, restart, revs up, go (from memory).
pub const FAILED_COSTS_S: f64 = 5.0;
/// Fraction of the starts that may exceed a limit: who asks for a limit does not mean half of them.
pub const MAY_EXCEED: f64 = 0.25;
/// Deviates are clipped to this, as everywhere.
const CLIP: f64 = 3.0;
/// Least a release, an ease and a lag can come down to, s.
const LEAST_S: f64 = 0.02;

/// Factor on the scatter of a driver on a bad day, and how many starts such a day has.
const BAD_DAY: f64 = 1.5;
const BAD_DAY_STARTS: u32 = 48;
const BAD_DAY_SEED: u32 = 1;

/// Starts of a small balanced set.
const BALANCED: u32 = 4;
/// Columns of an orthogonal array of four runs, by bits of the run's number: every pair of columns holds each pair of signs equally
/// often, so that single errors cancel in a mean and those of different columns do not mix (G. Taguchi's L4; a Hadamard matrix).
const COLUMNS: [u32; 3] = [1, 2, 3];

/// One standard deviation up or down for a column of the balanced set.
fn balanced(column: usize, start: u32) -> f64 {
    if (COLUMNS[column % COLUMNS.len()] & start).count_ones().is_multiple_of(2) { 1.0 } else { -1.0 }
}

/// A column for a key: the same for the same key.
fn column_of(key: &str) -> usize {
    key.bytes().fold(0_usize, |sum, byte| sum.wrapping_mul(31).wrapping_add(usize::from(byte)))
}

impl<'a> Starts<'a> {
    /// So many starts of this driver with the car as expected.
    #[must_use]
    pub fn new(judge: &'a Judge<'a>, scatter: &DriverScatter, starts: u32, seed: u32) -> Self {
        let normal = |draw: u32| move |key: &str| deviate(key, draw, seed).clamp(-CLIP, CLIP);
        Self { judge, drawn: (0..starts).map(|draw| Drawn::of(scatter, &normal(draw), None)).collect() }
    }

    /// Starts of a driver on a bad day, who scatters half as much again: what stalls in none of them hardly ever stalls on others.
    #[must_use]
    pub(super) fn on_a_bad_day(judge: &'a Judge<'a>, scatter: &DriverScatter) -> Self {
        let normal = |draw: u32| move |key: &str| BAD_DAY * deviate(key, draw, BAD_DAY_SEED).clamp(-CLIP, CLIP);
        Self { judge, drawn: (0..BAD_DAY_STARTS).map(|draw| Drawn::of(scatter, &normal(draw), None)).collect() }
    }

    /// How many of the starts do not get there.
    pub(super) fn failures(&self, launch: &Launch) -> usize {
        let runs = self.runs(launch);
        runs.len() - self.times_s(&runs).len()
    }

    /// Times of the runs that get there, s.
    fn times_s(&self, runs: &[Option<Run>]) -> Vec<f64> {
        runs.iter().flatten().filter_map(|run| self.judge.target.time_s(run)).collect()
    }

    /// The same, with the car and the day drawn from what is not surely known of them.
    #[must_use]
    pub fn of_unknown(judge: &'a Judge<'a>, case: &Case, scatter: &DriverScatter, starts: u32, seed: u32) -> Self {
        let drawn = (0..starts).map(|draw| {
            let normal = |key: &str| deviate(key, draw, seed).clamp(-CLIP, CLIP);
            Drawn::of(scatter, &normal, Some(judge.drawn(case, &normal)))
        });
        Self { judge, drawn: drawn.collect() }
    }

    /// A small balanced set for a search: driver and, if there is a case, car one standard deviation up or down.
    #[must_use]
    pub fn balanced(judge: &'a Judge<'a>, case: Option<&Case>, scatter: &DriverScatter) -> Self {
        let drawn = (0..BALANCED).map(|start| {
            let of_driver = |key: &str| {
                let place = Decision::LAUNCH.iter().position(|d| d.scatter_key().path == key);
                balanced(place.unwrap_or_else(|| column_of(key)), start)
            };
            let of_car = |key: &str| balanced(column_of(key), start);
            Drawn::of(scatter, &of_driver, case.map(|case| judge.drawn(case, &of_car)))
        });
        Self { judge, drawn: drawn.collect() }
    }

    /// The runs of a launch, in the order of the starts; nothing for one that could not be computed.
    #[must_use]
    pub fn runs(&self, launch: &Launch) -> Vec<Option<Run>> {
        self.drawn
            .par_iter()
            .map(|drawn| if self.judge.called_off() { None } else { drawn.run(self.judge, launch) })
            .collect()
    }

    /// What becomes of a launch: its expected time if it does well done exactly, and no more than [`MAY_EXCEED`] of the starts exceed a
    /// limit; with the run done exactly.
    #[must_use]
    pub fn verdict(&self, launch: &Launch) -> (Verdict, Option<Run>) {
        let planned = self.judge.run(launch).ok();
        let exactly = self.judge.verdict_on(launch, planned.as_ref());
        (self.verdict_with(launch, exactly, planned.as_ref()), planned)
    }

    /// The same, with what became of the launch done exactly, and its run.
    #[must_use]
    pub(super) fn verdict_with(&self, launch: &Launch, exactly: Verdict, planned: Option<&Run>) -> Verdict {
        if exactly.time_s().is_none() {
            return exactly;
        }
        let mut runs = self.runs(launch);
        let excess: Vec<f64> = runs.iter().flatten().map(|run| self.judge.always.excess(run)).collect();
        let over = excess.iter().filter(|e| **e > 0.0).count() as f64;
        if over > MAY_EXCEED * runs.len() as f64 {
            return Verdict::OverLimit(excess.iter().sum::<f64>() / excess.len() as f64);
        }
        // The start that comes off counts as one of them.
        runs.push(planned.cloned());
        self.mean_s(&runs).map_or(Verdict::NotReached(1.0), Verdict::Arrives)
    }

    /// Mean time over runs, s, each failed one counted as [`FAILED_COSTS_S`] over the mean of the others; nothing if all failed.
    fn mean_s(&self, runs: &[Option<Run>]) -> Option<f64> {
        let times = self.times_s(runs);
        if times.is_empty() {
            return None;
        }
        let failed = (runs.len() - times.len()) as f64 / runs.len() as f64;
        Some(times.iter().sum::<f64>() / times.len() as f64 + failed * FAILED_COSTS_S)
    }

    /// Expected time of a launch, s; nothing if no start gets there.
    #[must_use]
    pub fn mean_time_s(&self, launch: &Launch) -> Option<f64> {
        self.mean_s(&self.runs(launch))
    }

    /// What comes of a launch.
    #[must_use]
    pub fn expectation(&self, launch: &Launch) -> Expectation {
        let runs = self.runs(launch);
        let times = self.times_s(&runs);
        let count = |story: Story| runs.iter().flatten().filter(|run| run.launch.story == story).count() as u32;
        Expectation {
            starts: runs.len() as u32,
            mean_s: self.mean_s(&runs).unwrap_or(f64::INFINITY),
            failed: (runs.len() - times.len()) as u32,
            band: (!times.is_empty()).then(|| Band::of(times)),
            spins: count(Story::Spin),
            bogs: count(Story::Bog),
            slips: count(Story::Slip),
            over_limits: runs.iter().flatten().filter(|run| !self.judge.always.kept_by(run)).count() as u32,
        }
    }
}

impl Judge<'_> {
    /// A car and a day drawn from what is not surely known of them, the day ended at the target.
    fn drawn(&self, case: &Case, normal: &dyn Fn(&str) -> f64) -> Box<(Vehicle, Scenario)> {
        let (vehicle, scenario) = case.drawn(self.vehicle, normal);
        Box::new((vehicle, self.target.ending(&scenario)))
    }
}

/// A driver who does what is planned as well as people do it, by standard normal deviates of the keys of the scatter.
pub(crate) fn scattered(
    planned: &Driver,
    scatter: &DriverScatter,
    vehicle: &Vehicle,
    normal: &dyn Fn(&str) -> f64,
) -> Driver {
    Drawn::of(scatter, &|key| normal(key).clamp(-CLIP, CLIP), None).driver(&Launch::of(planned), planned, vehicle)
}

impl Drawn {
    fn of(scatter: &DriverScatter, normal: &dyn Fn(&str) -> f64, car: Option<Box<(Vehicle, Scenario)>>) -> Self {
        Self {
            scatter: Decision::LAUNCH.map(|d| d.scatter(scatter) * normal(d.scatter_key().path)),
            slip_lag_s: scatter.slip_lag_s * normal(keys::SCATTER_SLIP_LAG.path),
            shift_at_radps: scatter.shift_at_radps * normal(keys::SCATTER_SHIFT_AT.path),
            shift_reaction_s: scatter.shift_reaction_s * normal(keys::SCATTER_SHIFT_REACTION.path),
            car,
        }
    }

    fn run(&self, judge: &Judge<'_>, launch: &Launch) -> Option<Run> {
        let (vehicle, day) = match &self.car {
            Some(car) => (&car.0, &car.1),
            None => (judge.vehicle, &judge.scenario),
        };
        judge.run_of(vehicle, &Scenario { driver: self.driver(launch, &day.driver, vehicle), ..day.clone() }).ok()
    }

    /// What the driver does in this start, who planned `launch`.
    fn driver(&self, launch: &Launch, driver: &Driver, vehicle: &Vehicle) -> Driver {
        let mut off = launch.clone();
        for (decision, by) in Decision::LAUNCH.into_iter().zip(self.scatter) {
            let planned = decision.of(launch);
            off = decision.with(&off, decision.hit(planned, by, vehicle));
        }
        let mut driver = off.by(driver);
        // Late beyond the limiter is on the limiter: the model sees to that, but the needle must get there.
        let most = vehicle.engine.limiter.cut_radps - 2.0;
        for at in &mut driver.shift_at_radps {
            *at = (*at + self.shift_at_radps).min(most);
        }
        driver.shift_reaction_s = (driver.shift_reaction_s + self.shift_reaction_s).max(0.0);
        if let WheelspinResponse::Trimmed(trim) = &mut driver.wheelspin {
            trim.lag_s = (trim.lag_s + self.slip_lag_s).max(LEAST_S);
        }
        driver
    }
}

impl Decision {
    /// What comes of a value that is planned when the driver is off `by` so much.
    fn hit(self, planned: f64, by: f64, vehicle: &Vehicle) -> f64 {
        let engine = &vehicle.engine;
        match self {
            Self::HeldRevs => {
                let most = engine.launch_limiter.map_or(engine.limiter.cut_radps, |launch| launch.limiter.cut_radps);
                (planned + by).clamp(engine.idle_radps, most)
            }
            Self::KeptRevs => (planned + by).max(0.5 * planned),
            Self::ReleaseTime | Self::ThrottleEase => (planned + by).max(LEAST_S),
            // Who goes straight to the floor holds nothing that could be off.
            Self::PartThrottle if planned >= 1.0 => planned,
            Self::PartThrottle => (planned + by).clamp(0.05, 1.0),
            Self::ThrottleLead | Self::PartUntil | Self::ShiftRevs(_) => planned + by,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_of_the_balanced_set_are_even_and_do_not_mix() {
        for a in 0..COLUMNS.len() {
            let sum: f64 = (0..BALANCED).map(|start| balanced(a, start)).sum();
            assert_eq!(sum, 0.0, "{a}");
            for b in 0..a {
                let mixed: f64 = (0..BALANCED).map(|start| balanced(a, start) * balanced(b, start)).sum();
                assert_eq!(mixed, 0.0, "{a} and {b}");
            }
        }
    }
}
