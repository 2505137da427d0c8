//! The road tests of 1973-74 against the model: each car's best quarter mile and its band, bias, scatter and correlation.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_runner::bands::{Band, bands};
use rayon::prelude::*;

use super::best_launch::{Best, best_launch, gate};
use super::line::{Line, correlation, mean, rms};
use super::period_sheet::{PowerReading, text};
use super::rows::PeriodRow;

/// Runs with moved values for each band.
const BAND_RUNS: u32 = 128;
const SEED: u32 = 1974;

/// One car, measured and computed.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodCar {
    /// Its road test.
    pub row: PeriodRow,
    /// Computed quarter mile, s from the first movement.
    pub computed_s: f64,
    /// From the 5th to the 95th percentile of the moved sheets; nothing if too many of them did not finish.
    pub band: Option<Band>,
    /// How it was driven.
    pub best: Best,
}

/// How a group of cars came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// Number of cars.
    pub cars: usize,
    /// Mean of computed less measured, s.
    pub bias_s: f64,
    /// Root mean square of computed less measured, s.
    pub rms_s: f64,
    /// Root mean square about the bias, s.
    pub scatter_s: f64,
    /// Correlation of computed and measured.
    pub correlation: f64,
    /// Cars whose measured time lies within their band.
    pub inside: usize,
    /// Mean half width of the bands, s.
    pub half_band_s: f64,
}

/// Runs the cars.
///
/// # Panics
/// If a sheet made by the rules is refused or no start gets the car to the finish.
#[must_use]
pub fn run(rows: &[PeriodRow], reading: PowerReading) -> Vec<PeriodCar> {
    rows.par_iter().map(|row| car(row, reading)).collect()
}

fn car(row: &PeriodRow, reading: PowerReading) -> PeriodCar {
    let file = VehicleFile::parse("sheet.toml", &text(row, reading)).expect("the rules make a valid sheet");
    let day = ScenarioFile::default();
    let expected = file.resolve().vehicle;
    let plan = day.resolve(&expected).expect("the built-in day suits every car").scenario;
    let best = best_launch(&expected, &plan).expect("some start gets the car to the finish");
    let computed_s = gate(&best.run, "1320 ft").expect("the search looks for it").time_s;
    let bands = bands(&file, &expected, &as_file(&day, &best), BAND_RUNS, SEED);
    let band = bands.gates.iter().find(|g| g.gate == "1320 ft").map(|g| g.from_movement);
    PeriodCar { row: row.clone(), computed_s, band, best }
}

/// The day with this start written into it, so that the moved cars are driven alike.
fn as_file(day: &ScenarioFile, best: &Best) -> ScenarioFile {
    let driver = &best.scenario.driver;
    let rpm = |radps: f64| format!("{:.1} rpm", radps * 60.0 / core::f64::consts::TAU);
    [
        ("launch.revs", rpm(driver.held_radps)),
        ("launch.release_time", format!("{:.4} s", driver.release_s)),
        ("launch.throttle_ease", format!("{:.4} s", driver.throttle_ease_s)),
        ("shifting.shift_at", format!("\"{}\"", rpm(driver.shift_at_radps[0]))),
    ]
    .iter()
    .fold(day.clone(), |file, (key, value)| file.with(key, value).expect("the search stays within what a file may say"))
}

/// Bias, errors, correlation and bands of a group.
#[must_use]
pub fn agreement<'a>(cars: impl Iterator<Item = &'a PeriodCar> + Clone) -> Agreement {
    let errors: Vec<f64> = cars.clone().map(|c| c.computed_s - c.row.quarter_mile_s).collect();
    let pairs: Vec<(f64, f64)> = cars.clone().map(|c| (c.row.quarter_mile_s, c.computed_s)).collect();
    let bias_s = mean(errors.iter().copied());
    Agreement {
        cars: errors.len(),
        bias_s,
        rms_s: rms(errors.iter().copied()),
        scatter_s: rms(errors.iter().map(|e| e - bias_s)),
        correlation: correlation(&pairs),
        inside: cars.clone().filter(|c| is_inside(c)).count(),
        half_band_s: mean(cars.filter_map(|c| c.band).map(|band| 0.5 * (band.high_s - band.low_s))),
    }
}

/// Whether the measured time lies within the band.
#[must_use]
pub fn is_inside(car: &PeriodCar) -> bool {
    car.band.is_some_and(|band| (band.low_s..=band.high_s).contains(&car.row.quarter_mile_s))
}

/// The regression ln(time) = slope ln(weight / power) + intercept on the same rows, lb and hp as they stand, and its RMS error, s.
#[must_use]
pub fn regression<'a>(rows: impl Iterator<Item = &'a PeriodRow> + Clone) -> (Line, f64, f64) {
    let points: Vec<(f64, f64)> =
        rows.clone().map(|r| ((r.weight_lb / r.gross_power_hp).ln(), r.quarter_mile_s.ln())).collect();
    let line = Line::through(&points);
    let pairs: Vec<(f64, f64)> = rows
        .map(|r| (r.quarter_mile_s, line.at((r.weight_lb / r.gross_power_hp).ln()).exp()))
        .collect();
    (line, rms(pairs.iter().map(|p| p.1 - p.0)), correlation(&pairs))
}
