//! `bitepoint conditions` as a writer uses it: right input answered, wrong input refused in words.

mod common;

use common::{Folder, SHEET, Told, example};
use serde_json::Value;

const DAY: &str = r#"
name = "Hill"
[road]
slope = { value = "-1 %", spread = "0.2 %" }
[air]
temperature = "5 °C"
headwind = { value = "-3 m/s", spread = "1 m/s" }
"#;
const SURVEY: &str = "distance (m),height (m)\n0,6\n200,4\n400,2\n600,0\n";
const SURVEYED: &str = "[road]\nslope_profile = \"survey.csv\"\n[timing]\nfinish_speed = \"60 mph\"\n";

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    folder.write("day.toml", DAY);
    folder.write("surveyed.toml", SURVEYED);
    folder.write("survey.csv", SURVEY);
    folder
}

fn command<'a>(args: &[&'a str]) -> Vec<&'a str> {
    [&["conditions", "car.toml"][..], args].concat()
}

fn answered(args: &[&str]) -> Told {
    let told = folder().run(&command(&[args, &["--band-runs", "8"]].concat()));
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    told
}

fn refused(args: &[&str], pieces: &[&str]) {
    let err = folder().refused(&command(&[args, &["--band-runs", "8", "--out", "report"]].concat()));
    for piece in pieces {
        assert!(err.contains(piece), "no {piece:?} in:\n{err}");
    }
}

fn document(args: &[&str]) -> Value {
    common::document(&answered(&[args, &["--json"]].concat()), "conditions")
}

#[test]
fn a_measured_time_is_corrected_in_a_headline_a_table_and_a_paragraph() {
    let out = answered(&["day.toml", "--measured", "6.3s", "--with-rollout"]).out;
    assert!(out.starts_with("Test car — Hill, to 60 mph\n"), "{out}");
    for piece in
        ["On the level in still standard air this run would have taken", "Slope ", "To print ", "was timed at 6.30 s"]
    {
        assert!(out.contains(piece), "no {piece:?} in:\n{out}");
    }
}

#[test]
fn the_document_fits_its_schema_and_its_shares_add_up() {
    let document = document(&["day.toml", "--measured", "6.3s", "--measured-back", "6.6s", "--with-rollout"]);
    assert_eq!(document["document"], "bitepoint conditions");
    for (correction, before) in [(&document["correction"], 6.3), (&document["both_ways"], 6.45)] {
        let shares = correction["shares"].as_array().expect("shares");
        let sum: f64 = shares.iter().filter_map(|s| s["change_s"].as_f64()).sum();
        let corrected = correction["corrected_s"].as_f64().expect("a time");
        assert!((before + sum - corrected).abs() < 1e-9, "{correction:#}");
    }
    assert_eq!(document["reference_standard"], "iso2533");
}

#[test]
fn without_a_measured_time_the_model_alone_is_asked() {
    let document = document(&["day.toml", "--units", "si"]);
    assert!(document["measurement"].is_null() && document["both_ways"].is_null());
    assert_eq!(document["target"]["gate"], "100 km/h");
}

#[test]
fn the_reference_can_be_another_standard_or_another_day() {
    let standard = document(&["day.toml", "--standard-air", "sae-j1349"]);
    assert_eq!(standard["reference"]["temperature_c"], 25.0);
    let day = document(&["--reference", "day.toml", "--reference-with-rollout", "--with-rollout"]);
    assert_eq!((day["reference_day"].as_str(), day["reference"]["headwind_mps"].as_f64()), (Some("Hill"), Some(-3.0)));
    assert!(day["reference"]["rollout_m"].as_f64().is_some_and(|m| (m - 0.3048).abs() < 1e-12));
}

#[test]
fn conditions_can_be_set_without_a_file() {
    let document = document(&["--set", "road.slope=-2 %", "--set", "air.headwind=5 m/s"]);
    assert_eq!(document["day"]["slope_rise_per_run"], -0.02);
    assert_eq!(document["day"]["headwind_mps"], 5.0);
}

#[test]
fn a_surveyed_road_is_entered_where_it_was_said_and_driven_back_from_where_it_was_said() {
    let args = ["surveyed.toml", "--start-at", "40 m", "--measured", "6.5s", "--measured-back", "7s"];
    let document = document(&[&args[..], &["--back-start-at", "350 m"]].concat());
    assert_eq!(document["day"]["surveyed"], true);
    assert_eq!(document["both_ways"]["back_start_m"], 350.0);
    refused(&[&args[..], &["--back-start-at", "30 m"]].concat(), &["The run back leaves the slope profile", "30 m"]);
    refused(
        &["surveyed.toml", "--start-at", "900 m"],
        &["road.start_at", "outside of the slope profile", "0 m to 600 m"],
    );
    refused(
        &["surveyed.toml", "--start-at", "560 m"],
        &["The run leaves the slope profile", "accepted: a longer profile"],
    );
    refused(&["day.toml", "--start-at", "40 m"], &["road.start_at", "there is no road.slope_profile"]);
}

