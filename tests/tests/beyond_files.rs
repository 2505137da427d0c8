//! Cars that no file can hold, given to the model directly: a run that can be true or an error that names the state, in a
//! bounded number of steps. Never a panic, never a number that is none.

use std::time::Instant;

use bitepoint_checks::drawn_inputs::{CARS, OUTSIDE, stiffness_or_inertia};
use bitepoint_checks::fuzz_bodies::finite;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::{RunError, Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

/// Names by which an error may call a state.
const STATES: [&str; 20] = [
    "road speed",
    "engine speed",
    "gearbox-input speed",
    "final-drive speed",
    "driveline wind-up",
    "distance",
    "load transfer",
    "rate of load transfer",
    "boost",
    "throttle",
    "clutch-face temperature",
    "clutch-mass temperature",
    "engine work",
    "aerodynamic loss",
    "rolling loss",
    "tyre-slip loss",
    "clutch loss",
    "driveline loss",
    "wheel speed",
    "tyre slip",
];

/// A rear-drive sedan and an all-wheel-drive turbocharged hatch: together they have every part.
const TRIED: [usize; 2] = [0, 2];

fn dry(car: usize) -> (Vehicle, Scenario) {
    let vehicle = VehicleFile::parse("car.toml", CARS[car]).unwrap_or_else(|e| panic!("{e}")).resolve().vehicle;
    let scenario = ScenarioFile::default().resolve(&vehicle).unwrap_or_else(|e| panic!("{e}")).scenario;
    (vehicle, scenario)
}

#[test]
fn a_stiffness_or_inertia_a_million_times_off_gives_a_run_or_names_a_state() {
    let (mut runs, mut longest) = (0, (0.0, String::new()));
    for car in TRIED {
        for which in 0..OUTSIDE {
            for factor in [1e-6, 1e6] {
                let (mut vehicle, scenario) = dry(car);
                let (name, value) = stiffness_or_inertia(&mut vehicle, which);
                *value *= factor;
                let case = format!("{name} of car {car} times {factor:e}");
                let begin = Instant::now();
                match simulate(&vehicle, &scenario, &Tolerances::default()) {
                    Ok(run) => {
                        runs += 1;
                        finite(&run);
                    }
                    Err(RunError::Lost { state, time_s } | RunError::Endless { state, time_s }) => {
                        assert!(STATES.contains(&state) && time_s.is_finite(), "{case}: {state} at {time_s} s");
                    }
                    Err(RunError::Impossible { what, value }) => panic!("{case}: {what} is {value}, yet positive"),
                }
                let took_s = begin.elapsed().as_secs_f64();
                if took_s > longest.0 {
                    longest = (took_s, case);
                }
            }
        }
    }
    println!("{runs} of {} gave a run; the longest took {:.2} s: {}", TRIED.len() * OUTSIDE * 2, longest.0, longest.1);
    // Some of them are harmless to the equations; were none computed, the test would show nothing of the others.
    assert!(runs > OUTSIDE, "{runs}");
    // A bound on steps, not on time, is what ends such a run; this leaves room for a busy machine and a slow build.
    assert!(longest.0 < 30.0, "{longest:?}");
}

#[test]
fn a_value_that_no_car_has_is_named_before_the_run() {
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        for which in [0, 1, 2, 3, 4, 7, 8, 9, 10, 13, 14, 17, 18] {
            let (mut vehicle, scenario) = dry(0);
            let (name, value) = stiffness_or_inertia(&mut vehicle, which);
            *value = bad;
            match simulate(&vehicle, &scenario, &Tolerances::default()) {
                Err(error @ RunError::Impossible { .. }) => {
                    assert!(error.to_string().contains("which no car can have"), "{name}: {error}");
                }
                other => panic!("{name} of {bad}: {other:?}"),
            }
        }
    }
}

#[test]
fn a_rollout_of_nothing_ends_when_the_car_moves() {
    let (vehicle, mut scenario) = dry(0);
    scenario.rollout_m = 0.0;
    let run = simulate(&vehicle, &scenario, &Tolerances::default()).unwrap_or_else(|e| panic!("{e}"));
    assert!(run.first_movement_s.is_some_and(|s| s > 0.0), "the clutch needs a while to bite");
    for passed in run.gates.iter().filter_map(|gate| gate.passed) {
        assert_eq!(passed.with_rollout_s, Some(passed.time_s));
    }
}
