//! Whether logs of made starts are taken as their own car's and refused or doubted as another's: `other_cars COUNT SEED [verbose]`.

use bitepoint_checks::faulty_starts::{own_or_other, yardsticks};

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize, or: u64| args.get(i).and_then(|a| a.parse().ok()).unwrap_or(or);
    let seen = own_or_other(&yardsticks(), number(0, 110) as usize, number(1, 1));
    for (own, name) in [(true, "own car"), (false, "another car")] {
        let of: Vec<_> = seen.iter().filter(|s| s.own == own).collect();
        let refused = of.iter().filter(|s| s.refused).count();
        let warned = of.iter().filter(|s| !s.refused && !s.doubts.is_empty()).count();
        let mut off: Vec<f64> = of.iter().filter_map(|s| s.engine_off).collect();
        off.sort_by(f64::total_cmp);
        let at = |share: f64| off.get((share * off.len() as f64) as usize).copied().unwrap_or(f64::NAN);
        println!(
            "{name}: {} logs, {refused} refused, {warned} doubted; engine off by {:.3} at half, {:.3} at nine in ten, {:.3} at 98 %, {:.3} at most, {:.3} at least",
            of.len(),
            at(0.5),
            at(0.9),
            at(0.98),
            at(0.9999),
            at(0.0)
        );
        if args.len() > 2 {
            for s in of.iter().filter(|s| own == (s.refused || !s.doubts.is_empty())) {
                println!("    {} as {}, {:?}, off {:?}: {:?}", s.driven, s.reviewed, s.asked, s.engine_off, s.doubts);
            }
        }
    }
}
