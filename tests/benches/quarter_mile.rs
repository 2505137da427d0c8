//! Speed of whole runs at default accuracy: quarter mile and 0-60 of each car of the checks, on one core.
//!
//! `cargo bench -p bitepoint-checks --bench quarter_mile`; before the timings it prints what each run cost the solver.

use bitepoint_checks::cars;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};
use divan::counter::ItemsCount;
use std::time::Instant;

const NAMES: [&str; 4] = ["rear", "front", "all", "solid"];

fn car(name: &str) -> Vehicle {
    match name {
        "rear" => cars::rear_drive(),
        "front" => cars::front_drive(),
        "all" => cars::all_wheel_drive(),
        _ => cars::solid_axle(),
    }
}

/// A clean start for each: the car with four driven wheels stalls when driven like the others.
fn start(name: &str) -> Scenario {
    let (held_rpm, release_s) = if name == "all" { (4500.0, 4.0) } else { (3000.0, 2.0) };
    let mut scenario = cars::dry(held_rpm);
    scenario.driver.release_s = release_s;
    scenario
}

fn to_sixty(name: &str) -> Scenario {
    Scenario { finish: Finish::Speed { speed_mps: 60.0 * 0.44704 }, ..start(name) }
}

fn run(car: &Vehicle, scenario: &Scenario) -> Run {
    simulate(car, scenario, &Tolerances::default()).expect("the cars of the checks run")
}

/// Largest difference of a gate from the converged run, s.
fn gate_error_s(car: &Vehicle, scenario: &Scenario, run: &Run) -> f64 {
    let converged = simulate(car, scenario, &Tolerances { relative: 1e-9 }).expect("the cars of the checks run");
    let differences = run.gates.iter().zip(&converged.gates).filter_map(|(a, b)| {
        let (a, b) = (a.passed?, b.passed?);
        Some((a.time_s - b.time_s).abs())
    });
    differences.fold(0.0, f64::max)
}

#[divan::bench(args = NAMES)]
fn quarter_mile(bencher: divan::Bencher, name: &str) {
    let (car, scenario) = (car(name), start(name));
    bencher.counter(ItemsCount::new(1usize)).bench_local(|| run(&car, &scenario));
}

#[divan::bench(args = NAMES)]
fn zero_to_sixty(bencher: divan::Bencher, name: &str) {
    let (car, scenario) = (car(name), to_sixty(name));
    bencher.counter(ItemsCount::new(1usize)).bench_local(|| run(&car, &scenario));
}

fn main() {
    println!("run                  runs/s   evaluations  ns/evaluation  steps  refused  largest gate error, ms");
    for name in NAMES {
        for (what, scenario) in [("quarter mile", start(name)), ("0-60 mph", to_sixty(name))] {
            let car = car(name);
            let result = run(&car, &scenario);
            let fastest_s = (0..200).map(|_| {
                let began = Instant::now();
                divan::black_box(run(&car, &scenario));
                began.elapsed().as_secs_f64()
            });
            let fastest_s = fastest_s.fold(f64::INFINITY, f64::min);
            let work = result.work;
            println!(
                "{name:5} {what:13} {:8.0} {:13} {:14.0} {:6} {:8} {:.3}",
                1.0 / fastest_s,
                work.evaluations,
                fastest_s * 1e9 / f64::from(work.evaluations),
                work.steps,
                work.refused,
                gate_error_s(&car, &scenario, &result) * 1e3
            );
        }
    }
    divan::main();
}