#[test]
fn a_report_is_one_page_with_its_charts() {
    let folder = folder();
    let told = folder.run(&command(&["day.toml", "--measured", "6.3s", "--band-runs", "8", "--out", "report"]));
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    let read = |name: &str| std::fs::read_to_string(folder.path().join("report").join(name)).expect("a file");
    let page = read("index.html");
    for piece in ["To print beside it", "Seconds per unit", "this run would have taken", "Made by"] {
        assert!(page.contains(piece), "no {piece:?}");
    }
    for chart in ["responses.svg", "shares.svg"] {
        assert!(read(chart).starts_with("<svg"), "{chart}");
    }
}

#[test]
fn a_time_without_a_unit_or_that_is_no_time_is_refused() {
    refused(
        &["--measured", "5.31"],
        &["--measured \"5.31\": has no unit", "accepted: a number with its unit", "5.31 s"],
    );
    refused(&["--measured", "5.31 kg"], &["the unit \"kg\" does not fit here"]);
    refused(&["--measured", "-5.31s"], &["--measured \"-5.31s\": is not above zero"]);
    refused(&["--measured", "0 s"], &["is not above zero"]);
    refused(&["--measured", "quick"], &["does not begin with a number"]);
    refused(&["--measured", "6.3s", "--timing-error", "-1 ms"], &["--timing-error \"-1 ms\": is below zero"]);
    refused(&["--measured", "6.3s", "--measured-back", "6,4s"], &["--measured-back", "a comma can be"]);
}

#[test]
fn a_time_ten_times_off_the_model_is_refused_with_both_times() {
    let off = [
        "times as long as the ",
        "that the model gives for this car, gate and day",
        "is it the right gate, car and unit?",
    ];
    refused(&["day.toml", "--measured", "63s"], &[&["--measured 63.00"][..], &off].concat());
    refused(&["day.toml", "--measured", "0.63s"], &["times shorter than the "]);
    refused(
        &["day.toml", "--measured", "6.3s", "--measured-back", "63s"],
        &[&["--measured-back 63.00"][..], &off].concat(),
    );
}

#[test]
fn an_unknown_gate_is_refused_with_those_there_are() {
    refused(&["--to", "61 mph"], &["--to \"61 mph\": there is no such gate", "60 mph", "1/4 mile"]);
}

#[test]
fn a_clock_with_rollout_needs_one() {
    refused(
        &["--set", "timing.rollout=0 m", "--with-rollout", "--measured", "6.3s"],
        &["--with-rollout: the scenario has no rollout", "accepted: a scenario with a timing.rollout above zero"],
    );
}

#[test]
fn a_reversed_profile_is_refused_by_line() {
    let folder = folder();
    folder.write("survey.csv", "distance (m),height (m)\n600,0\n400,2\n0,6\n");
    let err = folder.refused(&["conditions", "car.toml", "surveyed.toml", "--out", "report"]);
    assert!(err.contains("survey.csv:3: distance: the distance does not exceed that of the row before"), "{err}");
}

#[test]
fn a_change_that_is_none_or_of_an_unknown_key_is_refused() {
    refused(&["--set", "air.headwind"], &["there is no = in it", "air.headwind=-3 m/s"]);
    refused(&["--set", "air.headwnd=3 m/s"], &["this key is not known", "air.headwind"]);
    refused(&["--set", "air.headwind=3"], &["air.headwind", "has no unit"]);
    refused(&["--reference", "gone.toml"], &["gone.toml: this file cannot be read"]);
}

#[test]
fn a_day_on_which_the_car_does_not_get_there_says_why() {
    let folder = folder();
    folder.write("heavy.toml", SHEET.replace("1540 kg", "4800 kg"));
    let args = ["conditions", "heavy.toml", "--set", "road.slope=30 %", "--out", "report"];
    let told = folder.run(&args);
    assert_eq!((told.code, told.out.as_str()), (3, ""), "{told:?}");
    assert!(
        told.err.contains("does not get to the gate on the day") && told.err.contains("cannot move"),
        "{}",
        told.err
    );
    assert!(!folder.path().join("report").exists());
}

#[test]
fn options_that_need_others_are_wrong_usage_without_them() {
    for args in [
        &["--measured-back", "6.3s"][..],
        &["--timing-error", "0.01s"],
        &["--reference", "day.toml", "--standard-air", "iso-2533"],
    ] {
        let told = folder().run(&command(args));
        assert_eq!((told.code, told.out.as_str()), (2, ""), "{told:?}");
    }
}

#[test]
fn the_example_is_answered() {
    let (car, day) = (example("vehicles/gravane-62.toml"), example("scenarios/road-test.toml"));
    let told =
        Folder::new().run(&["conditions", &car, &day, "--measured", "5.49s", "--with-rollout", "--band-runs", "8"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
}
