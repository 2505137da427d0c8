//! Cost of sweeps against the number of starts and of threads, and of a map of 41 x 41 starts to 60 mph, by expected times and exactly.
//!
//! `cargo bench -p bitepoint-checks --bench sweep`; before the timings it prints the gain from a second thread, and what a run leaves in memory.

use std::path::Path;
use std::time::Instant;

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_runner::case::Case;
use bitepoint_runner::sweep::{Axis, Cell, Plan, Sweep, Times, sweep};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;
use divan::counter::ItemsCount;
use rayon::{ThreadPool, ThreadPoolBuilder};

const EXAMPLES: [&str; 2] = ["gravane-62", "ombrel-20"];
/// 41 values: the range that such cars are held at, and a release from a drop to a crawl.
const REVS: &str = "launch.revs=1000..4000/75 rpm";
const RELEASE: &str = "launch.release_time=0.2..4.2/0.1 s";

fn plan(example: &str, axes: &[&str], times: Times) -> Plan {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let vehicle = read_vehicle(&top.join(format!("vehicles/{example}.toml"))).expect("an example");
    let scenario = read_scenario(&top.join("scenarios/dry-flat.toml")).expect("an example");
    let axes = axes.iter().map(|axis| Axis::parse(axis).expect("an axis")).collect();
    let target = Target::named("60 mph", Clock::FirstMovement).expect("a gate");
    Plan::new(&[Case::new(vehicle, scenario)], axes, target, times, &Nobody).expect("the examples go together")
}

fn threads(count: usize) -> ThreadPool {
    ThreadPoolBuilder::new().num_threads(count).build().expect("threads")
}

fn made(plan: &Plan) -> Sweep {
    sweep(plan, &Nobody).expect("nobody calls it off")
}

#[divan::bench(args = [10, 100, 1000, 10_000], sample_count = 10)]
fn runs_on_one_thread(bencher: divan::Bencher, runs: u32) {
    let step = 3000.0 / f64::from(runs);
    let axis = format!("launch.revs=1000..{}/{step} rpm", 1000.0 + step * f64::from(runs - 1));
    let plan = plan(EXAMPLES[0], &[&axis], Times::Exact);
    let pool = threads(1);
    bencher.counter(ItemsCount::new(runs as usize)).bench_local(|| pool.install(|| made(&plan)));
}

#[divan::bench(args = EXAMPLES, consts = [1, 2], sample_count = 10)]
fn map_of_41_by_41<const THREADS: usize>(bencher: divan::Bencher, example: &str) {
    let plan = plan(example, &[REVS, RELEASE], Times::Exact);
    let pool = threads(THREADS);
    bencher.counter(ItemsCount::new(1681usize)).bench_local(|| pool.install(|| made(&plan)));
}

#[divan::bench(args = EXAMPLES, consts = [1, 2], sample_count = 5)]
fn expected_map_of_41_by_41<const THREADS: usize>(bencher: divan::Bencher, example: &str) {
    let plan = plan(example, &[REVS, RELEASE], Times::Expected);
    let pool = threads(THREADS);
    bencher.counter(ItemsCount::new(17 * 1681usize)).bench_local(|| pool.install(|| made(&plan)));
}

fn main() {
    println!("A run leaves {} bytes.", size_of::<Cell>());
    for example in EXAMPLES {
        let plan = plan(example, &[REVS, RELEASE], Times::Exact);
        let fastest_s = |count: usize| {
            let pool = threads(count);
            let once = |_| {
                let began = Instant::now();
                divan::black_box(pool.install(|| made(&plan)));
                began.elapsed().as_secs_f64()
            };
            (0..5).map(once).fold(f64::INFINITY, f64::min)
        };
        let (one_s, two_s) = (fastest_s(1), fastest_s(2));
        println!(
            "{example}: {} runs, {one_s:.3} s on one thread, {two_s:.3} s on two: {:.2} times as fast",
            plan.runs(),
            one_s / two_s
        );
    }
    divan::main();
}
