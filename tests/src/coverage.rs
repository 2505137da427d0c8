//! Whether the stated errors of measured gates hold: made logs, timed, against the runs they were made of.

use bitepoint_runlog::estimate::Estimate;
use bitepoint_runlog::measure::{MeasuredRun, ROLLOUT_M, measure};
use bitepoint_runlog::read::{Reading, read_from};
use bitepoint_runlog::start::find_starts;
use rand_pcg::Pcg64Mcg;

use crate::made_log::{MadeLog, Recorder, made_log};
use crate::made_runs::{MadeRun, timed_runs, uniform};

/// Rates at which logs are made, Hz.
pub const RATES_HZ: [f64; 5] = [1.0, 5.0, 10.0, 25.0, 100.0];

/// A made log with its truth.
pub struct Case {
    /// The instrument.
    pub recorder: Recorder,
    /// The runs.
    pub runs: Vec<MadeRun>,
    /// The log.
    pub log: MadeLog,
}

/// One number against the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// What it is.
    pub name: String,
    /// Measured less true.
    pub error: f64,
    /// Stated standard error.
    pub sd: f64,
    /// Whether the 95 % interval holds the truth.
    pub covered: bool,
}

/// What became of a log.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outcome {
    /// Every gate that was measured.
    pub gates: Vec<Hit>,
    /// Starts that the log was made of.
    pub starts_made: usize,
    /// Of those, found.
    pub starts_found: usize,
    /// Found where there is none.
    pub starts_invented: usize,
    /// Gates that the truth passed well before the run's end and the measurement did not.
    pub gates_missed: usize,
}

/// So many logs at each rate, each of its own instrument, with one or two runs.
#[must_use]
pub fn cases(a_rate: usize, seed: u64) -> Vec<Case> {
    let at = |(place, hz): (usize, f64)| cases_at(hz, hz, a_rate, seed * 1000 + place as u64);
    RATES_HZ.into_iter().enumerate().flat_map(at).collect()
}

/// So many logs at one rate, whose speed is measured at another.
#[must_use]
pub fn cases_at(hz: f64, speed_hz: f64, count: usize, seed: u64) -> Vec<Case> {
    let mut left = timed_runs(count + count.div_ceil(4), seed).into_iter();
    (0..count)
        .map(|i| {
            let mut rng = Pcg64Mcg::new(u128::from(seed) << 64 | (i as u128) << 1 | 1);
            let recorder = Recorder {
                speed_noise_mps: uniform(&mut rng, 0.02, 0.15),
                speed_latency_s: uniform(&mut rng, 0.0, 0.6),
                speed_step_kmh: [0.0, 0.01, 0.1, 1.0][uniform(&mut rng, 0.0, 4.0) as usize],
                dropouts_per_minute: uniform(&mut rng, 0.0, 2.0),
                speed_hz,
                ..Recorder::receiver(hz)
            };
            let take = if i % 4 == 0 { 2 } else { 1 };
            let runs: Vec<MadeRun> = left.by_ref().take(take).collect();
            let log = made_log(&runs.iter().collect::<Vec<_>>(), &recorder, seed * 7919 + i as u64);
            Case { recorder, runs, log }
        })
        .collect()
}

/// Reads and times a made log and holds it against its truth.
#[must_use]
pub fn check(case: &Case) -> Outcome {
    let log = read_from("made.csv", case.log.csv.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
    let found = find_starts(&log);
    let mut outcome = Outcome { starts_made: case.runs.len(), ..Outcome::default() };
    let mut taken = vec![false; found.starts.len()];
    for (run, moved_s) in case.runs.iter().zip(&case.log.moved_s) {
        let shown_s = moved_s + case.recorder.speed_latency_s;
        let slack_s = 2.0 / case.recorder.hz + 1.5;
        let near = |s: &bitepoint_runlog::start::Start| {
            s.stood_until_s < shown_s + slack_s && s.moved_by_s > shown_s - slack_s
        };
        let Some(place) = found.starts.iter().position(near) else { continue };
        outcome.starts_found += 1;
        taken[place] = true;
        let Some(measured) = measure(&log, &found.starts[place], ROLLOUT_M) else { continue };
        compare(&measured, run, shown_s, &mut outcome);
    }
    outcome.starts_invented = taken.iter().filter(|t| !**t).count();
    outcome
}

fn compare(measured: &MeasuredRun, run: &MadeRun, shown_s: f64, outcome: &mut Outcome) {
    let mut hit = |name: String, estimate: Estimate, truth: f64| {
        outcome.gates.push(Hit {
            name,
            error: estimate.value - truth,
            sd: estimate.sd,
            covered: estimate.covers(truth),
        });
    };
    hit("first movement".to_owned(), measured.first_movement_s, shown_s);
    let mut missed = 0;
    for (gate, truth) in measured.gates.iter().zip(&run.run.gates) {
        match (gate.passed, truth.passed) {
            (Some(passed), Some(truth)) => {
                hit(gate.name.to_owned(), passed.time_s, truth.time_s);
                if let Some((rolled, true_rolled)) = passed.with_rollout_s.zip(truth.with_rollout_s) {
                    hit(format!("{} rolled", gate.name), rolled, true_rolled);
                }
            }
            (None, Some(truth)) => missed += usize::from(truth.time_s < run.run.duration_s - 2.0),
            _ => {}
        }
    }
    for (trap, truth) in measured.traps_mps.iter().zip(&run.run.traps) {
        if let Some((value, truth)) = trap.value.zip(truth.speed_mps) {
            hit(format!("trap {}", trap.name), value, truth);
        }
    }
    for (rolling, truth) in measured.rolling_s.iter().zip(&run.run.rolling) {
        if let Some((value, truth)) = rolling.value.zip(truth.time_s) {
            hit(rolling.name.to_owned(), value, truth);
        }
    }
    outcome.gates_missed += missed;
}
