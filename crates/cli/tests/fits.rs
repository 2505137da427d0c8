//! `bitepoint fit` as somebody with logs uses it: right logs answered, wrong ones refused in words.

mod common;

use std::fs;
use std::path::Path;

use common::{Folder, Told};

const CAR: &str = "ellisar-28.toml";
const COASTS: &str = "coasts.csv";

fn project_file(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)).expect("a committed file")
}

/// The example car and its coast-downs.
fn folder() -> Folder {
    let folder = Folder::new();
    folder.write(CAR, project_file("vehicles/ellisar-28.toml"));
    folder.write(COASTS, project_file("logs/ellisar-28-rolling-out.csv"));
    folder
}

fn answered(folder: &Folder, args: &[&str]) -> Told {
    let told = folder.run(&[&["fit", COASTS, CAR, "--there-and-back"], args].concat());
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    told
}

fn refused(log: &str, pieces: &[&str]) {
    let folder = folder();
    folder.write("log.csv", log);
    let err = folder.refused(&["fit", "log.csv", CAR, "--out", "report", "--write", "new.toml"]);
    for piece in pieces {
        assert!(err.contains(piece), "no {piece:?} in:\n{err}");
    }
}

#[test]
fn coast_downs_tell_road_load_and_the_document_keeps_to_its_schema() {
    let folder = folder();
    let out = answered(&folder, &["--units", "si"]).out;
    for piece in ["tyres.rolling_resistance", "Road load", "Not told", "slope"] {
        assert!(out.contains(piece), "no {piece:?} in:\n{out}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    let document = common::document(&answered(&folder, &["--json"]), "fit");
    assert_eq!(document["coast_downs"].as_array().map(Vec::len), Some(2));
    assert!(document["road_load"]["f0_n"]["value"].as_f64().is_some_and(|f0| (100.0..400.0).contains(&f0)));
}

#[test]
fn a_fitted_file_is_written_dated_and_runs() {
    let folder = folder();
    answered(&folder, &["--write", "fitted.toml"]);
    let text = fs::read_to_string(folder.path().join("fitted.toml")).expect("the new file");
    assert!(text.contains("by `bitepoint fit` from coasts.csv") && text.contains("# fitted 2"), "{text}");
    let run = folder.run(&["run", "fitted.toml"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{run:?}");
}

#[test]
fn a_file_that_exists_is_left_alone() {
    let folder = folder();
    let err = folder.refused(&["fit", COASTS, CAR, "--write", CAR]);
    assert!(err.contains("there is such a file already; it was left as it is"), "{err}");
}

#[test]
fn an_empty_log_is_named() {
    refused("", &["log.csv"]);
    refused("time (s),speed (m/s)\n", &["log.csv"]);
}

#[test]
fn a_log_without_start_or_coast_down_says_what_is_wanted() {
    let steady: String = (0..200).fold("time (s),speed (m/s)\n".to_owned(), |text, i| text + &format!("{i},20.0\n"));
    refused(&steady, &["nothing to fit", "standing starts at full throttle", "rolling out in neutral"]);
}

#[test]
fn another_cars_ratios_are_noticed() {
    // A start in one gear that this car does not have: engine speed over road speed 20 % above its second.
    let mut log = "time (s),speed (m/s),engine speed (rpm)\n".to_owned();
    for i in 0..400 {
        let t = f64::from(i) * 0.1;
        let speed = (4.0 * (t - 10.0)).clamp(0.0, 36.0);
        log += &format!("{t:.1},{speed:.2},{:.0}\n", (speed * 300.0).max(900.0));
    }
    refused(&log, &["another car", "ratios"]);
}

#[test]
fn a_speed_in_the_wrong_unit_is_no_start_of_a_car() {
    // km/h under a head that says m/s: 100 km/h in 6 s would be 16.7 m/s a second.
    let mut log = "time (s),speed (m/s)\n".to_owned();
    for i in 0..300 {
        let t = f64::from(i) * 0.1;
        log += &format!("{t:.1},{:.2}\n", (16.7 * (t - 10.0)).clamp(0.0, 160.0));
    }
    refused(&log, &["nothing to fit", "is it in another unit (--map speed=COLUMN:km/h)"]);
}
