//! The planner against dense grids, facts of the trade, other thread counts and other calls.

use bitepoint_checks::cars::{self, RPM};
use bitepoint_checks::plan_grid::{Grid, VEHICLES, best_on_grid, example};
use bitepoint_inputs::scenario::{DriverScatter, ScenarioFile};
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Layout};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Best, Decision, Judge, LimitKind, Limits, NoLaunch, Starts, best_launch, find_best};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::{Nobody, Watch};

fn to(gate: &str) -> Target {
    Target::named(gate, Clock::FirstMovement).expect("a gate's name")
}

fn best(vehicle: &Vehicle, scenario: &Scenario, gate: &str) -> Best {
    best_launch(vehicle, scenario, to(gate), &Limits::default()).expect("an ordinary car gets there")
}

/// A smaller grid than that of the example `plan_against_grid`, which prints the table of all cars.
#[test]
fn a_grid_of_launches_finds_none_that_is_5_ms_quicker() {
    for name in VEHICLES {
        for day in ["dry-flat", "wet-flat"] {
            let (vehicle, scenario) = example(name, day);
            let judge = Judge::new(&vehicle, &scenario, to("60 mph"), Limits::default(), &Nobody);
            let best = find_best(&judge).expect("an example gets there");
            let straight = Launch { part_throttle: 1.0, ..best.launch.clone() };
            let part = Grid { held: 6, release: 5, ease: 4, part: 5, until: 3 };
            for (base, grid) in [(&straight, Grid::wide_open(8)), (&best.launch, part)] {
                let (launch, time_s) = best_on_grid(&judge, base, grid);
                let planned_s = best.time_s;
                assert!(time_s > planned_s - 0.005, "{name} {day}: {time_s} s with {launch:?}, planned {planned_s} s");
            }
        }
    }
}

/// Common practice, no source.
#[test]
fn the_best_revs_are_fewer_in_the_wet_and_with_fewer_driven_wheels() {
    let held = |vehicle: &Vehicle, scenario: &Scenario| best_held_rpm(vehicle, scenario);
    let (rear, dry, wet) = (cars::rear_drive(), cars::dry(3000.0), cars::wet(3000.0));
    let (of_dry, of_wet) = (held(&rear, &dry), held(&rear, &wet));
    assert!(of_wet < of_dry, "{of_wet} rpm in the wet, {of_dry} in the dry");
    let (mut front, mut all) = (rear.clone(), rear.clone());
    front.driveline.layout = Layout::Front;
    let centre = Differential::LimitedSlip { preload_nm: 80.0, bias_ratio: 2.5 };
    all.driveline.layout = Layout::All { front_share: 0.45, centre };
    let (of_front, of_all) = (held(&front, &dry), held(&all, &dry));
    assert!(
        of_front < of_dry && of_dry < of_all,
        "{of_front}, {of_dry}, {of_all} rpm with front, rear, all wheels driven"
    );
}

/// Common practice, no source.
#[test]
fn an_engine_with_more_torque_wants_fewer_revs() {
    let with_torque = |share: f64| {
        let mut car = cars::rear_drive();
        let points: Vec<_> = car.engine.full_load_nm.points().into_iter().map(|(w, nm)| (w, share * nm)).collect();
        car.engine.full_load_nm = Curve::new(&points).expect("scaling keeps the points rising");
        best_held_rpm(&car, &cars::dry(3000.0))
    };
    let (weak, strong) = (with_torque(0.8), with_torque(1.25));
    assert!(strong < weak, "{strong} rpm with more torque, {weak} with less");
}

/// Held revs of the best launch to 60 ft, rpm, with the foot fed in over 0.6 s: with a foot that may be anywhere revs and foot stand in
/// for each other.
fn best_held_rpm(vehicle: &Vehicle, scenario: &Scenario) -> f64 {
    let judge = Judge::new(vehicle, scenario, to("60 ft"), Limits::default(), &Nobody);
    let base = Launch { throttle_ease_s: 0.6, part_throttle: 1.0, ..Launch::of(&scenario.driver) };
    let mut best = (f64::NAN, f64::INFINITY);
    for held in 0..24 {
        for release in 0..16 {
            let at = |decision: Decision, i: u32, n: u32| decision.at((f64::from(i) + 0.5) / f64::from(n), vehicle);
            let launch = Launch {
                held_radps: at(Decision::HeldRevs, held, 24),
                release_s: at(Decision::ReleaseTime, release, 16),
                ..base.clone()
            };
            let worth = judge.worth(&launch);
            if worth < best.1 {
                best = (launch.held_radps / RPM, worth);
            }
        }
    }
    assert!(Judge::is_time(best.1), "no start gets going");
    best.0
}

