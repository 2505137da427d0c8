//! Whether the intervals of fitted values hold the truth: cars drawn from what their sheets leave open, driven, logged, fitted.

use std::collections::HashMap;

use bitepoint_inputs::scenario::{OpenLaunch, ScenarioFile};
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::vehicle::{Finish, Vehicle};
use bitepoint_runlog::log::Log;
use bitepoint_runlog::read::{Keep, Reading, read_from};
use bitepoint_runner::case::Case;
use bitepoint_runner::fit::{Asked, Fit, FitError, fit};
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::watch::Nobody;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

use crate::made_coasts::{made_coasts, rolls_out};
use crate::made_log::{Recorder, made_log};
use crate::made_runs::{MadeRun, driven};

/// Sheets from which cars are drawn.
const SHEETS: [(&str, &str); 3] = [
    ("ellisar-28", include_str!("../../vehicles/ellisar-28.toml")),
    ("gravane-62", include_str!("../../vehicles/gravane-62.toml")),
    ("tumbrill-14", include_str!("../../vehicles/tumbrill-14.toml")),
];
const DAY: &str = include_str!("../../scenarios/dry-flat.toml");

/// Deviates are drawn up to here: farther off a fit says that a value is at its limit.
const FARTHEST: f64 = 2.8;

/// Logs of one drawn car, with the truth.
pub struct FitCase {
    /// The sheet as its owner has it.
    pub vehicle: VehicleFile,
    /// The day as known.
    pub scenario: ScenarioFile,
    /// The launch that is recommended for the sheet: what the drivers of the starts mean to do.
    pub launch: Option<OpenLaunch>,
    /// True deviate of each uncertain input.
    pub truth: HashMap<String, f64>,
    /// True car.
    pub car: Vehicle,
    /// Log texts: starts, then coast-downs.
    pub logs: Vec<String>,
}

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitMaking {
    /// Standing starts.
    pub starts: usize,
    /// Coast-downs, there and back in turn.
    pub coasts: usize,
    /// Instrument.
    pub recorder: Recorder,
}

/// Draws a car, a day and drivers, and makes their logs; nothing if a start does not come to its end.
#[must_use]
pub fn drawn(place: usize, seed: u64, making: &FitMaking) -> Option<FitCase> {
    let mut rng = Pcg64Mcg::new(u128::from(seed) << 64 | (place as u128) << 1 | 1);
    let (name, text) = SHEETS[place % SHEETS.len()];
    let vehicle = VehicleFile::parse(name, text).unwrap_or_else(|e| panic!("{e}")).folded();
    let none = |_: &str| Err("there is none".to_owned());
    let scenario = ScenarioFile::parse("dry-flat", DAY, &none).unwrap_or_else(|e| panic!("{e}"));
    let expected = vehicle.resolve().vehicle;
    let launched = Case::new(vehicle.clone(), scenario.clone()).launched(&Wanted::usual(), &Nobody);
    let launch = launched.unwrap_or_else(|e| panic!("{e}")).launch;
    let mut normal = || loop {
        let z: f64 = StandardNormal.sample(&mut rng);
        if z.abs() < FARTHEST {
            return z;
        }
    };
    let mut keys = vehicle.uncertain_inputs();
    keys.extend(scenario.uncertain_keys(&expected).into_iter().map(str::to_owned));
    let truth: HashMap<String, f64> = keys.into_iter().map(|key| (key, normal())).collect();
    let at = |key: &str| truth.get(key).copied().unwrap_or(0.0);
    let car = vehicle.resolve_with(&at);
    let day = scenario.resolve_with(&expected, launch.as_ref(), &at);
    let mut runs: Vec<MadeRun> = Vec::new();
    for _ in 0..making.starts {
        let mut day = day.clone();
        let driver = &mut day.driver;
        driver.release_s *= (0.4 * normal()).exp();
        driver.throttle_ease_s = driver.throttle_ease_s.max(0.05) * (0.4 * normal()).exp();
        let held = (0.12 * normal()).exp();
        driver.held_radps *= held;
        driver.kept_radps = (driver.kept_radps * held * (0.16 * normal()).exp()).min(driver.held_radps);
        day.finish = Finish::Distance { distance_m: 400.0 };
        runs.push(driven(name, &car, &day)?);
    }
    let mut logs = Vec::new();
    if making.starts > 0 {
        logs.push(made_log(&runs.iter().collect::<Vec<_>>(), &making.recorder, seed * 31 + place as u64).csv);
    }
    if making.coasts > 0 {
        let load = rolls_out(&car, &day);
        let noise_mps = making.recorder.speed_noise_mps;
        logs.push(made_coasts(&load, making.coasts, 0.0, making.recorder.hz, noise_mps, &mut rng));
    }
    Some(FitCase { vehicle, scenario, launch, truth, car, logs })
}

/// Reads a log as a fit does.
#[must_use]
pub fn read_whole(name: &str, csv: &str) -> Log {
    let how = Reading { keep: Keep::Everything { most_rows: 1_000_000 }, ..Reading::default() };
    read_from(name, csv.as_bytes(), &how).unwrap_or_else(|e| panic!("{e}"))
}

/// Fits a case.
///
/// # Errors
/// As [`fit`].
pub fn fitted(case: &FitCase) -> Result<Fit, FitError> {
    let logs: Vec<Log> =
        case.logs.iter().enumerate().map(|(i, csv)| read_whole(&format!("made-{i}.csv"), csv)).collect();
    let asked = Asked {
        logs: &logs,
        vehicle: &case.vehicle,
        scenario: &case.scenario,
        launch: case.launch.as_ref(),
        leave_out: false,
        there_and_back: true,
    };
    fit(&asked, &Nobody)
}

/// How often a key's 95 % interval held the truth, and how far its error was from its stated size.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Held {
    /// Fits.
    pub of: usize,
    /// Of those, with the truth in the interval.
    pub held: usize,
    /// Sum of errors over standard errors.
    pub errors: f64,
    /// Sum of squares of errors over standard errors.
    pub squares: f64,
    /// Sum of the spreads left.
    pub spread_left: f64,
}

/// Adds what one fit says of each input that it tells.
pub fn tally(case: &FitCase, fit: &Fit, into: &mut HashMap<String, Held>) {
    for input in fit.inputs.iter().filter(|i| i.told.is_news()) {
        let error = (input.moved - case.truth[&input.key]) / input.spread_left;
        let held = into.entry(input.key.clone()).or_default();
        held.of += 1;
        held.held += usize::from(error.abs() < 1.96);
        held.errors += error;
        held.squares += error * error;
        held.spread_left += input.spread_left;
    }
}
