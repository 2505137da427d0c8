//! The ideal answer to wheelspin: it gives the wheels what the tyres carry.

use bitepoint_checks::cars::{self, RPM};
use bitepoint_checks::known::start::Stance;
use bitepoint_checks::real::best_launch::{Tester, best_launch, gate};
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::bounds::traction_and_power_s;
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::run::Sample;
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::timing::Mark;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;

/// What a run's solver may be off by, with what the search of [`best_launch`] leaves between two cars that it drives alike.
const SAME_S: f64 = 5e-3;
const SIXTY_MPS: f64 = 60.0 * 0.44704;

/// The examples of `vehicles/`, and the cars of the checks on their dry and wet days.
fn starts() -> Vec<(String, Vehicle, Scenario)> {
    let mut all = Vec::new();
    for (name, car) in [
        ("front drive", cars::front_drive()),
        ("rear drive", cars::rear_drive()),
        ("all-wheel drive", cars::all_wheel_drive()),
        ("solid axle", cars::solid_axle()),
    ] {
        all.push((format!("{name}, dry"), car.clone(), cars::dry(3000.0)));
        all.push((format!("{name}, wet"), car, cars::wet(3000.0)));
    }
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../vehicles");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).expect("the examples").map(|f| f.expect("a file").path()).collect();
    files.sort();
    for path in files {
        let text = std::fs::read_to_string(&path).expect("an example is text");
        let car = VehicleFile::parse("example.toml", &text).expect("an example is valid").resolve().vehicle;
        let day = ScenarioFile::default().resolve(&car).expect("the built-in day suits every car").scenario;
        all.push((path.display().to_string(), car, day));
    }
    all
}

/// Driven as well as the search finds, each in its own way: nobody who keeps the foot down is quicker, and no tyre gives more.
#[test]
fn it_is_as_quick_as_any_foot_and_no_quicker_than_the_tyres_allow() {
    starts().into_par_iter().for_each(|(name, car, day)| {
        let driven = |wheelspin| {
            let mut day = day.clone();
            day.driver.wheelspin = wheelspin;
            let tester = Tester { may_keep_foot_down: false, ..Tester::FREE };
            best_launch(&car, &day, tester).expect("some start gets the car to the finish").run
        };
        let (plain, ideal) = (driven(WheelspinResponse::None), driven(WheelspinResponse::Ideal));
        let time_s = |run, gate_name| gate(run, gate_name).expect("the gate is passed").time_s;
        let (plain_s, ideal_s) = (time_s(&plain, "1320 ft"), time_s(&ideal, "1320 ft"));
        println!("{name}: {ideal_s:.3} s, plain {plain_s:.3} s; 60 mph {:.3} s", time_s(&ideal, "60 mph"));
        assert!(ideal_s < plain_s + SAME_S, "{name}: {ideal_s} {plain_s}");
        let bound_s = traction_and_power_s(&car, &day, Mark::SpeedMps(SIXTY_MPS), 60.0).expect("the car gets there");
        assert!(time_s(&ideal, "60 mph") > bound_s, "{name}: {bound_s}");
    });
}

/// A car whose rotating parts, load transfer and resistances do not blur the closed form: friction that load does not change, a
/// body that has taken its attitude, no drag.
fn bare(mut car: Vehicle) -> Vehicle {
    for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
        tyre.magic_formula.pdx2 = 0.0;
        tyre.rolling_constant = 0.0;
        tyre.rolling_quadratic_s2_per_m2 = 0.0;
    }
    (car.chassis.drag_area_m2, car.chassis.front_lift_area_m2, car.chassis.rear_lift_area_m2) = (0.0, 0.0, 0.0);
    car
}

/// Mean acceleration over gravity in first gear, from where the body has settled to just before the shift.
fn steady_g(car: &Vehicle, mut day: Scenario) -> f64 {
    day.driver.wheelspin = WheelspinResponse::Ideal;
    day.driver.held_radps = 3500.0 * RPM;
    let samples = simulate_sampled(car, &day, &Tolerances::default(), 0.01).expect("a start of the sample car").1;
    let first: Vec<&Sample> =
        samples.iter().filter(|s| s.time_s > 1.0).take_while(|s| s.gear == 1 && s.pedal == 1.0).collect();
    let (begin, end) = (first[0], first[first.len() - 1]);
    assert!(end.time_s - begin.time_s > 1.0, "{} s at the limit", end.time_s - begin.time_s);
    (end.speed_mps - begin.speed_mps) / (end.time_s - begin.time_s) / GRAVITY_MPS2
}

/// The limit of a rigid car (T. D. Gillespie and J. Y. Wong, see [`Stance`]), over the mass with the wheels that only roll: within
/// 1 %, of which slip a tenth under that of the peak costs half.
#[test]
fn a_start_at_the_limit_of_traction_has_the_acceleration_of_the_handbooks() {
    let limit = |car: &Vehicle, rear: bool| {
        let chassis = &car.chassis;
        let (driven, rolls) = if rear { (&car.rear_tyre, &car.front_tyre) } else { (&car.front_tyre, &car.rear_tyre) };
        let friction = driven.magic_formula.pdx1 * cars::wet(0.0).surface.friction_scale;
        // Wheels that roll take their part of the force, which moves no load.
        let rolling_kg = 2.0 * rolls.wheel_inertia_kgm2 / (rolls.rolling_radius_m * rolls.rolling_radius_m);
        let heavier = 1.0 + rolling_kg / chassis.mass_kg;
        let stance = Stance {
            front_share: chassis.front_weight_share,
            height_m: chassis.cg_height_m / heavier,
            wheelbase_m: chassis.wheelbase_m,
        };
        if rear { stance.rear_drive(friction) / heavier } else { stance.front_drive(friction) / heavier }
    };
    for (name, car, rear) in [("front", bare(cars::front_drive()), false), ("rear", bare(cars::rear_drive()), true)] {
        let (ours, theirs) = (steady_g(&car, cars::wet(3500.0)), limit(&car, rear));
        println!("{name}: {ours:.4} g, at the limit {theirs:.4} g");
        assert!(ours < theirs && ours > 0.99 * theirs, "{name}: {ours} {theirs}");
    }
}
