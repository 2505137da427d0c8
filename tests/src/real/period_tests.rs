//! The road tests of 1973-74 against the model: each car's best quarter mile and its band, bias, scatter and correlation.

use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_runner::bands::deviate;
use rayon::prelude::*;

use super::best_launch::{Best, best_launch, gate, tester_day};
use super::line::{Line, correlation, mean, rms};
use super::parts::Part;
use super::period_sheet::{PowerReading, text};
use super::rows::PeriodRow;

/// Moved sheets for each band.
const BAND_RUNS: u32 = 128;
const SEED: u32 = 1974;

/// One car, measured and computed.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodCar {
    /// Its road test.
    pub row: PeriodRow,
    /// Computed quarter mile, s from the first movement.
    pub computed_s: f64,
    /// The same from the end of a rollout of one foot, s.
    pub with_rollout_s: f64,
    /// 5th and 95th percentile of the moved sheets that reached the finish, s: a tester whose engine stalls goes again.
    pub band_s: (f64, f64),
    /// Moved sheets that did not reach it with this start.
    pub stalled: usize,
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
    /// The bias if the measured times had been taken with one foot of rollout, s.
    pub bias_with_rollout_s: f64,
    /// Cars whose measured time lies within their band.
    pub inside: usize,
    /// The same if the measured times had been taken with one foot of rollout.
    pub inside_with_rollout: usize,
    /// Mean half width of the bands, s.
    pub half_band_s: f64,
}

/// Runs the cars, with `part` changed.
///
/// # Panics
/// If a sheet made by the rules is refused or no start gets the car to the finish.
#[must_use]
pub fn run(rows: &[PeriodRow], reading: PowerReading, part: Part) -> Vec<PeriodCar> {
    rows.par_iter().map(|row| car(row, reading, part)).collect()
}

fn car(row: &PeriodRow, reading: PowerReading, part: Part) -> PeriodCar {
    let file =
        part.in_file(&VehicleFile::parse("sheet.toml", &text(row, reading)).expect("the rules make a valid sheet"));
    let mut expected = file.resolve().vehicle;
    let mut plan = tester_day().resolve(&expected).expect("the built-in day suits every car").scenario;
    part.apply(&mut expected, &mut plan);
    let best = best_launch(&expected, &plan, part.tester()).expect("some start gets the car to the finish");
    let finish = gate(&best.run, "1320 ft").expect("the search looks for it");
    let mut moved: Vec<f64> = (0..BAND_RUNS).filter_map(|draw| moved_s(&file, &best, part, draw)).collect();
    moved.sort_by(f64::total_cmp);
    let percentile = |share: f64| moved[(share * (moved.len() - 1) as f64).round() as usize];
    PeriodCar {
        row: row.clone(),
        computed_s: finish.time_s,
        with_rollout_s: finish.with_rollout_s.expect("a quarter mile is past the rollout"),
        band_s: (percentile(0.05), percentile(0.95)),
        stalled: BAND_RUNS as usize - moved.len(),
        best,
    }
}

/// The quarter mile of the car with its uncertain values and the grip of the road moved, driven alike.
fn moved_s(file: &VehicleFile, best: &Best, part: Part, draw: u32) -> Option<f64> {
    let normal = |key: &str| deviate(key, draw, SEED);
    let mut vehicle = file.resolve_with(&normal);
    let mut scenario = best.scenario.clone();
    let day = tester_day().resolve_with(&vehicle, None, &normal);
    scenario.surface = day.surface;
    scenario.clutch_start_c = day.clutch_start_c;
    let driver = scenario.driver.clone();
    part.apply(&mut vehicle, &mut scenario);
    scenario.driver = driver;
    gate(&simulate(&vehicle, &scenario, &Tolerances::default()).ok()?, "1320 ft").map(|p| p.time_s)
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
        bias_with_rollout_s: mean(cars.clone().map(|c| c.with_rollout_s - c.row.quarter_mile_s)),
        inside_with_rollout: cars
            .clone()
            .filter(|c| is_within(c, c.row.quarter_mile_s + c.computed_s - c.with_rollout_s))
            .count(),
        inside: cars.clone().filter(|c| is_inside(c)).count(),
        half_band_s: mean(cars.map(|c| 0.5 * (c.band_s.1 - c.band_s.0))),
    }
}

/// Whether the measured time lies within the band.
#[must_use]
pub fn is_inside(car: &PeriodCar) -> bool {
    is_within(car, car.row.quarter_mile_s)
}

fn is_within(car: &PeriodCar, time_s: f64) -> bool {
    (car.band_s.0..=car.band_s.1).contains(&time_s)
}

/// The regression ln(time) = slope ln(weight / power) + intercept on the same rows, lb and hp as they stand, and its RMS error, s.
#[must_use]
pub fn regression<'a>(rows: impl Iterator<Item = &'a PeriodRow> + Clone) -> (Line, f64, f64) {
    let points: Vec<(f64, f64)> =
        rows.clone().map(|r| ((r.weight_lb / r.gross_power_hp).ln(), r.quarter_mile_s.ln())).collect();
    let line = Line::through(&points);
    let pairs: Vec<(f64, f64)> =
        rows.map(|r| (r.quarter_mile_s, line.at((r.weight_lb / r.gross_power_hp).ln()).exp())).collect();
    (line, rms(pairs.iter().map(|p| p.1 - p.0)), correlation(&pairs))
}
