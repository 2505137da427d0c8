//! The commands on right input: what a new user does first, documents for machines, units, pipes.

mod common;

use std::fs::OpenOptions;
use std::process::{Command, Stdio};

use common::{BITEPOINT, Folder, SHEET, example, examples, told};
use serde_json::Value;

/// The document of a run, checked against the committed schema.
fn document(folder: &Folder, args: &[&str], code: i32) -> Value {
    let told = folder.run(args);
    assert_eq!(told.code, code, "{told:?}");
    common::document(&told, "run")
}

#[test]
fn without_arguments_an_example_runs_from_an_empty_folder_and_leaves_its_report() {
    let folder = Folder::new();
    for _ in 0..2 {
        let told = folder.run(&[]);
        assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
        assert!(told.out.contains("1/4 mile") && told.out.contains("Report: reports/first-run/index.html"));
        let page = folder.path().join("reports/first-run/index.html");
        assert!(std::fs::read_to_string(page).expect("the page").contains("</html>"));
    }
}

#[test]
fn a_sheet_filled_in_is_checked_and_run() {
    let folder = Folder::new();
    let told = folder.run(&["sheet", "mycar.toml"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    assert!(told.out.contains("bitepoint run mycar.toml"), "{}", told.out);
    let sheet = std::fs::read_to_string(folder.path().join("mycar.toml")).expect("the sheet");
    let filled_in = sheet.replace("1480 kg", "3100 lb").replace("Weekend car", "My car");
    assert_ne!(sheet, filled_in);
    folder.write("mycar.toml", filled_in);
    let told = folder.run(&["check", "mycar.toml"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    assert!(told.out.starts_with("mycar.toml: a valid vehicle, \"My car\"."), "{}", told.out);
    let told = folder.run(&["run", "mycar.toml", "--band-runs", "8"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    assert!(told.out.starts_with("My car — "), "{}", told.out);
}

#[test]
fn every_example_is_valid() {
    let files = [examples("vehicles"), examples("scenarios")].concat();
    let mut args = vec!["check"];
    args.extend(files.iter().map(String::as_str));
    let told = Folder::new().run(&args);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{}", told.err);
    for file in &files {
        assert!(told.out.contains(&format!("{file}: a valid ")), "{file}");
    }
    args.push("--json");
    let told = Folder::new().run(&args);
    let documents: Value = serde_json::from_str(&told.out).expect("JSON");
    assert_eq!(documents.as_array().map(Vec::len), Some(files.len()));
}

#[test]
fn one_wrong_file_among_right_ones_is_told_and_fails_the_check() {
    let folder = Folder::new();
    folder.write("wrong.toml", SHEET.replace("1540 kg", "1540"));
    folder.write("right.toml", SHEET);
    let told = folder.run(&["check", "wrong.toml", "right.toml"]);
    assert_eq!(told.code, 1);
    assert!(told.err.starts_with("wrong.toml:2: mass: has no unit"), "{}", told.err);
    assert!(told.out.starts_with("right.toml: a valid vehicle"), "{}", told.out);
}

#[test]
fn a_run_without_a_scenario_is_a_dry_flat_day() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let told = folder.run(&["run", "car.toml", "--band-runs", "0"]);
    assert_eq!(told.code, 0);
    assert!(told.out.lines().next().is_some_and(|line| line == "Test car — Dry, flat"), "{}", told.out);
}

#[test]
fn the_document_of_every_example_fits_the_schema_and_knows_every_number() {
    let folder = Folder::new();
    for vehicle in examples("vehicles") {
        for scenario in ["scenarios/dry-flat.toml", "scenarios/slope-profile.toml"] {
            let scenario = example(scenario);
            let document = document(&folder, &["run", &vehicle, &scenario, "--json", "--band-runs", "8"], 0);
            assert_eq!((document["document"].as_str(), document["version"].as_u64()), (Some("bitepoint run"), Some(2)));
            assert_eq!(document["run"]["ending"], "finished");
            assert_eq!(document["launch_from"], "recommended");
            assert!(document["instruction"][0].as_str().is_some_and(|text| text.starts_with("Hold ")));
            // A number that is none is written as null; the few that may be null by their meaning are known in such a run.
            let quarter = document["run"]["gates"]
                .as_array()
                .and_then(|gates| gates.iter().find(|gate| gate["name"] == "1320 ft"))
                .expect("the quarter mile");
            let time_s = quarter["passed"]["time_s"].as_f64().expect("a time");
            let rolled_s = quarter["passed"]["with_rollout_s"].as_f64().expect("a time");
            assert!((9.0..30.0).contains(&time_s) && rolled_s < time_s, "{time_s} s, {rolled_s} s");
            assert!(
                document["run"]["first_movement_s"].is_f64() && document["run"]["launch"]["clutch_home_s"].is_f64()
            );
        }
    }
}

#[test]
fn the_document_of_a_run_that_does_not_finish_fits_the_schema_too() {
    let folder = Folder::new();
    // Its clutch cannot carry what moving off takes.
    let car = format!("{}[clutch]\ntorque_capacity = \"146 N·m\"\n", SHEET.replace("1540 kg", "3000 kg"));
    folder.write("car.toml", car);
    folder.write("day.toml", "[road]\nslope = \"30 %\"\n");
    let document = document(&folder, &["run", "car.toml", "day.toml", "--json", "--band-runs", "0"], 3);
    assert_eq!(document["run"]["ending"], "out_of_time");
    assert!(document["run"]["first_movement_s"].is_null(), "the car never moved");
}

#[test]
fn units_are_those_that_were_asked_for() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let us = folder.run(&["run", "car.toml", "--band-runs", "0"]).out;
    let si = folder.run(&["run", "car.toml", "--band-runs", "0", "--units", "si"]).out;
    for unit in ["mph", "lbf·ft", "°F"] {
        assert!(us.contains(unit) && !si.contains(unit), "{unit}:\n{us}\n{si}");
    }
    for unit in ["km/h", "N·m", "°C"] {
        assert!(si.contains(unit) && !us.contains(unit), "{unit}:\n{us}\n{si}");
    }
    let si = folder.run(&["check", "car.toml", "--units", "si"]).out;
    let us = folder.run(&["check", "car.toml", "--units", "us"]).out;
    assert!(si.contains("1540 kg") && us.contains("3395 lb"), "{us}");
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let files = [examples("vehicles"), examples("scenarios")].concat();
    let mut child = Command::new(BITEPOINT)
        .arg("check")
        .args(&files)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    // More is printed than a pipe holds, so that the binary meets the closed end.
    drop(child.stdout.take());
    let told = told(child.wait_with_output().expect("an end"));
    assert_eq!((told.code, told.err.as_str()), (0, ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_result_that_cannot_be_printed_is_a_failure() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    for args in [&["run", "car.toml", "--band-runs", "0"][..], &["check", "car.toml", "--json"]] {
        let full = OpenOptions::new().write(true).open("/dev/full").expect("Linux has it");
        let told = folder.run_as(Command::new(BITEPOINT).args(args).stdout(full));
        assert_eq!(told.code, 3, "{told:?}");
        assert!(told.err.contains("cannot write the result"), "{}", told.err);
    }
    let full = OpenOptions::new().write(true).open("/dev/full").expect("Linux has it");
    assert_eq!(folder.run_as(Command::new(BITEPOINT).args(["run", "gone.toml"]).stderr(full)).code, 1);
}

#[test]
fn wrong_usage_has_an_exit_code_of_its_own() {
    let folder = Folder::new();
    for args in [
        &["run"][..],
        &["frobnicate"],
        &["check"],
        &["run", "car.toml", "--units", "imperial"],
        &["run", "car.toml", "--band-runs", "-1"],
        &["run", "car.toml", "--out"],
    ] {
        let told = folder.run(args);
        assert_eq!((told.code, told.out.as_str()), (2, ""), "{told:?}");
        assert!(told.err.contains("--help"), "{}", told.err);
    }
}

#[test]
fn every_command_has_help_with_an_example() {
    let folder = Folder::new();
    for command in ["run", "conditions", "check", "sheet"] {
        let told = folder.run(&[command, "--help"]);
        assert_eq!(told.code, 0);
        assert!(told.out.contains(&format!("Example:\n  bitepoint {command} ")), "{}", told.out);
    }
}

#[test]
fn a_built_in_day_needs_no_file_and_a_file_of_its_name_comes_first() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let first = |told: &common::Told| told.out.lines().next().unwrap_or_default().to_owned();
    let told = folder.run(&["run", "car.toml", "wet", "--band-runs", "0"]);
    assert_eq!((told.code, first(&told).as_str()), (0, "Test car — Wet, flat"));
    let told = folder.run(&["plan", "car.toml", "dry", "wet", "--write-scenarios", "."]);
    assert_eq!(told.code, 0, "{}", told.err);
    for day in ["dry", "wet"] {
        let written = format!("{day}-planned.toml");
        assert_eq!(folder.run(&["run", "car.toml", &written, "--band-runs", "0"]).code, 0, "{day}");
    }
    let err = folder.refused(&["run", "car.toml", "rain"]);
    assert!(err.contains("rain: this file cannot be read") && err.contains("dry, damp, wet, strip"), "{err}");
    folder.write("ice", "name = \"My own\"\n");
    assert_eq!(first(&folder.run(&["run", "car.toml", "ice", "--band-runs", "0"])), "Test car — My own");
}
