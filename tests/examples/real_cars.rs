//! Compares the model with the trend of 110 measured cars: the tables and the charts of `docs/trust/real-cars.md` on it. `calibrate` makes
//! the others.
use std::path::Path;

use bitepoint_checks::real::best_launch::Best;
use bitepoint_checks::real::chart;
use bitepoint_checks::real::line::{mean, rms};
use bitepoint_checks::real::parts::Part;
use bitepoint_checks::real::rows;
use bitepoint_checks::real::spread_sheets::{Sheet, sheets};
use bitepoint_checks::real::spread_tests::{self, Law, SheetRun, Times};

fn main() {
    modern(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/trust"));
}

/// The part throttle of a start, for a table.
fn part_throttle(best: &Best) -> String {
    match best.scenario.driver.part_throttle {
        Some(part) => format!("{:.2} to {:.0} m/s", part.held, part.until_mps),
        None => "wide open".to_owned(),
    }
}

fn modern(folder: &Path) {
    let rows = rows::modern();
    let law = Law::of(&rows);
    println!("\nRoad tests of 2015, {} cars", rows.len());
    println!(
        "ln quarter = {:.3} + {:.4} ln t60, RMS {:.2} %; ln t30 = {:.2} + {:.2} ln t60, RMS {:.1} %",
        law.quarter.intercept,
        law.quarter.slope,
        100.0 * law.quarter_rms,
        law.thirty.intercept,
        law.thirty.slope,
        100.0 * law.thirty_rms
    );
    for driven in ["FWD", "RWD", "AWD"] {
        let of: Vec<_> = rows.iter().filter(|r| r.driven == driven).map(|r| r.times()).collect();
        println!(
            "measured {driven}: {} cars, quarter {:+.2} % on average, 0-30 {:+.1} %",
            of.len(),
            100.0 * mean(of.iter().map(|t| law.quarter_residual(t))),
            100.0 * mean(of.iter().map(|t| law.thirty_residual(t)))
        );
    }
    for (low, high) in [(0.0, 6.0), (6.0, 7.5), (7.5, 9.0), (9.0, 14.0)] {
        let of: Vec<_> = rows.iter().filter(|r| r.t_0_60_s >= low && r.t_0_60_s < high).map(|r| r.times()).collect();
        println!(
            "measured 0-60 of {low} to {high} s: {} cars, quarter {:+.2} % on average, 0-30 {:+.1} %",
            of.len(),
            100.0 * mean(of.iter().map(|t| law.quarter_residual(t))),
            100.0 * mean(of.iter().map(|t| law.thirty_residual(t)))
        );
    }
    let sheets = sheets();
    let mut results: Vec<(Part, Vec<SheetRun>)> = Vec::new();
    for part in Part::ALL {
        results.push((part, spread_tests::run(&sheets, part)));
    }
    let of = |part: Part| &results.iter().find(|r| r.0 == part).expect("all parts were run").1;
    println!(
        "\n  kg  kW driven turbo   0-30   0-60  quarter  residual %: quarter 0-30 rollout | more grip  all driven  no shift  | spin s  how driven"
    );
    for (i, sheet) in sheets.iter().enumerate() {
        let run = &of(Part::None)[i];
        let residual = |part: Part| 100.0 * law.quarter_residual(&of(part)[i].from_rest);
        println!(
            "{:>4} {:>3.0} {:>5} {:>5} {:>7.2} {:>6.2} {:>7.2} {:>+16.2} {:>+6.1} {:>+6.2}   | {:>+6.2} {:>+6.2} {:>+6.2} | {:.1}  {:.0} rpm, {:.1} s, {:.1} s, {}, {:.0} rpm, {}; shafts {:.2}",
            sheet.mass_kg,
            sheet.power_kw,
            sheet.driven,
            if sheet.is_turbo { "yes" } else { "no" },
            run.from_rest.thirty_s,
            run.from_rest.sixty_s,
            run.from_rest.quarter_s,
            residual(Part::None),
            100.0 * law.thirty_residual(&run.from_rest),
            100.0 * law.quarter_residual(&run.with_rollout),
            residual(Part::Grip),
            residual(Part::AllWheels),
            residual(Part::Shifts),
            run.best.run.launch.wheelspin_s,
            run.best.scenario.driver.held_radps * 60.0 / core::f64::consts::TAU,
            run.best.launch.release_s,
            run.best.launch.throttle_ease_s,
            part_throttle(&run.best),
            run.best.launch.shift_at_radps[0] * 60.0 / core::f64::consts::TAU,
            if run.best.keeps_foot_down { "foot down" } else { "trims" },
            run.best.run.peaks.shaft_torque_nm / run.best.run.peaks.steady_shaft_torque_nm,
        );
    }
    for (i, sheet) in sheets.iter().enumerate() {
        if law.quarter_residual(&of(Part::None)[i].from_rest).abs() > 0.02 {
            print_taken_apart(
                sheet,
                &law,
                [&of(Part::NoPartThrottle)[i], &of(Part::TrackTyres)[i], &of(Part::SportsCar)[i]],
            );
        }
    }
    let early = |run: &&SheetRun| run.best.run.shifts.first().is_some_and(|shift| shift.speed_mps < 30.0 * 0.44704);
    println!(
        "{} of {} best runs leave first gear under 30 mph, because spinning tyres take the engine to its shift speed",
        of(Part::None).iter().filter(early).count(),
        sheets.len()
    );
    let holds_part = |run: &&SheetRun| run.best.scenario.driver.part_throttle.is_some();
    println!("{} hold a part throttle", of(Part::None).iter().filter(holds_part).count());
    println!("\nResiduals over the {} sheets with one part changed", sheets.len());
    for (part, runs) in &results {
        let quarter: Vec<f64> = runs.iter().map(|r| 100.0 * law.quarter_residual(&r.from_rest)).collect();
        let thirty: Vec<f64> = runs.iter().map(|r| 100.0 * law.thirty_residual(&r.from_rest)).collect();
        print_part(part.name(), &sheets, &quarter, &thirty, mean(runs.iter().map(|r| r.from_rest.sixty_s)));
    }
    let rolled: Vec<f64> = of(Part::None).iter().map(|r| 100.0 * law.quarter_residual(&r.with_rollout)).collect();
    let rolled30: Vec<f64> = of(Part::None).iter().map(|r| 100.0 * law.thirty_residual(&r.with_rollout)).collect();
    let (estimated, gripping) = (of(Part::None), of(Part::Grip));
    chart::residuals(&folder.join("road-tests-2015.svg"), &law, &rows, &sheets, estimated);
    chart::sheets(&folder.join("road-tests-2015-sheets.svg"), &law, &sheets, estimated, gripping);
    print_part(
        "one foot of rollout",
        &sheets,
        &rolled,
        &rolled30,
        mean(of(Part::None).iter().map(|r| r.with_rollout.sixty_s)),
    );
}

/// What a sheet off the line would need: other drivers, other tyres, and by how much more grip it comes within 2 %.
fn print_taken_apart(sheet: &Sheet, law: &Law, [no_part_throttle, track, sports]: [&SheetRun; 3]) {
    println!("{:.0} kg {:.0} kW {}:", sheet.mass_kg, sheet.power_kw, sheet.driven);
    let print = |name: &str, times: &Times| {
        println!(
            "{name:>26}: 0-30 {:.2} s, 0-60 {:.2} s, quarter {:.2} s, residual {:+.2} %",
            times.thirty_s,
            times.sixty_s,
            times.quarter_s,
            100.0 * law.quarter_residual(times)
        );
    };
    print(Part::NoPartThrottle.name(), &no_part_throttle.from_rest);
    print(Part::TrackTyres.name(), &track.from_rest);
    print(Part::SportsCar.name(), &sports.from_rest);
    for tenths in 1..=8 {
        let run = spread_tests::sheet_run(&sheet.text, Part::GripByTenths(tenths));
        print(&format!("grip times {:.1}", 1.0 + 0.1 * f64::from(tenths)), &run.from_rest);
        if law.quarter_residual(&run.from_rest).abs() < 0.02 {
            break;
        }
    }
}

fn print_part(name: &str, sheets: &[Sheet], quarter: &[f64], thirty: &[f64], sixty_s: f64) {
    let of_axle = |values: &[f64], driven: &str| {
        mean(sheets.iter().zip(values).filter(|(s, _)| s.driven == driven).map(|(_, r)| *r))
    };
    println!(
        "{name:>26}: quarter {:+.2} % mean, {:.2} % RMS (front {:+.2}, rear {:+.2}, all {:+.2}), {} of {} off by over 2 %; 0-30 {:+.1} % mean, {:.1} % RMS (front {:+.1}, rear {:+.1}, all {:+.1}); 0-60 {sixty_s:.2} s on average",
        mean(quarter.iter().copied()),
        rms(quarter.iter().copied()),
        of_axle(quarter, "front"),
        of_axle(quarter, "rear"),
        of_axle(quarter, "all"),
        quarter.iter().filter(|r| r.abs() > 2.0).count(),
        quarter.len(),
        mean(thirty.iter().copied()),
        rms(thirty.iter().copied()),
        of_axle(thirty, "front"),
        of_axle(thirty, "rear"),
        of_axle(thirty, "all"),
    );
}
