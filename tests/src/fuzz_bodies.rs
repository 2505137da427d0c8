//! What each fuzz target does with its bytes, shared with the test that replays the corpora.

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::run::{Ending, Run};
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::timing::{Mark, Passed};
use bitepoint_physics::vehicle::{Finish, Scenario};
use bitepoint_runlog::gears::gears;
use bitepoint_runlog::latency::against_acceleration;
use bitepoint_runlog::map::ColumnMap;
use bitepoint_runlog::measure::{ROLLOUT_M, measure};
use bitepoint_runlog::read::{Keep, Reading, read_from};
use bitepoint_runlog::start::find_starts;
use bitepoint_runlog::suspicion::suspicions;

use crate::drawn_inputs::{Bytes, CARS, draw};

/// A text as a vehicle file in both formats: values or problems, and what is resolved is finite.
pub fn vehicle_file(data: &[u8]) {
    let Ok(text) = core::str::from_utf8(data) else { return };
    for name in ["a.toml", "a.json"] {
        match VehicleFile::parse(name, text) {
            Ok(file) => {
                finite(&file.resolve().vehicle);
                let deviates = Bytes::new(data).deviates();
                finite(&file.resolve_with(&deviates));
            }
            Err(problems) => told(&problems, name),
        }
    }
}

/// Byte that parts a scenario's text from the text of its slope profile.
const PROFILE_FOLLOWS: char = '\u{1e}';

/// A text as a scenario file in both formats and, behind a record separator, its slope profile.
pub fn scenario_file(data: &[u8]) {
    let Ok(text) = core::str::from_utf8(data) else { return };
    let (text, csv) = text.split_once(PROFILE_FOLLOWS).unwrap_or((text, text));
    let car = VehicleFile::parse("car.toml", CARS[0]).unwrap_or_else(|e| panic!("{e}")).resolve().vehicle;
    for name in ["a.toml", "a.json"] {
        match ScenarioFile::parse(name, text, &|_| Ok(csv.to_owned())) {
            Ok(file) => match file.resolve(&car) {
                Ok(resolved) => {
                    finite(&resolved.scenario);
                    let deviates = Bytes::new(data).deviates();
                    finite(&file.resolve_with(&car, None, &deviates));
                }
                Err(problems) => told(&problems, name),
            },
            Err(problems) => told(&problems, name),
        }
    }
}

/// A car and a day that files could hold give a run that can be true; others give one or an error, never a panic.
pub fn simulated(data: &[u8]) {
    let Some(drawn) = draw(data) else { return };
    match simulate(&drawn.vehicle, &drawn.scenario, &Tolerances::default()) {
        Ok(run) => {
            can_be_true(&run, &drawn.scenario);
            if drawn.believable && missed_energy(&run) > MISSED_ENERGY {
                // Steps too coarse for such a car, or energy from nowhere? What steps miss goes with the tolerance.
                let finer = Tolerances { relative: FINE * Tolerances::default().relative };
                let finer = simulate(&drawn.vehicle, &drawn.scenario, &finer).unwrap_or_else(|e| panic!("{e}"));
                let (coarse, fine) = (missed_energy(&run), missed_energy(&finer));
                assert!(
                    fine < 0.1 * coarse && fine < MISSED_ENERGY,
                    "misses {fine:.1e} of its energy, {coarse:.1e} at default accuracy"
                );
            }
        }
        Err(error) => {
            assert!(!drawn.believable, "{error}");
            assert!(!error.to_string().is_empty());
        }
    }
}

/// A problem says what is wrong, where, and repeats no more of a file than a person can read.
fn told(problems: &Problems, file: &str) {
    assert!(!problems.0.is_empty());
    for problem in &problems.0 {
        assert!(!problem.what.is_empty() && problem.line.is_some_and(|line| line > 0), "{problem:?}");
        assert!(!problem.file.is_empty() && problem.found.chars().count() <= 81, "{file}: {problem:?}");
    }
}

/// Panics if a number within is infinite or none.
pub fn finite(value: &impl core::fmt::Debug) {
    let text = format!("{value:?}");
    let bare = |word: &str| text.contains(&format!(": {word}")) || text.contains(&format!(" {word},"));
    assert!(!bare("NaN") && !bare("inf") && !bare("-inf"), "{text}");
}

/// Share of its energy that a run at default accuracy may miss.
const MISSED_ENERGY: f64 = 1e-3;
/// Factor on the tolerance that settles whether energy was missed or made.
const FINE: f64 = 0.01;

/// Energy that a run's account misses, as a share of all that went in.
fn missed_energy(run: &Run) -> f64 {
    let energy = &run.energy;
    energy.residual_j.abs() / (energy.engine_work_j.abs() + energy.engine_kinetic_start_j + energy.height_j.abs())
}

