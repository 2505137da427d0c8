//! The best of many starts, as a tester would look for it: held revs, clutch release, throttle, shift speed.
//!
//! For each way of using the foot a coarse grid, and rounds of finer steps around its best point. The launch planner of the runner
//! looks further; here every car is to be driven well, by the same simple rule.

use bitepoint_physics::driver::{PartThrottle, WheelspinResponse};
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
    /// Throttle that is held first.
    pub part: PartThrottle,
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
    /// Whether a part throttle may be held.
    pub may_hold_part_throttle: bool,
    /// Most revs to hold, rad/s.
    pub most_held_radps: f64,
    /// Most that the shafts may be loaded with, over what the engine can hold there in first gear at full load.
    pub most_shaft_share: f64,
}

impl Tester {
    /// Tries all.
    pub const FREE: Self = Self {
        may_keep_foot_down: true,
        may_hold_part_throttle: true,
        most_held_radps: f64::INFINITY,
        most_shaft_share: f64::INFINITY,
    };
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
const RELEASES_S: [f64; 6] = [0.3, 0.6, 1.0, 1.6, 2.5, 4.0];
const EASES_S: [f64; 4] = [0.1, 0.5, 1.2, 2.5];
const SHIFT_SHARES: [f64; 4] = [0.97, 0.94, 0.90, 0.86];
const WIDE_OPEN: PartThrottle = PartThrottle { held: 1.0, until_mps: 0.0, open_s: 0.0 };
/// Coarser where a part throttle is looked for as well.
const PART_HELD_SHARES: [f64; 3] = [0.10, 0.30, 0.60];
const PART_RELEASES_S: [f64; 3] = [0.3, 0.8, 2.0];
const PART_THROTTLES: [f64; 4] = [0.35, 0.5, 0.65, 0.8];
/// Road speeds at which a part throttle ends: some way into the start, most of first gear, some of second, m/s.
const PART_UNTIL_MPS: [f64; 3] = [6.0, 11.0, 16.0];
/// Rounds of finer steps about the best point.
const ROUNDS: i32 = 4;

/// Looks for the start with the shortest quarter mile; `scenario` says all else, and its shift speed is the redline. None if no
/// start of the search gets the car to the finish.
#[must_use]
pub fn best_launch(vehicle: &Vehicle, scenario: &Scenario, tester: Tester) -> Option<Best> {
    let feet: &[bool] = if tester.may_keep_foot_down { &[false, true] } else { &[false] };
    let mut best: Option<Best> = None;
    for &keeps_foot_down in feet {
        for holds_part in [false, true] {
            if holds_part && !tester.may_hold_part_throttle {
                continue;
            }
            let mut search = Search { vehicle, scenario, tester, best: None };
            search.coarse(keeps_foot_down, holds_part);
            search.finer(holds_part);
            let better = |found: &Best| best.as_ref().is_none_or(|best| quarter_s(&found.run) < quarter_s(&best.run));
            best = search.best.filter(better).or(best);
        }
    }
    best
}

struct Search<'a> {
    vehicle: &'a Vehicle,
    scenario: &'a Scenario,
    tester: Tester,
    best: Option<Best>,
}

impl Search<'_> {
    fn coarse(&mut self, keeps_foot_down: bool, holds_part: bool) {
        let start = |held_share, release_s, ease_s, part| Start {
            held_share,
            release_s,
            ease_s,
            part,
            shift_share: 1.0,
            keeps_foot_down,
        };
        if !holds_part {
            for held_share in HELD_SHARES {
                for release_s in RELEASES_S {
                    for ease_s in EASES_S {
                        self.drive(start(held_share, release_s, ease_s, WIDE_OPEN));
                    }
                }
            }
            return;
        }
        for held_share in PART_HELD_SHARES {
            for release_s in PART_RELEASES_S {
                for held in PART_THROTTLES {
                    for until_mps in PART_UNTIL_MPS {
                        self.drive(start(held_share, release_s, 0.2, PartThrottle { held, until_mps, open_s: 1.0 }));
                    }
                }
            }
        }
    }

    fn finer(&mut self, holds_part: bool) {
        for round in 0..ROUNDS {
            let step = f64::powi(0.6, round);
            for way in [-step, step] {
                self.step(|s| s.held_share = (s.held_share + 0.08 * way).max(0.02));
                self.step(|s| s.release_s *= f64::powf(1.4, way));
                self.step(|s| s.ease_s *= f64::powf(1.6, way));
                if holds_part {
                    self.step(|s| s.part.held = (s.part.held + 0.08 * way).clamp(0.1, 1.0));
                    self.step(|s| s.part.until_mps *= f64::powf(1.3, way));
                    self.step(|s| s.part.open_s *= f64::powf(1.6, way));
                }
            }
        }
        for shift_share in SHIFT_SHARES {
            self.step(|s| s.shift_share = shift_share);
        }
    }

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
        let Some(time_s) = quarter_s(&run) else { return };
        // Where no start spares the shafts as asked, the one that comes nearest to it counts.
        let over = |run: &Run| {
            let most_nm = self.tester.most_shaft_share * run.peaks.steady_shaft_torque_nm;
            (run.peaks.shaft_torque_nm / most_nm).max(1.0)
        };
        let better = self.best.as_ref().is_none_or(|best| {
            let best_s = quarter_s(&best.run).unwrap_or(f64::INFINITY);
            over(&run) < over(&best.run) || (over(&run) == over(&best.run) && time_s < best_s)
        });
        if better {
            self.best = Some(Best { start, scenario, run });
        }
    }
}

fn quarter_s(run: &Run) -> Option<f64> {
    gate(run, "1320 ft").map(|p| p.time_s)
}

fn with_start(vehicle: &Vehicle, scenario: &Scenario, start: Start) -> Scenario {
    let mut scenario = scenario.clone();
    let driver = &mut scenario.driver;
    let redline = driver.shift_at_radps.first().copied().unwrap_or(vehicle.engine.limiter.cut_radps);
    let idle = vehicle.engine.idle_radps;
    driver.held_radps = idle + start.held_share * (redline - idle);
    driver.release_s = start.release_s;
    driver.throttle_ease_s = start.ease_s;
    driver.part_throttle = (start.part.held < 1.0).then_some(start.part);
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
