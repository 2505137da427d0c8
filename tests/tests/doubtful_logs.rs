//! Logs that contradict themselves or the car have to be suspected, and ordinary ones not.

use bitepoint_checks::made_log::{Recorder, made_log};
use bitepoint_checks::made_runs::{MadeRun, car, timed_runs};
use bitepoint_runlog::gears::known_ratios;
use bitepoint_runlog::measure::{MeasuredRun, ROLLOUT_M, measure};
use bitepoint_runlog::read::{Reading, read_from};
use bitepoint_runlog::start::find_starts;
use bitepoint_runlog::suspicion::{Kind, Suspicion, suspicions};
use rayon::prelude::*;

fn suspected(csv: &str, ratios: Option<&[f64]>) -> Vec<Suspicion> {
    let log = read_from("made.csv", csv.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
    let starts = find_starts(&log).starts;
    let runs: Vec<MeasuredRun> = starts.iter().filter_map(|s| measure(&log, s, ROLLOUT_M)).collect();
    suspicions(&log, &runs, ratios)
}

fn text(run: &MadeRun, recorder: Recorder, seed: u64) -> String {
    made_log(&[run], &recorder, seed).csv
}

/// Runs that hold their gears: wheels that spin throughout hide what car it is, and the suspicion says so.
fn gripping(count: usize, seed: u64) -> Vec<MadeRun> {
    timed_runs(count, seed).into_iter().filter(|r| r.run.launch.wheelspin_s < 3.0).collect()
}

#[test]
fn ordinary_logs_are_not_suspected() {
    let runs = gripping(60, 21);
    let false_alarms: Vec<String> = runs
        .par_iter()
        .enumerate()
        .filter_map(|(i, run)| {
            let hz = [5.0, 10.0, 25.0, 100.0][i % 4];
            let found = suspected(&text(run, Recorder::full(hz), i as u64), Some(&known_ratios(&run.vehicle)));
            found.first().map(|s| format!("{hz} Hz {}: {}", run.car, s.what))
        })
        .collect();
    assert!(runs.len() > 25 && false_alarms.is_empty(), "{} of {}: {false_alarms:#?}", false_alarms.len(), runs.len());
}

#[test]
fn a_speed_in_the_wrong_unit_is_told_by_acceleration_or_by_the_engine() {
    let runs = gripping(40, 22);
    let told: Vec<(bool, bool)> = runs
        .par_iter()
        .enumerate()
        .map(|(i, run)| {
            let ratios = known_ratios(&run.vehicle);
            let names_it = |recorder: Recorder| {
                let csv = text(run, recorder, i as u64).replacen("speed (km/h)", "speed (mph)", 1);
                let found = suspected(&csv, Some(&ratios));
                found
                    .iter()
                    .any(|s| s.kind == Kind::SpeedUnit && s.what.contains("in km/h") && s.what.contains("--map"))
            };
            let full = Recorder::full(10.0);
            (names_it(Recorder { engine: false, ..full }), names_it(Recorder { acceleration: false, ..full }))
        })
        .collect();
    let share = |of: fn(&(bool, bool)) -> bool| told.iter().filter(|t| of(t)).count() as f64 / told.len() as f64;
    println!("of {}: {:.2} by acceleration, {:.2} by engine speed", told.len(), share(|t| t.0), share(|t| t.1));
    assert!(share(|t| t.0) > 0.95 && share(|t| t.1) > 0.8);
}

#[test]
fn a_log_of_another_car_is_told() {
    let runs = gripping(60, 23);
    let told = runs.par_iter().enumerate().filter(|(i, run)| {
        let own = (0..5).find(|place| car(*place).0 == run.car).expect("one of the cars");
        let (_, vehicle) = car(own + 1 + i % 4);
        let found = suspected(&text(run, Recorder::full(10.0), *i as u64), Some(&known_ratios(&vehicle)));
        found.iter().any(|s| matches!(s.kind, Kind::OtherCar | Kind::SpeedUnit))
    });
    let told = told.count();
    println!("{told} of {} logs of another car", runs.len());
    assert!(told as f64 > 0.8 * runs.len() as f64, "{told} of {}", runs.len());
}

#[test]
fn a_speed_that_no_car_has_is_told() {
    let run = &gripping(6, 24)[0];
    let csv = text(run, Recorder::receiver(10.0), 1).replacen("speed (km/h)", "speed (m/s)", 1);
    let found = suspected(&csv, None);
    assert!(found.iter().any(|s| s.kind == Kind::Absurd), "{found:?}");
}
