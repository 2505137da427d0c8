//! The best of many starts, as a tester would find it: the quickest launch that the planner finds, done exactly.
//!
//! A tester takes the best of a whole day of runs, so nothing is spared but the clutch's facing, and nothing scatters.

use bitepoint_inputs::scenario::{DriverScatter, ScenarioFile};
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::timing::Passed;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Decision, Effort, Known, Limits, Wanted};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;

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
    pub launch: Launch,
    /// Whether the foot stays down when the tyres spin.
    pub keeps_foot_down: bool,
    /// The scenario with that start.
    pub scenario: Scenario,
    /// Its run.
    pub run: Run,
}

/// Nothing scatters.
const EXACTLY: DriverScatter = DriverScatter {
    held_radps: 0.0,
    kept_radps: 0.0,
    release_s: 0.0,
    throttle_ease_s: 0.0,
    throttle_lead_s: 0.0,
    part_throttle: 0.0,
    slip_lag_s: 0.0,
    shift_at_radps: 0.0,
    shift_reaction_s: 0.0,
};
const QUARTER: Target = Target { gate: "1320 ft", clock: Clock::FirstMovement };

/// A dry, flat day with a tester at the wheel, for a car.
///
/// # Panics
/// Never: the built-in day suits every car.
#[must_use]
pub fn tester_day() -> ScenarioFile {
    ScenarioFile::default().with("driver", "tester").expect("a driver that the table has")
}

/// Looks for the start with the shortest quarter mile; `scenario` says all that a launch does not decide. None if no start of the search
/// gets the car to the finish.
#[must_use]
pub fn best_launch(vehicle: &Vehicle, scenario: &Scenario, tester: Tester) -> Option<Best> {
    let feet: &[bool] = if tester.may_keep_foot_down { &[false, true] } else { &[false] };
    let found = feet.iter().filter_map(|keeps_foot_down| {
        let mut scenario = scenario.clone();
        if *keeps_foot_down {
            scenario.driver.wheelspin = WheelspinResponse::None;
        }
        driven(vehicle, scenario, tester, *keeps_foot_down)
    });
    found.min_by(|a, b| quarter_s(&a.run).total_cmp(&quarter_s(&b.run)))
}

fn driven(vehicle: &Vehicle, mut scenario: Scenario, tester: Tester, keeps_foot_down: bool) -> Option<Best> {
    let of_part = [Decision::PartThrottle, Decision::PartUntil];
    let may = |d: Decision| tester.may_hold_part_throttle || !of_part.contains(&d);
    let mut launch = found(vehicle, &scenario, tester, &may)?;
    if launch.held_radps > tester.most_held_radps {
        scenario.driver.held_radps = tester.most_held_radps;
        launch = found(vehicle, &scenario, tester, &|d| may(d) && d != Decision::HeldRevs)?;
    }
    scenario.driver = launch.by(&scenario.driver);
    // A start that the model cannot follow is one that the tester does not repeat.
    let run = simulate(vehicle, &scenario, &Tolerances::default()).ok()?;
    gate(&run, QUARTER.gate)?;
    Some(Best { launch, keeps_foot_down, scenario, run })
}

fn found(vehicle: &Vehicle, scenario: &Scenario, tester: Tester, may: &dyn Fn(Decision) -> bool) -> Option<Launch> {
    let known = Known { vehicle, scenario, scatter: &EXACTLY, case: None };
    let free = Wanted { effort: Effort::AllOut, ..Wanted::to(QUARTER) };
    let any = known.recommend(&free, may, &Nobody).ok()?.launch;
    if tester.most_shaft_share.is_infinite() {
        return Some(any);
    }
    let of_any = Scenario { driver: any.by(&scenario.driver), ..scenario.clone() };
    let steady_nm = simulate(vehicle, &of_any, &Tolerances::default()).ok()?.peaks.steady_shaft_torque_nm;
    let limits = Limits { shaft_torque_nm: Some(tester.most_shaft_share * steady_nm), ..Limits::default() };
    // Where no start spares the shafts as asked, the quickest counts.
    Some(known.recommend(&Wanted { limits, ..free }, may, &Nobody).map_or(any, |sparing| sparing.launch))
}

fn quarter_s(run: &Run) -> f64 {
    gate(run, QUARTER.gate).map_or(f64::INFINITY, |passed| passed.time_s)
}

/// When a run passed a gate.
#[must_use]
pub fn gate(run: &Run, name: &str) -> Option<Passed> {
    run.gates.iter().find(|g| g.name == name).and_then(|g| g.passed)
}
