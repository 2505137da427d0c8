//! Speed of whole runs at default accuracy on one core: quarter mile and 0-60 of each car of the checks and each example vehicle.
//!
//! `cargo bench -p bitepoint-checks --bench quarter_mile`; before the timings it prints what each run cost the solver and how far
//! its gates are from those of the converged run.

use bitepoint_checks::benched::{self, Benched};
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};
use divan::counter::ItemsCount;
use std::time::Instant;

const NAMES: [&str; 10] = [
    "rear",
    "front",
    "all",
    "solid",
    "ellisar-28",
    "gravane-62",
    "ombrel-20",
    "pilfret-roadster",
    "tressick-15",
    "tumbrill-14",
];

fn benched(name: &str) -> Benched {
    benched::all().into_iter().find(|run| run.name == name).expect("every name is that of a run")
}

fn to_sixty(quarter_mile: &Scenario) -> Scenario {
    Scenario { finish: Finish::Speed { speed_mps: 60.0 * 0.44704 }, ..quarter_mile.clone() }
}

fn run(car: &Vehicle, scenario: &Scenario) -> Run {
    simulate(car, scenario, &Tolerances::default()).expect("the cars run")
}

/// Largest difference of a gate from the converged run, s.
fn gate_error_s(car: &Vehicle, scenario: &Scenario, run: &Run) -> f64 {
    let converged = simulate(car, scenario, &Tolerances { relative: 1e-9 }).expect("the cars run");
    let differences = run.gates.iter().zip(&converged.gates).filter_map(|(a, b)| {
        let (a, b) = (a.passed?, b.passed?);
        Some((a.time_s - b.time_s).abs())
    });
    differences.fold(0.0, f64::max)
}

#[divan::bench(args = NAMES)]
fn quarter_mile(bencher: divan::Bencher, name: &str) {
    let Benched { car, quarter_mile, .. } = benched(name);
    bencher.counter(ItemsCount::new(1usize)).bench_local(|| run(&car, &quarter_mile));
}

#[divan::bench(args = NAMES)]
fn zero_to_sixty(bencher: divan::Bencher, name: &str) {
    let Benched { car, quarter_mile, .. } = benched(name);
    let scenario = to_sixty(&quarter_mile);
    bencher.counter(ItemsCount::new(1usize)).bench_local(|| run(&car, &scenario));
}

fn print_costs(name: &str, what: &str, car: &Vehicle, scenario: &Scenario) {
    let result = run(car, scenario);
    let times_s = (0..200).map(|_| {
        let began = Instant::now();
        divan::black_box(run(car, scenario));
        began.elapsed().as_secs_f64()
    });
    let fastest_s = times_s.fold(f64::INFINITY, f64::min);
    let work = result.work;
    println!(
        "{name:16} {what:15} {:8.0} {:13} {:14.0} {:6} {:8} {:.3}",
        1.0 / fastest_s,
        work.evaluations,
        fastest_s * 1e9 / f64::from(work.evaluations),
        work.steps,
        work.refused,
        gate_error_s(car, scenario, &result) * 1e3
    );
}

fn main() {
    println!(
        "run                               runs/s   evaluations  ns/evaluation  steps  refused  largest gate error, ms"
    );
    for Benched { name, car, quarter_mile } in benched::all() {
        print_costs(name, "quarter mile", &car, &quarter_mile);
        print_costs(name, "0-60 mph", &car, &to_sixty(&quarter_mile));
    }
    for Benched { name, car, quarter_mile } in benched::examples("wet-flat.toml") {
        print_costs(name, "wet quarter mile", &car, &quarter_mile);
    }
    divan::main();
}
