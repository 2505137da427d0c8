//! `bitepoint review` as a user runs it: the example log, and logs that are none.

mod common;

use std::fmt::Write as _;
use std::path::Path;

use common::Folder;

const VEHICLE: &str = include_str!("../../../vehicles/gravane-62.toml");
const DAY: &str = include_str!("../../../scenarios/wet-flat.toml");

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("car.toml", VEHICLE);
    folder.write("day.toml", DAY);
    folder
}

/// The log is refused with every piece in the message.
fn refused(log: &str, pieces: &[&str]) {
    let folder = folder();
    folder.write("log.csv", log);
    let err = folder.refused(&["review", "log.csv", "car.toml", "day.toml", "--out", "report"]);
    assert!(err.contains("log.csv"), "{err}");
    for piece in pieces {
        assert!(err.contains(piece), "no {piece:?} in:\n{err}");
    }
}

/// A start at 4 m/s² after ten seconds, at 10 Hz: rows made of time, speed in m/s and distance in m.
fn start(row: impl Fn(f64, f64, f64) -> String) -> String {
    (0..200).map(|i| 0.1 * f64::from(i)).fold(String::new(), |mut text, t| {
        let since_s = (t - 10.0).clamp(0.0, 8.0);
        let distance_m = 2.0 * since_s * since_s + 4.0 * since_s * (t - 18.0).max(0.0);
        let _ = writeln!(text, "{}", row(t, 4.0 * since_s, distance_m));
        text
    })
}

#[test]
fn an_empty_log_is_called_empty() {
    refused("", &["empty"]);
}

#[test]
fn a_log_of_one_row_is_called_too_short() {
    refused("time (s),speed (km/h)\n0,0\n", &["fewer than two rows"]);
}

#[test]
fn a_log_without_a_start_says_so() {
    let text =
        (0..300).fold("time (s),speed (km/h)\n".to_owned(), |text, i| text + &format!("{},80\n", 0.1 * f64::from(i)));
    refused(&text, &["no standing start", "accepted: "]);
}

#[test]
fn time_that_goes_back_is_named_with_its_line() {
    let text = (0..100).fold("time (s),speed (km/h)\n".to_owned(), |text, i| text + &format!("{},{i}\n", 100 - i));
    refused(&text, &["log.csv:3", "time goes back"]);
}

#[test]
fn a_speed_in_the_wrong_unit_is_suspected() {
    let rows = start(|t, v, x| format!("{t:.1},{:.2},{x:.2}", 3.6 * v));
    refused(&format!("time (s),speed (mph),distance (m)\n{rows}"), &["km/h", "mph", "--map"]);
}

#[test]
fn rubbish_is_refused() {
    refused(&"abcdefgh\n".repeat(10_000), &["accepted"]);
}

#[test]
fn a_map_that_cannot_be_read_is_refused() {
    let folder = folder();
    folder.write("log.csv", "time (s),speed (km/h)\n0,0\n");
    let err = folder.refused(&["review", "log.csv", "car.toml", "--map", "speed"]);
    assert!(err.contains("--map"), "{err}");
}

