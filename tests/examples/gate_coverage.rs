//! How often the truth lies in the stated 95 % interval, by rate and gate: `gate_coverage LOGS_A_RATE SEED`. Seed 1 was
//! looked at while the method was made, seed 2 is the tests'.

use std::collections::BTreeMap;

use bitepoint_checks::coverage::{Case, cases, check};
use rayon::prelude::*;

fn main() {
    let argument = |place: usize| std::env::args().nth(place).and_then(|n| n.parse::<u64>().ok());
    let (logs, seed) = (argument(1).unwrap_or(120) as usize, argument(2).unwrap_or(1));
    let mut by: BTreeMap<(String, String), (usize, usize, f64, f64, f64)> = BTreeMap::new();
    let cases: Vec<Case> = cases(logs, seed);
    let checked: Vec<_> = cases.par_iter().map(|case| (case.recorder.hz, check(case))).collect();
    for (hz, outcome) in &checked {
        for hit in &outcome.gates {
            for name in [hit.name.clone(), "all".to_owned()] {
                let slot = by.entry((format!("{hz:>5}"), name)).or_default();
                slot.0 += 1;
                slot.1 += usize::from(hit.covered);
                slot.2 += hit.error;
                slot.3 += hit.error * hit.error;
                slot.4 += hit.sd;
            }
        }
    }
    for ((hz, name), (n, covered, bias, square, sd)) in &by {
        let n_f = *n as f64;
        println!(
            "{hz} Hz {name:24} {n:6} covered {:5.1} %  bias {:+8.4}  rms {:7.4}  stated {:7.4}",
            100.0 * *covered as f64 / n_f,
            bias / n_f,
            (square / n_f).sqrt(),
            sd / n_f
        );
    }
    let starts: usize = checked.iter().map(|(_, o)| o.starts_made).sum();
    let found: usize = checked.iter().map(|(_, o)| o.starts_found).sum();
    let invented: usize = checked.iter().map(|(_, o)| o.starts_invented).sum();
    println!("{} logs, {starts} starts, {found} found, {invented} invented", checked.len());
}
