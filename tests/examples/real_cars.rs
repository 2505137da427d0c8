//! Holds the model against measured cars: prints the tables and writes the charts of `docs/trust/real-cars.md`.
use bitepoint_checks::real::line::{mean, rms};
use bitepoint_checks::real::parts::Part;
use bitepoint_checks::real::period_sheet::PowerReading;
use bitepoint_checks::real::period_tests::{self, Agreement, PeriodCar, agreement, is_inside, regression};
use bitepoint_checks::real::rows::{self, PeriodRow};
use bitepoint_checks::real::spread_sheets::{Sheet, sheets};
use bitepoint_checks::real::spread_tests::{self, Law, SheetRun};

fn main() {
    period();
    modern();
}

fn period() {
    let rows = rows::period();
    for (title, reading) in [("SAE gross", PowerReading::Gross), ("SAE net", PowerReading::Net)] {
        let cars = period_tests::run(&rows, reading);
        println!("\nRoad tests of 1973-74, power taken as {title}");
        println!("row gears         lb   hp    measured computed  error   5-95 % band   inside  how driven");
        cars.iter().for_each(print_period_car);
        for (group, manual) in [("manual", 1), ("automatic", 0)] {
            print_agreement(group, &agreement(cars.iter().filter(|c| c.row.manual == manual)));
            let of_group: Vec<PeriodRow> = rows.iter().filter(|r| r.manual == manual).cloned().collect();
            let (line, rms_s, correlation) = regression(of_group.iter());
            println!(
                "          regression: ln t = {:.3} ln(W/P) + {:.3}, RMS {rms_s:.2} s, correlation {correlation:.3}",
                line.slope, line.intercept
            );
        }
    }
}

fn print_period_car(car: &PeriodCar) {
    let PeriodCar { row, computed_s, band, best } = car;
    let band_text = band.map_or_else(|| "-".to_owned(), |b| format!("{:.2} to {:.2}", b.low_s, b.high_s));
    println!(
        "{:>3} {} {} {:>9} {:>4} {:>10.2} {computed_s:>8.2} {:>+6.2}  {band_text:>15} {:>5}  {:.0} rpm, {:.1} s, {:.1} s, {:.0} rpm, spin {:.1} s",
        row.row,
        row.forward_gears,
        if row.manual == 1 { "manual" } else { "auto  " },
        row.weight_lb,
        row.gross_power_hp,
        row.quarter_mile_s,
        computed_s - row.quarter_mile_s,
        if is_inside(car) { "yes" } else { "no" },
        best.scenario.driver.held_radps * 60.0 / core::f64::consts::TAU,
        best.start.release_s,
        best.start.ease_s,
        best.scenario.driver.shift_at_radps[0] * 60.0 / core::f64::consts::TAU,
        best.run.launch.wheelspin_s,
    );
}

fn print_agreement(group: &str, a: &Agreement) {
    println!(
        "{group:>9} {} cars: bias {:+.2} s, RMS {:.2} s, about the bias {:.2} s, correlation {:.3}, {} inside a band of ±{:.2} s",
        a.cars, a.bias_s, a.rms_s, a.scatter_s, a.correlation, a.inside, a.half_band_s
    );
}

fn modern() {
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
        let of: Vec<_> =
            rows.iter().filter(|r| r.t_0_60_s >= low && r.t_0_60_s < high).map(|r| r.times()).collect();
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
    println!("\n  kg  kW driven turbo   0-30   0-60  quarter  residual %: quarter 0-30 rollout | more grip  all driven  no shift  | spin s  how driven");
    for (i, sheet) in sheets.iter().enumerate() {
        let run = &of(Part::None)[i];
        let residual = |part: Part| 100.0 * law.quarter_residual(&of(part)[i].from_rest);
        println!(
            "{:>4} {:>3.0} {:>5} {:>5} {:>7.2} {:>6.2} {:>7.2} {:>+16.2} {:>+6.1} {:>+6.2}   | {:>+6.2} {:>+6.2} {:>+6.2} | {:.1}  {:.0} rpm, {:.1} s, {:.1} s, {:.2}, home {:?}",
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
            run.best.start.release_s,
            run.best.start.ease_s,
            run.best.start.shift_share,
            run.best.run.launch.clutch_home_s.map(|t| (t * 100.0).round() / 100.0),
        );
    }
    println!("\nResiduals over the {} sheets with one part idealised", sheets.len());
    for (part, runs) in &results {
        let quarter: Vec<f64> = runs.iter().map(|r| 100.0 * law.quarter_residual(&r.from_rest)).collect();
        let thirty: Vec<f64> = runs.iter().map(|r| 100.0 * law.thirty_residual(&r.from_rest)).collect();
        print_part(part.name(), &sheets, &quarter, &thirty, mean(runs.iter().map(|r| r.from_rest.sixty_s)));
    }
    let rolled: Vec<f64> =
        of(Part::None).iter().map(|r| 100.0 * law.quarter_residual(&r.with_rollout)).collect();
    let rolled30: Vec<f64> =
        of(Part::None).iter().map(|r| 100.0 * law.thirty_residual(&r.with_rollout)).collect();
    print_part("one foot of rollout", &sheets, &rolled, &rolled30, mean(of(Part::None).iter().map(|r| r.with_rollout.sixty_s)));
}

fn print_part(name: &str, sheets: &[Sheet], quarter: &[f64], thirty: &[f64], sixty_s: f64) {
    let of_axle = |driven: &str| {
        mean(sheets.iter().zip(quarter).filter(|(s, _)| s.driven == driven).map(|(_, r)| *r))
    };
    println!(
        "{name:>26}: quarter {:+.2} % mean, {:.2} % RMS (front {:+.2}, rear {:+.2}, all {:+.2}), {} of {} off by over 2 %; 0-30 {:+.1} % mean, {:.1} % RMS; 0-60 {sixty_s:.2} s on average",
        mean(quarter.iter().copied()),
        rms(quarter.iter().copied()),
        of_axle("front"),
        of_axle("rear"),
        of_axle("all"),
        quarter.iter().filter(|r| r.abs() > 2.0).count(),
        quarter.len(),
        mean(thirty.iter().copied()),
        rms(thirty.iter().copied()),
    );
}
