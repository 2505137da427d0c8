//! Gears, shifts and latency of made logs against the runs that they were made of.

use bitepoint_checks::made_log::{Recorder, made_log};
use bitepoint_checks::made_runs::{MadeRun, timed_runs, uniform};
use bitepoint_physics::run::Shift;
use bitepoint_runlog::estimate::Estimate;
use bitepoint_runlog::gears::{Gears, gears, known_ratios};
use bitepoint_runlog::latency::against_acceleration;
use bitepoint_runlog::log::Log;
use bitepoint_runlog::measure::{MeasuredRun, ROLLOUT_M, measure};
use bitepoint_runlog::read::{Reading, read_from};
use bitepoint_runlog::start::find_starts;
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

struct Made {
    run: MadeRun,
    recorder: Recorder,
    moved_s: f64,
    log: Log,
    measured: MeasuredRun,
}

fn made(hz: f64, count: usize, seed: u64, acceleration: bool) -> Vec<Made> {
    timed_runs(count, seed)
        .into_par_iter()
        .enumerate()
        .map(|(i, run)| {
            let mut rng = Pcg64Mcg::new((seed as u128) << 64 | (i as u128) << 1 | 1);
            let latency_s = uniform(&mut rng, 0.0, 0.6);
            let recorder =
                Recorder { speed_latency_s: latency_s, speed_hz: hz.min(25.0), acceleration, ..Recorder::full(hz) };
            let text = made_log(&[&run], &recorder, seed + i as u64);
            let log = read_from("made.csv", text.csv.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
            let start = find_starts(&log).starts[0];
            let measured = measure(&log, &start, ROLLOUT_M).expect("a run");
            Made { run, recorder, moved_s: text.moved_s[0], log, measured }
        })
        .collect()
}

/// Shifts of the truth that are found with their gear and within a time of theirs, of all; and how many are invented.
fn shifts(made: &Made, gears: &Gears, within_s: f64, numbered: bool) -> (usize, usize, usize) {
    // Shifts on the clock of the engine's channels: first movement as the speed shows it is late.
    let zero_s = made.moved_s + made.recorder.speed_latency_s - made.measured.first_movement_s.value;
    // A gear that is hardly in before the run ends leaves nothing to be told by.
    let run = &made.run.run;
    let told = |s: &&Shift| s.duration_s.is_some_and(|d| s.time_s + d + 0.6 < run.duration_s);
    let truth: Vec<f64> = run.shifts.iter().filter(told).map(|s| s.time_s + zero_s).collect();
    let all: Vec<f64> = run.shifts.iter().map(|s| s.time_s + zero_s).collect();
    let hits = truth.iter().enumerate().filter(|(i, time_s)| {
        let from = *i as u8 + 1;
        gears.shifts.iter().any(|s| {
            (!numbered || s.from_gear == from && s.to_gear == from + 1) && (s.left_s - **time_s).abs() < within_s
        })
    });
    let invented = gears.shifts.iter().filter(|s| !all.iter().any(|t| (s.left_s - t).abs() < 2.0 * within_s)).count();
    (hits.count(), truth.len(), invented)
}

/// Wheels that spin through whole gears hide them: then only the falls of the engine are left to go by.
#[test]
fn shifts_of_a_known_car_are_found_with_gear_and_time() {
    for (hz, within_s) in [(10.0, 0.4), (25.0, 0.3), (100.0, 0.3)] {
        let mut counts = [(0, 0, 0); 2];
        for made in made(hz, 60, 11, true) {
            let gears = gears(&made.log, &made.measured, Some(&known_ratios(&made.run.vehicle))).expect("gears");
            let (hit, of, more) = shifts(&made, &gears, within_s, true);
            let slot = &mut counts[usize::from(made.run.run.launch.wheelspin_s > 2.0)];
            *slot = (slot.0 + hit, slot.1 + of, slot.2 + more);
        }
        let [(hits, all, invented), (spun_hits, spun, spun_invented)] = counts;
        println!(
            "{hz} Hz: {hits} of {all} shifts, {invented} invented; {spun_hits} of {spun}, {spun_invented} invented with wheelspin"
        );
        assert!(all > 60 && hits as f64 > 0.95 * all as f64 && (invented as f64) < 0.02 * all as f64, "{hz} Hz");
        assert!(spun > 20 && spun_hits as f64 > 0.7 * spun as f64, "{hz} Hz");
    }
}

#[test]
fn shifts_of_an_unknown_car_are_found_in_time() {
    let (mut hits, mut all) = (0, 0);
    for made in made(25.0, 60, 12, true) {
        let gears = gears(&made.log, &made.measured, None).expect("gears");
        let (hit, of, _) = shifts(&made, &gears, 0.3, false);
        (hits, all) = (hits + hit, all + of);
    }
    println!("{hits} of {all} shifts");
    assert!(hits as f64 > 0.85 * all as f64, "{hits} of {all}");
}

fn covered(found: &[(Estimate, f64)], what: &str) -> f64 {
    let n = found.len() as f64;
    let rms = (found.iter().map(|(e, t)| (e.value - t).powi(2)).sum::<f64>() / n).sqrt();
    let bias = found.iter().map(|(e, t)| e.value - t).sum::<f64>() / n;
    let stated = found.iter().map(|(e, _)| e.sd).sum::<f64>() / n;
    let share = found.iter().filter(|(e, t)| e.covers(*t)).count() as f64 / n;
    println!(
        "{what}: {n} told, bias {bias:+.3} s, rms {rms:.3} s, stated {stated:.3} s, {:.0} % within",
        100.0 * share
    );
    share
}

#[test]
fn how_late_the_speed_is_can_be_told_from_acceleration_and_from_engine_speed() {
    for hz in [10.0, 25.0, 100.0] {
        let all = made(hz, 60, 13, true);
        let truth = |m: &Made| m.recorder.speed_latency_s;
        let by_acceleration: Vec<(Estimate, f64)> =
            all.iter().filter_map(|m| Some((against_acceleration(&m.log.stretches[0])?.late_s, truth(m)))).collect();
        let by_engine: Vec<(Estimate, f64)> = made(hz, 60, 13, false)
            .iter()
            .filter_map(|m| {
                Some((gears(&m.log, &m.measured, Some(&known_ratios(&m.run.vehicle)))?.speed_late_s?, truth(m)))
            })
            .collect();
        // Tyres that slip hide how late the speed is: engine speed shows it in a third of these starts at least.
        assert!(
            by_acceleration.len() > 55 && by_engine.len() > 19,
            "{} and {}",
            by_acceleration.len(),
            by_engine.len()
        );
        assert!(covered(&by_acceleration, &format!("{hz} Hz, acceleration")) > 0.8);
        assert!(covered(&by_engine, &format!("{hz} Hz, engine speed")) > 0.8);
    }
}
