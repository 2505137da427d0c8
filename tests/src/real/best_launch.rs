//! The best of many starts, as a tester would look for it: held revs, clutch release, throttle, shift speed.
//!
//! A coarse grid and two rounds of finer steps around its best point. The launch planner of the runner looks further; here every
//! car is to be driven well, by the same simple rule.

use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::timing::Passed;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

/// How a car is driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Held engine speed, as a share of the way from idle to the redline.
    pub held_share: f64,
    /// Clutch release, s.
    pub release_s: f64,
    /// Throttle ease, s.
    pub ease_s: f64,
    /// Shift speed over the redline.
    pub shift_share: f64,
    /// Whether the foot stays down when the tyres spin; else it answers as the scenario says.
    pub keeps_foot_down: bool,
}

/// What a tester may try.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tester {
    /// Whether keeping the foot down through wheelspin is tried as well.
    pub may_keep_foot_down: bool,
    /// Most revs to hold, rad/s.
    pub most_held_radps: f64,
}

impl Tester {
    /// Tries all.
    pub const FREE: Self = Self { may_keep_foot_down: true, most_held_radps: f64::INFINITY };
}

/// The best start that was found, and its run.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// The start.
    pub start: Start,
    /// The scenario with that start.
    pub scenario: Scenario,
    /// Its run.
    pub run: Run,
}

const HELD_SHARES: [f64; 6] = [0.10, 0.20, 0.30, 0.45, 0.60, 0.80];
const RELEASES_S: [f64; 5] = [0.3, 0.6, 1.0, 1.6, 2.5];
const EASES_S: [f64; 4] = [0.1, 0.5, 1.2, 2.5];
const SHIFT_SHARES: [f64; 4] = [0.97, 0.94, 0.90, 0.86];

/// Looks for the start with the shortest quarter mile; `scenario` says all else, and its shift speed is the redline. None if no
/// start of the search gets the car to the finish.
#[must_use]
pub fn best_launch(vehicle: &Vehicle, scenario: &Scenario, tester: Tester) -> Option<Best> {
    let mut search = Search { vehicle, scenario, tester, best: None };
    let feet: &[bool] = if tester.may_keep_foot_down { &[false, true] } else { &[false] };
    for &keeps_foot_down in feet {
        for held_share in HELD_SHARES {
            for release_s in RELEASES_S {
                for ease_s in EASES_S {
                    search.drive(Start { held_share, release_s, ease_s, shift_share: 1.0, keeps_foot_down });
                }
            }
        }
    }
    for (held_step, release_step, ease_step) in [(0.06, 1.3, 1.5), (0.03, 1.15, 1.2)] {
        for sign in [-1, 1] {
            search.step(|s| s.held_share = (s.held_share + held_step * f64::from(sign)).max(0.02));
            search.step(|s| s.release_s *= f64::powi(release_step, sign));
            search.step(|s| s.ease_s *= f64::powi(ease_step, sign));
        }
    }
    for shift_share in SHIFT_SHARES {
        search.step(|s| s.shift_share = shift_share);
    }
    search.best
}

struct Search<'a> {
    vehicle: &'a Vehicle,
    scenario: &'a Scenario,
    tester: Tester,
    best: Option<Best>,
}

impl Search<'_> {
    fn step(&mut self, change: impl Fn(&mut Start)) {
        if let Some(best) = &self.best {
            let mut start = best.start;
            change(&mut start);
            self.drive(start);
        }
    }

    fn drive(&mut self, start: Start) {
        let mut scenario = with_start(self.vehicle, self.scenario, start);
        scenario.driver.held_radps = scenario.driver.held_radps.min(self.tester.most_held_radps);
        // A start that the model cannot follow is one that the tester does not repeat.
        let Ok(run) = simulate(self.vehicle, &scenario, &Tolerances::default()) else { return };
        let Some(time_s) = gate(&run, "1320 ft").map(|p| p.time_s) else { return };
        let is_best =
            self.best.as_ref().and_then(|best| gate(&best.run, "1320 ft")).is_none_or(|best| time_s < best.time_s);
        if is_best {
            self.best = Some(Best { start, scenario, run });
        }
    }
}

fn with_start(vehicle: &Vehicle, scenario: &Scenario, start: Start) -> Scenario {
    let mut scenario = scenario.clone();
    let driver = &mut scenario.driver;
    let redline = driver.shift_at_radps.first().copied().unwrap_or(vehicle.engine.limiter.cut_radps);
    let idle = vehicle.engine.idle_radps;
    driver.held_radps = idle + start.held_share * (redline - idle);
    driver.release_s = start.release_s;
    driver.throttle_ease_s = start.ease_s;
    driver.shift_at_radps = vec![start.shift_share * redline];
    if start.keeps_foot_down {
        driver.wheelspin = WheelspinResponse::None;
    }
    scenario
}

/// When a run passed a gate.
#[must_use]
pub fn gate(run: &Run, name: &str) -> Option<Passed> {
    run.gates.iter().find(|g| g.name == name).and_then(|g| g.passed)
}
