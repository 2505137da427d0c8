//! How often the 95 % intervals of fitted values hold the truth, by input: `fit_coverage [CARS] [HZ] [ENGINE 0|1] [SEED]`.

use std::collections::HashMap;

use bitepoint_checks::fit_truth::{FitMaking, drawn, fitted, tally};
use bitepoint_checks::made_log::Recorder;

fn main() {
    let number = |place: usize, otherwise: f64| {
        std::env::args().nth(place).and_then(|text| text.parse().ok()).unwrap_or(otherwise)
    };
    let (cars, hz, engine) = (number(1, 60.0) as usize, number(2, 10.0), number(3, 1.0) > 0.0);
    let seed = number(4, 23.0) as u64;
    let recorder = if engine { Recorder::full(hz) } else { Recorder::receiver(hz) };
    let making = FitMaking { starts: 2, coasts: 2, recorder };
    let mut tallies = HashMap::new();
    let (mut made, mut failed, mut misfit) = (0, 0, 0.0);
    for place in 0..cars {
        let Some(case) = drawn(place, seed, &making) else { continue };
        made += 1;
        match fitted(&case) {
            Ok(fit) => {
                tally(&case, &fit, &mut tallies);
                let mut own = HashMap::new();
                tally(&case, &fit, &mut own);
                let worst = own.iter().max_by(|a, b| a.1.squares.total_cmp(&b.1.squares));
                println!(
                    "{place:3} {:16} {:2} of {:2} in 95 %, misfit of starts {:.2}, worst {} at {:.1}",
                    case.vehicle.resolve().name,
                    own.values().map(|t| t.held).sum::<usize>(),
                    own.values().map(|t| t.of).sum::<usize>(),
                    fit.start_misfit,
                    worst.map_or("none", |w| w.0.as_str()),
                    worst.map_or(0.0, |w| w.1.squares.sqrt())
                );
                misfit += fit.start_misfit;
            }
            Err(error) => {
                failed += 1;
                println!("{place}: {error}");
            }
        }
    }
    println!(
        "{made} cars at {hz} Hz, engine speed {engine}: {failed} without a fit; mean misfit of starts {:.2}",
        misfit / f64::from(made)
    );
    println!(
        "{:40} {:>5} {:>9} {:>14} {:>12} {:>12}",
        "input", "fits", "in 95 %", "error/stated", "mean", "spread left"
    );
    let mut rows: Vec<_> = tallies.into_iter().collect();
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    let (mut all, mut held) = (0, 0);
    for (key, t) in rows {
        all += t.of;
        held += t.held;
        let n = t.of as f64;
        println!(
            "{key:40} {:>5} {:>8.1}% {:>14.2} {:>12.2} {:>12.2}",
            t.of,
            100.0 * t.held as f64 / n,
            (t.squares / n).sqrt(),
            t.errors / n,
            t.spread_left / n
        );
    }
    println!("{:40} {all:>5} {:>8.1}%", "all", 100.0 * f64::from(held as u32) / f64::from(all as u32));
}
