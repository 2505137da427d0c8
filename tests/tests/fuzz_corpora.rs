//! Every input of the fuzz corpora again, on a machine that has no fuzzer.

use std::fs;
use std::path::Path;

use bitepoint_checks::fuzz_bodies::{csv_log, gpx_log, nmea_log, scenario_file, simulated, vehicle_file};

/// Feeds every file of a target's corpus to its body; returns how many there were.
fn replay(target: &str, body: fn(&[u8])) -> usize {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz/corpus").join(target);
    let mut files: Vec<_> = fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    for file in &files {
        // Shown only if the body panics.
        println!("{}", file.display());
        body(&fs::read(file).expect("a file that can be read"));
    }
    files.len()
}

#[test]
fn vehicle_files_of_the_corpus_are_read_or_refused() {
    assert!(replay("vehicle_file", vehicle_file) > 100);
}

#[test]
fn scenario_files_of_the_corpus_are_read_or_refused() {
    assert!(replay("scenario_file", scenario_file) > 100);
}

#[test]
fn cars_and_days_of_the_corpus_give_runs_that_can_be_true() {
    assert!(replay("simulate", simulated) > 100);
}

#[test]
fn logs_of_the_corpora_are_read_or_refused() {
    assert!(replay("csv_log", csv_log) > 10);
    assert!(replay("gpx_log", gpx_log) > 4);
    assert!(replay("nmea_log", nmea_log) > 5);
}
