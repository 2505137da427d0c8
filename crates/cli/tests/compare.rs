//! `bitepoint compare`: what it prints and writes, and how it refuses what is wrong.

mod common;

use std::time::{Duration, Instant};

use common::{BITEPOINT, Folder, SHEET, told};

const PART: &str = "name = \"Less\"\nprice = \"300 EUR\"\n[change]\nmass = \"-40 kg\"\n";

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    folder.write("less.toml", PART);
    folder
}

/// Runs `compare` with these changes and looks for every piece in the refusal.
fn refused(changes: &[&str], pieces: &[&str]) {
    let folder = folder();
    folder.write("bad.toml", "[change]\nmass = \"-40 hp\"\n[change.tyres]\ngrad = \"track\"\n");
    let mut args = vec!["compare", "car.toml", "--out", "report"];
    args.extend(changes.iter().flat_map(|change| ["--with", change]));
    let err = folder.refused(&args);
    for piece in pieces {
        assert!(err.contains(piece), "no {piece:?} in:\n{err}");
    }
}

#[test]
fn an_unknown_key_is_answered_with_the_nearest() {
    refused(&["x: mas=-40 kg"], &["--with \"x\": mas: this key is not known", "did you mean mass?"]);
}

#[test]
fn a_part_file_that_cannot_be_read_is_named() {
    refused(&["x: file=gone.toml"], &["gone.toml: this file cannot be read: there is no such file"]);
}

#[test]
fn everything_that_is_wrong_with_a_part_file_is_told_at_once() {
    refused(
        &["file=bad.toml"],
        &["bad.toml:2: mass: the unit \"hp\" does not fit here", "bad.toml:4: tyres.grad", "did you mean tyres.grade?"],
    );
}

#[test]
fn a_key_that_means_nothing_on_this_car_is_refused() {
    refused(
        &["x: engine.spool_time=-20 %"],
        &["--with \"x\": engine.spool_time: this key changes nothing", "naturally aspirated"],
    );
}

#[test]
fn a_unit_that_does_not_fit_is_answered_with_those_that_do() {
    refused(&["x: mass=-40 hp"], &["--with \"x\": mass: the unit \"hp\" does not fit here", "(units: kg, lb, g, t)"]);
}

#[test]
fn a_change_of_nothing_is_refused() {
    refused(&[""], &["--with \"\"", "nothing is said to be changed", "label: key=value"]);
    refused(&["x:"], &["--with \"x\"", "nothing is said to be changed"]);
}

#[test]
fn two_changes_of_one_name_are_refused() {
    refused(
        &["x: mass=-40 kg", "x: mass=-50 kg"],
        &["--with \"x\": there are two changes of this name", "a label of its own"],
    );
}

#[test]
fn parts_that_contradict_each_other_are_told_when_fitted_together() {
    let folder = folder();
    let args = ["compare", "car.toml", "--together", "--with", "a: final_drive=3.9", "--with", "b: final_drive=4.1"];
    let err = folder.refused(&args);
    assert!(err.contains("--with \"b\": final_drive: this is also set to 3.9 by --with \"a\""), "{err}");
}

#[test]
fn no_key_of_a_launch_is_a_part() {
    let keys: Vec<_> = bitepoint_runner::plan::Decision::keys().collect();
    assert!(keys.len() >= 10);
    for key in keys {
        let change = format!("x: {}={}", key.path, key.example.trim_matches('"'));
        let answer = format!("{}: the launch and the shift points are recommended, not compared", key.path);
        refused(&[&change], &[&answer]);
    }
}

#[test]
fn an_unknown_mark_is_answered_with_those_there_are() {
    let err = folder().refused(&["compare", "car.toml", "--with", "file=less.toml", "--to", "61 mph"]);
    assert!(err.contains("\"61 mph\": there is no such gate") && err.contains("60 mph, "), "{err}");
}

#[test]
fn one_screen_a_report_and_a_document_are_made_of_parts() {
    let folder = folder();
    let args = [
        "compare",
        "car.toml",
        "--draws",
        "32",
        "--with",
        "file=less.toml",
        "--with",
        "no lift: shifting.lift=false",
        "--together",
        "--out",
        "report",
    ];
    let told = folder.run(&args);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    for piece in [
        "Less",
        "no lift",
        "all together",
        "added up one by one",
        "as estimated",
        "on average",
        "Hold ",
        "300 EUR",
        "Caution",
        "Report: report/index.html",
    ] {
        assert!(told.out.contains(piece), "no {piece:?} in:\n{}", told.out);
    }
    assert!(told.out.lines().count() < 45, "more than a screen:\n{}", told.out);
    let page = std::fs::read_to_string(folder.path().join("report/index.html")).expect("the page");
    assert!(page.contains("Test car") && page.contains("What each change is worth"));
    assert!(folder.path().join("report/worth.svg").exists());
    let again = folder.run(&args);
    assert_eq!(again.out, told.out, "the same command gave another answer");

    let told = folder.run(&["compare", "car.toml", "--draws", "32", "--with", "file=less.toml", "--json"]);
    let document = common::document(&told, "compare");
    assert_eq!(document["changes"][0]["price"]["currency"], "EUR");
    assert!(document["changes"][0]["difference"]["mean_s"].as_f64().expect("a number") < 0.0);
}

#[cfg(unix)]
#[test]
fn an_interrupt_ends_it_at_once_and_leaves_nothing() {
    let folder = folder();
    let before = folder.contents();
    let mut child = std::process::Command::new(BITEPOINT)
        .args(["compare", "car.toml", "--draws", "65536", "--with", "file=less.toml", "--out", "report"])
        .current_dir(folder.path())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("it runs");
    std::thread::sleep(Duration::from_secs(2));
    assert!(child.try_wait().expect("a state").is_none(), "it ended before it was interrupted");
    let began = Instant::now();
    std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill");
    let told = told(child.wait_with_output().expect("it ends"));
    assert!(began.elapsed() < Duration::from_secs(5), "{:?}", began.elapsed());
    assert_eq!((told.code, told.out.as_str()), (3, ""), "{told:?}");
    assert!(told.err.contains("Called off after"), "{told:?}");
    assert!(before == folder.contents(), "something was written");
}
