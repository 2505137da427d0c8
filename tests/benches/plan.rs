//! Speed of a plan: `cargo bench -p bitepoint-checks --bench plan`.

use std::path::Path;

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{Wanted, plan, recommend};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;

const VEHICLES: [&str; 2] = ["gravane-62", "ombrel-20"];

fn case(vehicle: &str, day: &str) -> Case {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    Case::new(
        read_vehicle(&root.join(format!("vehicles/{vehicle}.toml"))).expect("an example"),
        read_scenario(&root.join(format!("scenarios/{day}.toml"))).expect("an example"),
    )
}

fn wanted() -> Wanted {
    Wanted::to(Target::named("60 mph", Clock::FirstMovement).expect("a gate's name"))
}

/// Everything that `bitepoint plan` computes, for dry and wet.
#[divan::bench(args = VEHICLES, sample_count = 3, sample_size = 1)]
fn dry_and_wet(bencher: divan::Bencher, vehicle: &str) {
    let cases = ["dry-flat", "wet-flat"].map(|day| case(vehicle, day));
    bencher
        .bench_local(|| cases.each_ref().map(|case| plan(case, &wanted(), 1, &Nobody).expect("an example has a plan")));
}

/// The recommended launch alone, as every other command asks for it.
#[divan::bench(args = VEHICLES, sample_count = 5, sample_size = 1)]
fn recommended_alone(bencher: divan::Bencher, vehicle: &str) {
    let case = case(vehicle, "dry-flat");
    bencher.bench_local(|| recommend(&case, &wanted(), &Nobody));
}

fn main() {
    divan::main();
}
