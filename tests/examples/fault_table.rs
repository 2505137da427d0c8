//! Faults that a review names in made starts, against those that are there: `fault_table COUNT SEED [verbose]`.

use bitepoint_checks::faulty_starts::{Judged, RATES_HZ, counts, judged, yardsticks};
use bitepoint_runner::review::FaultKind;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize, or: u64| args.get(i).and_then(|a| a.parse().ok()).unwrap_or(or);
    let starts = judged(&yardsticks(), number(0, 220) as usize, number(1, 1));
    println!("{} starts", starts.len());
    if args.len() > 2 {
        for start in &starts {
            for costs in start.review.starts.iter().filter_map(|s| s.costs.as_ref()) {
                if costs.rest_s.abs() > 0.15 {
                    let asked = start.asked.map_or("none", FaultKind::name);
                    println!(
                        "{} {} Hz, asked {asked}: {:.2} s of {:.2} s not explained",
                        start.car, start.hz, costs.rest_s, costs.gap_s
                    );
                    for part in &costs.parts {
                        println!("    {part:?}");
                    }
                }
            }
            for kind in FaultKind::ALL {
                let (truth, named) = (start.truth[kind as usize], start.named(kind));
                if truth.is_some_and(|t| t != named) {
                    let asked = start.asked.map_or("none", FaultKind::name);
                    println!(
                        "{} {} Hz, asked {asked}: {} is {truth:?}, named {named}",
                        start.car,
                        start.hz,
                        kind.name()
                    );
                    for fault in start.review.starts.iter().flat_map(|s| &s.faults) {
                        println!("    {fault:?}");
                    }
                }
            }
        }
    }
    gaps(&starts);
    for hz in std::iter::once(None).chain(RATES_HZ.map(Some)) {
        println!("{}", hz.map_or("all rates".to_owned(), |hz| format!("{hz} Hz")));
        println!(
            "{:16} {:>5} {:>6} {:>8} {:>5} {:>7} {:>9} {:>6}",
            "fault", "hits", "missed", "invented", "quiet", "between", "precision", "recall"
        );
        for (kind, c) in FaultKind::ALL.into_iter().zip(counts(&starts, |j| hz.is_none_or(|hz| j.hz == hz))) {
            println!(
                "{:16} {:5} {:6} {:8} {:5} {:7} {:9.3} {:6.3}",
                kind.name(),
                c.hits,
                c.missed,
                c.invented,
                c.quiet,
                c.between,
                c.precision(),
                c.recall()
            );
        }
    }
}

/// How much of the gap to the best launch the costs leave unexplained.
fn gaps(starts: &[Judged]) {
    let costs = || starts.iter().flat_map(|j| &j.review.starts).filter_map(|s| s.costs.as_ref());
    let sorted = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values
    };
    let rests = sorted(costs().map(|c| c.rest_s.abs()).collect());
    let large = || costs().filter(|c| c.gap_s > 0.3);
    let shares = sorted(large().map(|c| c.rest_s.abs() / c.gap_s).collect());
    let at =
        |values: &[f64], share: f64| values.get((share * values.len() as f64) as usize).copied().unwrap_or(f64::NAN);
    println!(
        "not explained, {} starts at the gate: half within {:.3} s, nine in ten within {:.3} s; {} without a replay",
        rests.len(),
        at(&rests, 0.5),
        at(&rests, 0.9),
        costs().filter(|c| c.replay_s.is_none()).count()
    );
    println!(
        "of gaps over 0.3 s ({} starts) not explained: half within {:.1} %, nine in ten within {:.1} %",
        shares.len(),
        100.0 * at(&shares, 0.5),
        100.0 * at(&shares, 0.9)
    );
}
