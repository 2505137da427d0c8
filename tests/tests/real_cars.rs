//! The model against measured cars. `docs/trust/real-cars.md` tells the whole of it, failures included.
//!
//! The margins of the quarter mile and of the cars of 1974 were chosen before the first run, that of the drag after it. Two checks
//! that were chosen with them fail and are told there, not tested here: the bands of 1974 and the times to 30 mph.

use std::sync::LazyLock;

use bitepoint_checks::real::line::mean;
use bitepoint_checks::real::parts::Part;
use bitepoint_checks::real::period_sheet::PowerReading;
use bitepoint_checks::real::period_tests::{self, agreement, regression};
use bitepoint_checks::real::rows::{self, PeriodRow};
use bitepoint_checks::real::spread_sheets::{Sheet, sheets};
use bitepoint_checks::real::spread_tests::{self, Law, SheetRun};

static LAW: LazyLock<Law> = LazyLock::new(|| Law::of(&rows::modern()));
static SPREAD: LazyLock<(Vec<Sheet>, Vec<SheetRun>)> = LazyLock::new(|| {
    let sheets = sheets();
    let runs = spread_tests::run(&sheets, Part::None);
    (sheets, runs)
});

fn manual() -> Vec<PeriodRow> {
    rows::period().into_iter().filter(|row| row.manual == 1).collect()
}

/// The figures that were found when the tables were taken over, with another program.
#[test]
fn the_tables_have_the_fits_that_are_known_of_them() {
    let law = *LAW;
    assert!((law.quarter.intercept - 1.975).abs() < 1e-3, "{law:?}");
    assert!((law.quarter.slope - 0.3906).abs() < 1e-4, "{law:?}");
    assert!((law.quarter_rms - 0.0057).abs() < 1e-4, "{law:?}");
    assert!((law.thirty.intercept + 0.60).abs() < 0.01 && (law.thirty.slope - 0.84).abs() < 0.01, "{law:?}");

    let all = rows::period();
    let (line, rms_s, correlation) = regression(all.iter());
    assert!((line.slope - 0.258).abs() < 1e-3 && (line.intercept - 2.065).abs() < 1e-3, "{line:?}");
    assert!((rms_s - 1.00).abs() < 0.01, "{rms_s} {correlation}");
    let manual = manual();
    let (line, rms_s, _) = regression(manual.iter());
    assert_eq!(manual.len(), 13);
    assert!((line.slope - 0.240).abs() < 1e-3 && (line.intercept - 2.113).abs() < 1e-3, "{line:?}");
    assert!((rms_s - 0.86).abs() < 0.01, "{rms_s}");
}

/// Road tests of 2015: 110 cars lie on one line with a scatter of 0.57 %; a sheet off it by over 2 % is wrong in shift loss, drag,
/// driveline or start, unless it lacks grip.
#[test]
fn a_quarter_mile_off_the_line_of_measured_cars_is_a_lack_of_grip() {
    let (sheets, runs) = &*SPREAD;
    let residual = |run: &SheetRun| LAW.quarter_residual(&run.from_rest);
    let off: Vec<Sheet> =
        sheets.iter().zip(runs).filter(|(_, run)| residual(run).abs() > 0.02).map(|(s, _)| s.clone()).collect();
    for (part, runs) in [Part::Grip, Part::AllWheels].map(|part| (part, spread_tests::run(&off, part))) {
        for (sheet, run) in off.iter().zip(runs) {
            assert!(residual(&run).abs() < 0.02, "{part:?}: {:+.4} of {}", residual(&run), sheet.text);
        }
    }
}

#[test]
fn cars_that_drive_all_wheels_lie_on_the_line_of_measured_cars() {
    let (sheets, runs) = &*SPREAD;
    for (sheet, run) in sheets.iter().zip(runs).filter(|(sheet, _)| sheet.driven == "all") {
        let residual = LAW.quarter_residual(&run.from_rest);
        assert!(residual.abs() < 0.02, "{residual:+.4} of {}", sheet.text);
    }
}

/// The check above can fail: a model without air drag leaves the line by more than the scatter of the measured cars.
#[test]
fn the_line_of_measured_cars_shows_a_model_without_drag() {
    let (sheets, runs) = &*SPREAD;
    let all: Vec<Sheet> = sheets.iter().filter(|sheet| sheet.driven == "all").cloned().collect();
    let with_drag = sheets.iter().zip(runs).filter(|(sheet, _)| sheet.driven == "all").map(|(_, run)| run);
    let without_drag = spread_tests::run(&all, Part::Drag);
    let moved = mean(without_drag.iter().map(|run| LAW.quarter_residual(&run.from_rest)))
        - mean(with_drag.map(|run| LAW.quarter_residual(&run.from_rest)));
    assert!(moved < -LAW.quarter_rms, "{moved}");
}

/// Road tests of 1973-74: sheets of six figures each order the cars as well as a line that was fitted to these very rows.
#[test]
fn cars_of_1974_are_told_apart_as_well_as_by_a_line_fitted_to_them() {
    let rows = manual();
    let (_, regression_rms_s, regression_correlation) = regression(rows.iter());
    for reading in [PowerReading::Gross, PowerReading::Net] {
        let found = agreement(period_tests::run(&rows, reading, Part::None).iter());
        assert!(found.correlation > regression_correlation - 0.05, "{reading:?}: {found:?}");
        assert!(found.scatter_s < 1.25 * regression_rms_s, "{reading:?}: {found:?}");
    }
}
