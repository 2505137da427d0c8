//! Faults that a review names in made starts, against those that are there: `fault_table COUNT SEED [verbose]`.

use bitepoint_checks::faulty_starts::{RATES_HZ, counts, judged, yardsticks};
use bitepoint_runner::review::FaultKind;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize, or: u64| args.get(i).and_then(|a| a.parse().ok()).unwrap_or(or);
    let starts = judged(&yardsticks(), number(0, 220) as usize, number(1, 1));
    println!("{} starts", starts.len());
    if args.len() > 2 {
        for start in &starts {
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
