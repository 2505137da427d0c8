//! `bitepoint sweep` as a user runs it.

mod common;

use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use common::{BITEPOINT, Folder, SHEET, told};
use serde_json::Value;

const DRY: &str = "name = \"Dry\"\n";
const WET: &str = "name = \"Wet\"\nroad.surface = \"standing-water wet\"\n";

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    folder.write("dry.toml", DRY);
    folder.write("wet.toml", WET);
    folder
}

#[test]
fn a_sweep_writes_screen_table_and_report() {
    let folder = folder();
    let revs = "launch.revs=2000..4000/500 rpm";
    let told = folder
        .run(&["sweep", "car.toml", "dry.toml", "wet.toml", "--vary", revs, "--csv", "runs.csv", "--out", "report"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    for word in ["Dry", "Wet", "launch.revs", "loses < 0.05 s", "closed course"] {
        assert!(told.out.contains(word), "{word}: {}", told.out);
    }
    assert!(told.out.lines().count() < 40, "more than one screen:\n{}", told.out);
    let table = fs::read_to_string(folder.path().join("runs.csv")).expect("a table");
    let lines: Vec<&str> = table.lines().collect();
    assert_eq!(lines.len(), 11, "{table}");
    assert!(lines[0].starts_with("scenario,launch.revs [rpm],time_s,fate,"), "{}", lines[0]);
    assert!(lines[1].starts_with("Dry,2000,") && lines[10].starts_with("Wet,4000,"), "{table}");
    for file in ["index.html", "sweep.svg"] {
        assert!(folder.path().join("report").join(file).is_file(), "{file}");
    }
}

#[test]
fn the_document_fits_its_schema_and_agrees_with_the_table() {
    let folder = folder();
    let args =
        ["sweep", "car.toml", "dry.toml", "--vary", "launch.revs=2000..4000/1000 rpm", "--vary", "mass=1500,1600 kg"];
    let told = folder.run(&[&args[..], &["--json", "--csv", "runs.csv"]].concat());
    assert_eq!(told.code, 0, "{told:?}");
    let document = common::document(&told, "sweep");
    let cells = document["sweeps"][0]["fields"][0]["cells"].as_array().expect("cells");
    let table = fs::read_to_string(folder.path().join("runs.csv")).expect("a table");
    assert_eq!(cells.len(), 6);
    for (cell, line) in cells.iter().zip(table.lines().skip(1)) {
        let time = line.split(',').nth(3).expect("a time");
        assert_eq!(cell["time_s"].as_f64(), time.parse().ok(), "{line}");
    }
}

#[test]
fn shift_points_are_held_against_the_pull_of_the_gears() {
    let folder = folder();
    let told = folder.run(&["sweep", "car.toml", "dry.toml", "--shifts", "--json", "--out", "report"]);
    assert_eq!(told.code, 0, "{told:?}");
    let document: Value = serde_json::from_str(&told.out).expect("JSON");
    let gears = document["sweeps"].as_array().expect("gears");
    assert!(gears.len() >= 2, "{}", gears.len());
    for gear in gears {
        assert!(gear["fields"][0]["crossing"]["limiter_radps"].as_f64().expect("a limiter") > 700.0);
    }
    // The last gear of all may hold until the end.
    let left: Vec<f64> = gears.iter().filter_map(|gear| gear["fields"][0]["left_at_radps"].as_f64()).collect();
    assert!(left.len() >= 2 && left.iter().all(|radps| *radps > 400.0), "{left:?}");
    for file in ["index.html", "pull.svg", "shifts.svg"] {
        assert!(folder.path().join("report").join(file).is_file(), "{file}");
    }
}

#[test]
fn what_is_asked_for_wrongly_is_named() {
    let folder = folder();
    for (args, says) in [
        (&["--vary", "launch.revz=2000..4000/500 rpm"][..], "did you mean launch.revs?"),
        (&["--vary", "road.surface=1..2/1"], "no number with a unit"),
        (&["--vary", "launch.revs=4000..2000/500 rpm"], "the range is empty"),
        (&["--vary", "launch.revs=2000..4000/0 rpm"], "more than 0"),
        (&["--vary", "launch.revs=2000..4000/300 rpm"], "3800 rpm or 4100 rpm"),
        (&["--vary", "launch.revs=2000..4000/500 kg"], "units that fit: rpm, rad/s"),
        (&["--vary", "launch.revs=2000..4000/500 rpm", "--to", "61 mph"], "accepted: 60 ft"),
        (&["--vary", "mass=1,2 t", "--vary", "mass=1,2 t"], "varied twice"),
        (&["--vary", "launch.revs=2000..4000/500 rpm", "--csv", "car.toml"], "left as it is"),
        (&["--vary", "launch.revs=2000..4000/500 rpm", "--csv", "nowhere/runs.csv"], "no such folder"),
        (&["--shifts", "--to", "30 mph"], "no gear is left before this gate"),
    ] {
        let told = folder.refused(&[&["sweep", "car.toml", "dry.toml"], args].concat());
        assert!(told.contains(says), "{args:?}: {told}");
    }
    // Neither is usage.
    assert_eq!(folder.run(&["sweep", "car.toml"]).code, 2);
}

#[test]
fn a_billion_runs_are_counted_and_not_made_unless_asked_for_twice() {
    let folder = folder();
    let many = [
        "sweep",
        "car.toml",
        "--vary",
        "launch.revs=2000..5000/1 rpm",
        "--vary",
        "launch.release_time=0.3..2.3/0.01 s",
    ];
    let told = folder.refused(&many);
    assert!(told.contains("603 201 runs") && told.contains("--yes") && told.contains("MB"), "{told}");
    let billion = ["sweep", "car.toml", "--vary", "mass=1000..2000/0.000001 kg", "--yes"];
    let told = folder.refused(&billion);
    assert!(told.contains("1 000 000 001 runs") && told.contains("GB"), "{told}");
}

#[test]
fn a_start_that_fails_is_a_row_and_a_count() {
    let folder = folder();
    folder.write("hill.toml", "name = \"Hill\"\nroad.slope = \"28 %\"\nroad.surface = \"packed snow\"\n");
    let args = [
        "sweep",
        "car.toml",
        "hill.toml",
        "--vary",
        "launch.revs=2000..6000/2000 rpm",
        "--csv",
        "runs.csv",
        "--out",
        "report",
    ];
    let told = folder.run(&args);
    assert_eq!(told.code, 3, "{told:?}");
    assert!(told.err.contains("none of the 3 runs reaches the target"), "{}", told.err);
    let table = fs::read_to_string(folder.path().join("runs.csv")).expect("a table");
    assert_eq!(table.lines().filter(|line| line.contains("cannot_move")).count(), 3, "{table}");
    assert!(folder.path().join("report/index.html").is_file());
}

#[test]
fn revs_over_the_limiter_are_no_such_start_and_say_why() {
    let folder = folder();
    let told =
        folder.run(&["sweep", "car.toml", "dry.toml", "--vary", "launch.revs=3000,9000 rpm", "--csv", "runs.csv"]);
    assert_eq!(told.code, 0, "{told:?}");
    let table = fs::read_to_string(folder.path().join("runs.csv")).expect("a table");
    let refused = table.lines().last().expect("a row");
    assert!(refused.starts_with("Dry,9000,,refused,") && refused.contains("launch.revs"), "{refused}");
    assert!(told.out.contains("could not be run"), "{}", told.out);
}

#[cfg(unix)]
#[test]
fn an_interrupt_stops_a_sweep_at_once_and_leaves_nothing_behind() {
    let folder = folder();
    let many = "launch.release_time=0.3..5.3/0.0001 s";
    let child = Command::new(BITEPOINT)
        .args(["sweep", "car.toml", "dry.toml", "--vary", many, "--csv", "runs.csv", "--out", "report"])
        .current_dir(folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command starts");
    std::thread::sleep(Duration::from_millis(700));
    let signalled = Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
    assert!(signalled.success());
    let began = Instant::now();
    let told = told(child.wait_with_output().expect("the command ends"));
    assert!(began.elapsed() < Duration::from_secs(2), "{:?}", began.elapsed());
    assert_eq!((told.code, told.out.as_str()), (3, ""), "{told:?}");
    assert!(told.err.contains("stopped after") && told.err.contains("of 50 001 runs"), "{}", told.err);
    let names: Vec<_> = folder.contents().into_keys().collect();
    assert_eq!(names.len(), 3, "{names:?}");
}

#[test]
fn a_table_of_an_earlier_sweep_is_replaced() {
    let folder = folder();
    let run = |revs: &str| folder.run(&["sweep", "car.toml", "dry.toml", "--vary", revs, "--csv", "runs.csv"]);
    assert_eq!(run("launch.revs=3000,3500 rpm").code, 0);
    assert_eq!(run("launch.revs=3000,4000 rpm").code, 0);
    let table = fs::read_to_string(folder.path().join("runs.csv")).expect("a table");
    assert!(table.contains("\nDry,4000,") && !table.contains("\nDry,3500,"), "{table}");
}
