//! Starts from traffic lights in real drives, against starts marked by eye.

use std::path::{Path, PathBuf};

use bitepoint_runlog::gears::gears;
use bitepoint_runlog::latency::against_acceleration;
use bitepoint_runlog::measure::{ROLLOUT_M, measure};
use bitepoint_runlog::read::{Reading, read};
use bitepoint_runlog::start::{Found, find_starts};

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/drives").join(name)
}

fn drive(name: &str) -> Found {
    let path = data(&format!("everyday_drive_{name}_1hz.csv"));
    find_starts(&read(&path, &Reading::default()).unwrap_or_else(|e| panic!("{e}")))
}

struct Mark {
    drive: String,
    kind: String,
    from_s: f64,
    to_s: f64,
}

fn marks() -> Vec<Mark> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(data("starts_by_eye.csv")).expect("marks");
    let marks = reader.records().map(|record| {
        let record = record.expect("a mark");
        let seconds = |i: usize| record[i].parse().expect("seconds");
        Mark { drive: record[0].to_owned(), kind: record[1].to_owned(), from_s: seconds(2), to_s: seconds(3) }
    });
    marks.collect()
}

#[test]
fn every_start_marked_by_eye_is_found_and_none_is_invented() {
    let marks = marks();
    let standing = marks.iter().filter(|m| m.kind == "standing").count();
    assert_eq!(standing, 10);
    for name in ["06", "10", "33"] {
        let found = drive(name);
        let of_drive = || marks.iter().filter(|m| m.drive == name);
        let overlaps = |m: &Mark, from_s: f64, to_s: f64| from_s <= m.to_s && to_s >= m.from_s;
        for start in &found.starts {
            println!(
                "{name}: {:.0} to {:.0} s, {:?}, {:.1} m/s²",
                start.stood_until_s, start.moved_by_s, start.stop, start.mean_acceleration_mps2
            );
            let known = of_drive().any(|m| m.kind != "none" && overlaps(m, start.stood_until_s, start.moved_by_s));
            assert!(known, "drive {name}: invented {start:?}");
        }
        for near in &found.near_stops {
            println!("{name}: near stop at {:.0} s, {:.2} m/s", near.time_s, near.speed_mps);
            let known = of_drive().any(|m| m.kind == "doubtful" && overlaps(m, near.time_s, near.time_s));
            assert!(known, "drive {name}: invented {near:?}");
        }
        for mark in of_drive().filter(|m| m.kind == "standing") {
            let hits = found.starts.iter().filter(|s| overlaps(mark, s.stood_until_s, s.moved_by_s)).count();
            assert_eq!(hits, 1, "drive {name}: {} to {} s", mark.from_s, mark.to_s);
        }
        for mark in of_drive().filter(|m| m.kind == "none") {
            assert!(!found.starts.iter().any(|s| overlaps(mark, s.stood_until_s, s.moved_by_s)));
        }
    }
}

/// What a row a second leaves open is said: every number of these starts has an error, and none is told to better than a
/// tenth of a second.
#[test]
fn what_a_row_a_second_leaves_open_is_said() {
    let mut timed = 0;
    for name in ["06", "10", "33"] {
        let log = read(&data(&format!("everyday_drive_{name}_1hz.csv")), &Reading::default())
            .unwrap_or_else(|e| panic!("{e}"));
        for start in find_starts(&log).starts {
            let run = measure(&log, &start, ROLLOUT_M).expect("a run");
            let sixty = run.gates.iter().find(|g| g.name == "60 ft").and_then(|g| g.passed).map(|p| p.time_s);
            let against = against_acceleration(&log.stretches[start.stretch]);
            println!(
                "{name}: moves at {:.1} ± {:.1} s, 60 ft in {:.1?} s, noise {:.2} m/s, late by {:.2?} s, {:?}, gears {:.2?}",
                run.first_movement_s.value,
                run.first_movement_s.sd,
                sixty.map(|t| (t.value, t.sd)),
                run.noise_mps,
                against.map(|a| (a.late_s.value, a.late_s.sd, a.correlation)),
                start.effort,
                gears(&log, &run, None).map(|g| (g.fits, g.shifts.len()))
            );
            let moved_s = run.first_movement_s;
            assert!(moved_s.sd > 0.1 && sixty.is_none_or(|t| t.sd > 0.1), "{name}: {run:?}");
            assert!(moved_s.value > start.stood_until_s - 3.0 && moved_s.value < start.moved_by_s);
            timed += usize::from(sixty.is_some());
        }
    }
    // A start that is over before 60 ft has no time for it.
    assert!(timed >= 8, "{timed} starts timed");
}