#[test]
fn the_example_log_is_told_on_the_screen_in_a_document_and_in_a_report() {
    let folder = folder();
    let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../logs/gravane-62-wet.csv");
    let log = log.to_str().expect("a path in UTF-8");
    let told = folder.run(&["review", log, "car.toml", "day.toml", "--before", log, "--out", "report"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{}", told.out);
    for piece in [
        "5 standing starts",
        "Change next",
        "wheelspin",
        "not explained",
        "Compared",
        "Corrected",
        "Clutch",
        "closed course",
    ] {
        let words = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(piece), "no {piece:?} in:\n{}", told.out);
    }
    let files = folder.contents();
    for name in ["report/index.html", "report/start-1.svg", "report/start-5.svg"] {
        assert!(files.keys().any(|path| path.ends_with(name)), "no {name}");
    }
    let told = folder.run(&["review", log, "car.toml", "day.toml", "--json"]);
    let document: serde_json::Value = serde_json::from_str(&told.out).expect("JSON");
    let schema: serde_json::Value =
        serde_json::from_str(include_str!("../../../schemas/review.schema.json")).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    assert!(validator.is_valid(&document), "{:?}", validator.iter_errors(&document).next());
    assert!(document["correction"]["corrected_s"].is_number());
}

#[test]
fn a_log_of_another_car_is_refused() {
    let folder = Folder::new();
    folder.write("car.toml", include_str!("../../../vehicles/tumbrill-14.toml"));
    let log = include_str!("../../../logs/gravane-62-wet.csv");
    folder.write("log.csv", log);
    let err = folder.refused(&["review", "log.csv", "car.toml", "--out", "report"]);
    assert!(err.contains("log.csv") && err.contains("another car") && err.contains("accepted: "), "{err}");
}

/// The parts of a start's gap, and what is left of it.
fn parts(start: &serde_json::Value) -> (f64, f64, f64) {
    let costs = &start["costs"];
    let parts = costs["parts"].as_array().expect("parts");
    let sum: f64 = parts.iter().filter_map(|p| p["lost_s"].as_f64()).sum();
    (costs["gap_s"].as_f64().expect("a gap"), sum, costs["rest_s"].as_f64().expect("a rest"))
}

#[test]
fn the_costs_of_the_example_log_explain_its_gaps() {
    let folder = folder();
    let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../logs/gravane-62-wet.csv");
    let log = log.to_str().expect("a path in UTF-8");
    let told = folder.run(&["review", log, "car.toml", "day.toml", "--json"]);
    let document: serde_json::Value = serde_json::from_str(&told.out).expect("JSON");
    let starts = document["starts"].as_array().expect("starts");
    assert_eq!(starts.len(), 5);
    for start in starts {
        let (gap_s, sum_s, rest_s) = parts(start);
        assert!((sum_s + rest_s - gap_s).abs() < 1e-9, "{sum_s} and {rest_s} for {gap_s}");
        assert!(rest_s.abs() < 0.1 * gap_s, "{rest_s} of {gap_s} is not explained");
    }
    let change = document["change"].as_str().expect("a sentence");
    assert!(change.ends_with('.') && change.bytes().any(|b| b.is_ascii_digit()), "{change}");
}

#[test]
fn a_speed_that_this_car_does_not_reach_is_doubted_or_refused() {
    let folder = folder();
    // Without the engine's speed only the pace tells that km/h were read as something faster.
    let narrow = |unit: &str| {
        let log = include_str!("../../../logs/gravane-62-wet.csv").replacen("(km/h)", unit, 1);
        let rows =
            log.lines().filter(|l| !l.starts_with('#')).map(|l| l.splitn(3, ',').take(2).collect::<Vec<_>>().join(","));
        rows.collect::<Vec<_>>().join("\n")
    };
    folder.write("log.csv", narrow("(m/s)"));
    let err = folder.refused(&["review", "log.csv", "car.toml", "day.toml"]);
    assert!(err.contains("by its power alone") && err.contains("--map speed=COLUMN:UNIT"), "{err}");
    folder.write("log.csv", narrow("(mph)"));
    // Quicker than a driver's best launch, though not than the car's grip and power allow.
    let quicker = |told: &str| {
        let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
        words.contains("quicker than the recommended launch of this car")
            && words.contains("surface or slope are not as")
    };
    let told = folder.run(&["review", "log.csv", "car.toml", "day.toml"]);
    assert!(quicker(&told.out), "{}", told.out);
    folder.write("log.csv", narrow("(km/h)"));
    let told = folder.run(&["review", "log.csv", "car.toml", "day.toml"]);
    assert!(!told.out.contains("Doubtful") && !quicker(&told.out), "{}", told.out);
}

#[test]
fn without_a_throttle_the_pull_tells_the_power() {
    let folder = folder();
    let log = include_str!("../../../logs/gravane-62-wet.csv").replacen("throttle (%)", "oil pressure (bar)", 1);
    folder.write("log.csv", &log);
    let told = folder.run(&["review", "log.csv", "car.toml", "day.toml", "--json"]);
    let document: serde_json::Value = serde_json::from_str(&told.out).expect("JSON");
    for start in document["starts"].as_array().expect("starts") {
        let (gap_s, _, rest_s) = parts(start);
        assert!(rest_s.abs() < 0.1 * gap_s, "{rest_s} of {gap_s} is not explained");
        assert!(start["costs"]["parts"].as_array().expect("parts").iter().any(|p| p["cause"] == "power"), "{start}");
    }
    assert!(
        document["change"].as_str().is_some_and(|c| c.contains("by its pull the car had")),
        "{}",
        document["change"]
    );
}

#[test]
fn evidence_is_told_in_the_units_that_were_asked_for() {
    let folder = folder();
    let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../logs/gravane-62-wet.csv");
    let log = log.to_str().expect("a path in UTF-8");
    for (units, unit, other) in [("us", " mph ahead", "km/h"), ("si", " km/h ahead", "mph")] {
        let told = folder.run(&["review", log, "car.toml", "day.toml", "--units", units]);
        assert!(told.out.contains(unit) && !told.out.contains(other), "{}", told.out);
    }
}

#[test]
fn a_gate_that_there_is_none_of_is_named() {
    let folder = folder();
    folder.write("log.csv", "time (s),speed (km/h)\n0,0\n");
    let err = folder.refused(&["review", "log.csv", "car.toml", "--to", "61 mph"]);
    assert!(err.contains("61 mph") && err.contains("accepted"), "{err}");
}
