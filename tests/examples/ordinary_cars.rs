//! What is recommended for ordinary cars, dry and wet, and what a good driver would not do or not believe.
//!
//! `cargo run --release -p bitepoint-checks --example ordinary_cars SEED COUNT`

use bitepoint_checks::ordinary::sheets;
use bitepoint_checks::ordinary_launch::{Oddity, launched, line, oddities, worst_step_s};
use bitepoint_runner::plan::{Judge, Limits, Starts, Wanted};
use bitepoint_runner::watch::Nobody;

/// Starts by which expected time against held revs is drawn.
const STARTS: u32 = 100;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let mut number = |otherwise: u32| arguments.next().and_then(|text| text.parse().ok()).unwrap_or(otherwise);
    let (seed, count) = (number(1), number(48));
    let mut counts = [0_u32; Oddity::ALL.len()];
    for (name, sheet) in sheets(seed, count as usize) {
        let launched = launched(&name, &sheet);
        let dry = &launched.days[0].resolved;
        let target = Wanted::usual().target;
        let judge =
            Judge::new(&dry.vehicle.vehicle, &dry.scenario.scenario, target, Limits::default(), &Nobody).hurried();
        let starts = Starts::new(&judge, &dry.scenario.scatter, STARTS, 1);
        let step_s = worst_step_s(&launched.days[0], &|launch| starts.mean_time_s(launch));
        let found = oddities(&launched, step_s);
        for (count, oddity) in counts.iter_mut().zip(Oddity::ALL) {
            *count += u32::from(found.contains(&oddity));
        }
        println!("{name}: {found:?}\n  dry {}\n  wet {}", line(&launched.days[0]), line(&launched.days[1]));
    }
    let told: Vec<String> =
        Oddity::ALL.iter().zip(counts).map(|(oddity, count)| format!("{oddity:?} {count}")).collect();
    println!("seed {seed}, {count} cars: {}", told.join(", "));
}
