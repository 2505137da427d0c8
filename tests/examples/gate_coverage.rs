//! How often the truth lies in the stated 95 % interval, by rate and gate: `gate_coverage LOGS_A_RATE SEED`. Seed 1 was
//! looked at while the method was made, seed 2 is the tests'.

use std::collections::BTreeMap;

use bitepoint_checks::coverage::{Case, Hit, Outcome, cases, check};
use rayon::prelude::*;

/// Sums over numbers of one kind.
#[derive(Default)]
struct Sums {
    count: usize,
    covered: usize,
    error: f64,
    square: f64,
    stated: f64,
}

impl Sums {
    fn add(&mut self, hit: &Hit) {
        self.count += 1;
        self.covered += usize::from(hit.covered);
        self.error += hit.error;
        self.square += hit.error * hit.error;
        self.stated += hit.sd;
    }
}

fn main() {
    let argument = |place: usize| std::env::args().nth(place).and_then(|n| n.parse::<u64>().ok());
    let (logs, seed) = (argument(1).unwrap_or(120) as usize, argument(2).unwrap_or(1));
    let cases: Vec<Case> = cases(logs, seed);
    let checked: Vec<(f64, Outcome)> = cases.par_iter().map(|case| (case.recorder.hz, check(case))).collect();
    let mut by: BTreeMap<(String, &str), Sums> = BTreeMap::new();
    for (hz, outcome) in &checked {
        for hit in &outcome.gates {
            for name in [hit.name.as_str(), "all"] {
                by.entry((format!("{hz:>5}"), name)).or_default().add(hit);
            }
        }
    }
    for ((hz, name), sums) in &by {
        let n = sums.count as f64;
        println!(
            "{hz} Hz {name:24} {:6} covered {:5.1} %  bias {:+8.4}  rms {:7.4}  stated {:7.4}",
            sums.count,
            100.0 * sums.covered as f64 / n,
            sums.error / n,
            (sums.square / n).sqrt(),
            sums.stated / n
        );
    }
    let sum = |of: fn(&Outcome) -> usize| checked.iter().map(|(_, outcome)| of(outcome)).sum::<usize>();
    let (made, found, invented) = (sum(|o| o.starts_made), sum(|o| o.starts_found), sum(|o| o.starts_invented));
    println!("{} logs, {made} starts, {found} found, {invented} invented", checked.len());
}