fn can_be_true(run: &Run, scenario: &Scenario) {
    finite(run);
    let mut passed: Vec<(Mark, Passed)> = run.gates.iter().filter_map(|g| Some((g.mark, g.passed?))).collect();
    passed.sort_by(|a, b| a.1.time_s.total_cmp(&b.1.time_s));
    let (mut last_m, mut last_mps) = (0.0, 0.0);
    for (mark, passed) in passed {
        assert!((0.0..=scenario.time_limit_s).contains(&passed.time_s), "{passed:?}");
        assert!(passed.with_rollout_s.is_none_or(|s| (0.0..=passed.time_s).contains(&s)), "{passed:?}");
        let (here, last) = match mark {
            Mark::DistanceM(m) => (m, &mut last_m),
            Mark::SpeedMps(mps) => (mps, &mut last_mps),
        };
        assert!(here > *last, "{mark:?} is passed after {last}");
        *last = here;
    }
    if run.ending == Ending::Finished {
        let (reached, wanted) = match scenario.finish {
            Finish::Distance { distance_m } => (run.distance_m, distance_m),
            Finish::Speed { speed_mps } => (run.final_speed_mps, speed_mps),
        };
        assert!((reached / wanted - 1.0).abs() < 1e-6, "{reached} for {wanted}");
    }
}

/// Bytes as a log, whatever its format: a log or problems, and what is found in it and measured of it is finite.
pub fn any_log(data: &[u8]) {
    match read_from("a.log", data, &Reading::default()) {
        Ok(log) => {
            assert!(log.rows >= 2 && log.span_s >= 0.0, "{log:?}");
            for stretch in &log.stretches {
                assert!(stretch.time_s.windows(2).all(|w| w[1] > w[0]), "time does not rise");
            }
            // One is enough: the others are measured by the same code.
            if let Some(run) = find_starts(&log).starts.first().and_then(|start| measure(&log, start, ROLLOUT_M)) {
                finite(&run);
                if let Some(gears) = gears(&log, &run, None) {
                    finite(&gears);
                }
                finite(&suspicions(&log, &[run], Some(&[45.0, 27.0, 19.0])));
            }
            for stretch in &log.stretches {
                if let Some(against) = against_acceleration(stretch) {
                    finite(&against);
                }
            }
        }
        Err(problems) => log_told(&problems),
    }
}

/// Byte that parts a map from the log that it is for.
const LOG_FOLLOWS: u8 = 0x1e;

/// A CSV, with a map of its columns before a record separator.
pub fn csv_log(data: &[u8]) {
    let Some(at) = data.iter().position(|b| *b == LOG_FOLLOWS) else { return any_log(data) };
    let Ok(text) = core::str::from_utf8(&data[..at]) else { return };
    match ColumnMap::parse(text) {
        Ok(map) => {
            let how = Reading { map, keep: Keep::Everything { most_rows: 1000 } };
            if let Err(problems) = read_from("a.csv", &data[at + 1..], &how) {
                log_told(&problems);
            }
        }
        Err(error) => assert!(error.to_string().contains("accepted"), "{error}"),
    }
}

/// Bytes behind the beginning of a GPX track, so that they get past the door.
pub fn gpx_log(data: &[u8]) {
    any_log(data);
    let mut text = b"<gpx version=\"1.1\" creator=\"a\"><trk><trkseg>".to_vec();
    text.extend_from_slice(data);
    text.extend_from_slice(b"</trkseg></trk></gpx>");
    any_log(&text);
}

/// Bytes as NMEA sentences, and as the fields of sentences with right checksums.
pub fn nmea_log(data: &[u8]) {
    any_log(data);
    let Ok(fields) = core::str::from_utf8(data) else { return };
    let mut text = String::new();
    for (line, name) in fields.lines().zip(["GPRMC", "GPGGA", "GPVTG"].iter().cycle()) {
        let body = format!("{name},{line}");
        let checksum = body.bytes().fold(0, |sum, byte| sum ^ byte);
        text.push_str(&format!("${body}*{checksum:02X}\r\n"));
    }
    any_log(text.as_bytes());
}

/// A problem of a log says what is wrong and what is taken, and repeats no more than a person can read.
fn log_told(problems: &Problems) {
    assert!(!problems.0.is_empty());
    for problem in &problems.0 {
        assert!(!problem.what.is_empty() && !problem.accepted.is_empty(), "{problem:?}");
        assert!(problem.line.is_none_or(|line| line > 0) && problem.found.chars().count() <= 81, "{problem:?}");
        assert!(problem.what.chars().count() < 500, "{problem:?}");
    }
}