/// Common practice, no source: a quicker foot is better until the tyres spin or the engine bogs, and a slow one only loses.
#[test]
fn a_slower_release_than_the_best_loses_time() {
    let (vehicle, scenario) = example("tumbrill-14", "dry-flat");
    let best = best(&vehicle, &scenario, "60 mph");
    let judge = Judge::new(&vehicle, &scenario, to("60 mph"), Limits::default(), &Nobody);
    let times: Vec<f64> = [1.0, 2.0, 3.0, 4.0]
        .into_iter()
        .map(|more_s| judge.worth(&Decision::ReleaseTime.with(&best.launch, best.launch.release_s + more_s)))
        .collect();
    assert!(
        times.windows(2).all(|pair| pair[0] < pair[1]) && best.time_s < times[0],
        "{} s, then {times:?}",
        best.time_s
    );
}

#[test]
fn limits_are_kept_and_cost_time() {
    let (vehicle, scenario) = example("tumbrill-14", "dry-flat");
    let free = best(&vehicle, &scenario, "60 mph");
    let limit = 0.8 * free.run.peaks.shaft_torque_nm;
    let limits = Limits { shaft_torque_nm: Some(limit), ..Limits::default() };
    let kept = best_launch(&vehicle, &scenario, to("60 mph"), &limits).expect("a softer start keeps it");
    assert!(kept.run.peaks.shaft_torque_nm <= limit, "{} N·m", kept.run.peaks.shaft_torque_nm);
    assert!(kept.time_s > free.time_s, "{} s, without a limit {} s", kept.time_s, free.time_s);
}

#[test]
fn a_limit_that_no_launch_keeps_is_named_with_the_least_that_one_reaches() {
    let (vehicle, scenario) = example("gravane-62", "dry-flat");
    let limits = Limits { clutch_face_c: Some(20.0), ..Limits::default() };
    let judge = Judge::new(&vehicle, &scenario, to("60 ft"), limits, &Nobody);
    let Err(NoLaunch::Limits(shortfalls)) = find_best(&judge) else { panic!("a clutch that is warmer than its limit") };
    assert_eq!(shortfalls.iter().map(|s| s.kind).collect::<Vec<_>>(), [LimitKind::ClutchFace]);
    // It cannot be cooler than it is before the start.
    let start_c = scenario.clutch_start_c;
    assert!((start_c..start_c + 60.0).contains(&shortfalls[0].least), "{shortfalls:?}, begun at {start_c} °C");
}

fn starts_of(seed: u32, launch: &Launch) -> (f64, f64) {
    let (vehicle, scenario) = example("ellisar-28", "dry-flat");
    let scatter = scatter(&vehicle);
    let judge = Judge::new(&vehicle, &scenario, to("60 ft"), Limits::default(), &Nobody);
    let starts = Starts::new(&judge, &scatter, 200, seed, 2.0);
    let expected = starts.expectation(launch);
    (expected.mean_s, expected.band.expect("most get there").low_s)
}

fn scatter(vehicle: &Vehicle) -> DriverScatter {
    ScenarioFile::default().resolve(vehicle).expect("the built-in day").scatter
}

#[test]
fn the_same_seed_gives_the_same_starts_and_another_seed_others() {
    let (vehicle, scenario) = example("ellisar-28", "dry-flat");
    let launch = Launch::of(&scenario.driver);
    assert_eq!(starts_of(1, &launch), starts_of(1, &launch));
    let (one, two) = (starts_of(1, &launch), starts_of(2, &launch));
    assert!(one != two && (one.0 - two.0).abs() < 0.05, "{one:?} and {two:?} of {}", vehicle.chassis.mass_kg);
}

#[test]
fn a_driver_who_never_errs_has_the_time_of_the_launch_itself() {
    let (vehicle, scenario) = example("ellisar-28", "dry-flat");
    let judge = Judge::new(&vehicle, &scenario, to("60 mph"), Limits::default(), &Nobody);
    let none = DriverScatter {
        held_radps: 0.0,
        release_s: 0.0,
        throttle_ease_s: 0.0,
        part_throttle: 0.0,
        slip_lag_s: 0.0,
        kept_radps: 0.0,
        throttle_lead_s: 0.0,
        shift_at_radps: 0.0,
        shift_reaction_s: 0.0,
    };
    let launch = Launch::of(&scenario.driver);
    let run = judge.run(&launch).expect("runs");
    let expected = Starts::new(&judge, &none, 4, 1, 0.0).expectation(&launch);
    let time_s = judge.target.time_s(&run).expect("reached");
    let band = expected.band.expect("reached");
    assert_eq!((band.low_s, band.high_s, expected.botched), (time_s, time_s, 0));
}

#[test]
fn a_plan_is_the_same_on_one_thread_and_on_two() {
    let (vehicle, scenario) = example("ellisar-28", "wet-flat");
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| best(&vehicle, &scenario, "60 ft"))
    };
    assert_eq!(on(1), on(2));
}

/// Somebody who has had enough from the first run on.
struct Impatient;

impl Watch for Impatient {
    fn done(&self, _: u64) {}

    fn called_off(&self) -> bool {
        true
    }
}

#[test]
fn a_search_that_is_called_off_says_so() {
    let (vehicle, scenario) = example("ellisar-28", "dry-flat");
    let judge = Judge::new(&vehicle, &scenario, to("60 mph"), Limits::default(), &Impatient);
    assert_eq!(find_best(&judge), Err(NoLaunch::CalledOff));
}
