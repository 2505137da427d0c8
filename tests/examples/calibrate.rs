//! Calibrates the numbers of the rules on measured cars, and says how well they predict cars that they have not seen: the tables and the
//! chart of `docs/trust/real-cars.md`.
//!
//! `--write` also rewrites `crates/inputs/data/rules.toml`; the program must be built again to use it.

use std::path::Path;

use bitepoint_checks::real::calibration::{Calibrated, by_handbooks, calibrate, file_text};
use bitepoint_checks::real::chart;
use bitepoint_checks::real::evidence::{Car, Kind, Mark, cars};
use bitepoint_checks::real::line::mean;
use bitepoint_checks::real::prediction::{Launched, Prediction};
use bitepoint_inputs::rules::Rules;
use rayon::prelude::*;

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let cars = cars();
    let calibrated = calibrate(&cars);
    print_numbers(&calibrated);
    print_leverage(&cars, &calibrated);
    let handbooks = by_handbooks(Rules::built_in());
    let predicted = |rules: &(dyn Fn(usize) -> &'static Rules + Sync)| -> Vec<Prediction> {
        cars.par_iter().enumerate().map(|(i, car)| Launched::new(car, rules(i)).prediction()).collect()
    };
    let left_out = predicted(&|i| calibrated.without(i));
    println!("\nEach car left out: measured, computed, band");
    print_cars(&cars, &left_out);
    for (title, predictions) in [
        ("By the numbers that the program was built with", &predicted(&|_| Rules::built_in())),
        ("By handbooks alone", &predicted(&|_| handbooks)),
        ("Calibrated, each car left out", &left_out),
    ] {
        println!("\n{title}");
        print_groups(&cars, predictions);
    }
    chart::left_out(&root.join("docs/trust/cars-left-out.svg"), &cars, &left_out);
    if std::env::args().any(|argument| argument == "--write") {
        let path = root.join("crates/inputs/data/rules.toml");
        let before = std::fs::read_to_string(&path).expect("the file of rules can be read");
        std::fs::write(&path, file_text(&before, calibrated.rules)).expect("the file of rules can be written");
        println!("\nwrote crates/inputs/data/rules.toml");
    }
}

fn print_numbers(calibrated: &Calibrated) {
    let [speed, start] = calibrated.factors;
    println!("Factors on the scatters: {speed:.2} of what makes speed, {start:.2} of what makes a start\n");
    println!("| number | handbooks | with road tests | moved by |\n|---|---|---|---|");
    for n in calibrated.rules.numbers() {
        let moved = (n.value - n.prior) / n.prior_sd;
        println!("| {} | {} ± {} | {:.4} ± {:.4} | {moved:+.1} sd |", n.name, n.prior, n.prior_sd, n.value, n.sd);
    }
    println!("\nCorrelations beyond 0.2:");
    for (i, row) in calibrated.rules.correlations().iter().enumerate() {
        for (j, correlation) in row.iter().enumerate().filter(|(j, c)| *j < i && c.abs() > 0.2) {
            let name = |place: usize| &calibrated.rules.numbers()[place].name;
            println!("{:+.2}  {} / {}", correlation, name(i), name(j));
        }
    }
}

/// By how much one car more or less moves the numbers.
fn print_leverage(cars: &[Car], calibrated: &Calibrated) {
    println!("\nLeaving one car out moves a number by at most (in its own standard deviations):");
    let all = calibrated.rules.numbers();
    for (place, car) in cars.iter().enumerate() {
        let without = calibrated.without(place).numbers();
        let moved = all.iter().zip(without).map(|(a, b)| ((a.value - b.value) / a.sd, &a.name));
        if let Some((by, name)) = moved.max_by(|a, b| a.0.abs().total_cmp(&b.0.abs())) {
            println!("{:10} {by:+.2}  {name}", car.name);
        }
    }
}

fn print_cars(cars: &[Car], predictions: &[Prediction]) {
    for (car, found) in cars.iter().zip(predictions) {
        let of = |mark: Mark| {
            let place = mark as usize;
            car.measured(mark).map_or_else(String::new, |measured| {
                let (computed, band) = (found.figures[place], found.bands[place]);
                let error = 100.0 * (computed / measured.value).ln();
                let inside = if band.holds(measured.value) { "" } else { " !" };
                format!(
                    "{:.2} {computed:.2} {error:+.1} % [{:.2} {:.2}]{inside}",
                    measured.value, band.low_s, band.high_s
                )
            })
        };
        println!("| {} | {} |", car.name, Mark::ALL.map(of).join(" | "));
    }
}

fn print_groups(cars: &[Car], predictions: &[Prediction]) {
    println!(
        "| cars | figure | n | bias | RMS | in band | in band with the figure's own error |\n|---|---|---|---|---|---|---|"
    );
    let recent = |car: &Car| car.kind != Kind::Of1974;
    for kind in Kind::ALL {
        print_group(kind.name(), cars, predictions, &|car| car.kind == kind);
    }
    print_group("all of 1987-2017", cars, predictions, &recent);
    print_group("the eight cars of the second table", cars, predictions, &|car| {
        car.name.starts_with("manual 10") && car.name.len() > 9
    });
    print_group("all", cars, predictions, &|_| true);
}

fn print_group(name: &str, cars: &[Car], predictions: &[Prediction], is_in: &dyn Fn(&Car) -> bool) {
    for mark in Mark::ALL {
        let of: Vec<(f64, bool, bool)> = cars
            .iter()
            .zip(predictions)
            .filter(|(car, _)| is_in(car))
            .filter_map(|(car, found)| {
                let measured = car.measured(mark)?;
                let band = found.bands[mark as usize];
                let error = (found.figures[mark as usize] / measured.value).ln();
                let wider = band.widened(measured.relative_sd * measured.value);
                Some((error, band.holds(measured.value), wider.holds(measured.value)))
            })
            .collect();
        if of.is_empty() {
            continue;
        }
        println!(
            "| {name} | {} | {} | {:+.1} % | {:.1} % | {} | {} |",
            mark.name(),
            of.len(),
            100.0 * mean(of.iter().map(|o| o.0)),
            100.0 * mean(of.iter().map(|o| o.0 * o.0)).sqrt(),
            of.iter().filter(|o| o.1).count(),
            of.iter().filter(|o| o.2).count(),
        );
    }
}
