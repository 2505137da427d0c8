//! How far gates are off at the default tolerance, over random cars, starts and drivers, by what the driver does.
//!
//!     cargo run --release -p bitepoint-checks --example gate_errors [RUNS] [SEED]

use std::time::Instant;

use bitepoint_checks::strategy::{Case, case};
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngSeed, TestRunner};

fn run(case: &Case, relative: f64) -> Run {
    simulate(&case.vehicle, &case.scenario, &Tolerances { relative }).expect("a plausible car runs")
}

fn driver(case: &Case) -> &'static str {
    let driver = &case.scenario.driver;
    match (&driver.wheelspin, driver.clutch_feel.is_some()) {
        (WheelspinResponse::None, false) => "foot down",
        (WheelspinResponse::None, true) => "foot down, feel",
        (WheelspinResponse::Trimmed(_), false) => "trimmed",
        (WheelspinResponse::Trimmed(_), true) => "trimmed, feel",
        (WheelspinResponse::Ideal, false) => "ideal",
        (WheelspinResponse::Ideal, true) => "ideal, feel",
    }
}

fn main() {
    let mut args = std::env::args().skip(1).filter_map(|a| a.parse::<u64>().ok());
    let (count, seed) = (args.next().unwrap_or(400), args.next().unwrap_or(7));
    let mut runner = TestRunner::new(Config { rng_seed: RngSeed::Fixed(seed), ..Config::default() });
    let cases: Vec<Case> = (0..count).map(|_| case().new_tree(&mut runner).expect("a case").current()).collect();
    let began = Instant::now();
    let coarse: Vec<Run> = cases.iter().map(|case| run(case, Tolerances::default().relative)).collect();
    let took_s = began.elapsed().as_secs_f64();
    let mut moved: Vec<(f64, &str, usize)> = Vec::new();
    for (n, (case, coarse)) in cases.iter().zip(&coarse).enumerate() {
        let fine = run(case, 1e-2 * Tolerances::default().relative);
        let both = coarse.gates.iter().zip(&fine.gates).filter_map(|(a, b)| a.passed.zip(b.passed));
        let moved_s = both.map(|(a, b)| (a.time_s - b.time_s).abs()).fold(f64::NAN, f64::max);
        if moved_s.is_finite() {
            moved.push((moved_s, driver(case), n));
        }
    }
    let evaluations: u64 = coarse.iter().map(|run| u64::from(run.work.evaluations)).sum();
    println!("{} evaluations and {:.0} µs a run", evaluations / count, took_s * 1e6 / count as f64);
    let names = ["all", "foot down", "foot down, feel", "trimmed", "trimmed, feel", "ideal", "ideal, feel"];
    for name in names {
        let mut of: Vec<(f64, usize)> =
            moved.iter().filter(|(_, driver, _)| name == "all" || *driver == name).map(|m| (m.0, m.2)).collect();
        of.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(last) = of.last() else { continue };
        let at = |share: f64| 1e3 * of[(share * (of.len() - 1) as f64) as usize].0;
        let over = of.iter().filter(|(s, _)| *s > 1e-3).count();
        println!(
            "{name:16} {:4} runs: ms median {:.3}, 90 % {:.3}, 95 % {:.3}, 99 % {:.3}, max {:.3} (run {}); {over} over 1 ms",
            of.len(),
            at(0.5),
            at(0.9),
            at(0.95),
            at(0.99),
            1e3 * last.0,
            last.1
        );
    }
}
