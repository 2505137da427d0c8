//! `bitepoint plan` as a user runs it.

mod common;

use common::{Folder, SHEET, example};

#[test]
fn two_surfaces_are_planned_side_by_side_on_one_screen_with_report_cards_and_scenarios() {
    let folder = Folder::new();
    let (vehicle, dry, wet) =
        (example("vehicles/ellisar-28.toml"), example("scenarios/dry-flat.toml"), example("scenarios/wet-flat.toml"));
    let args = ["plan", &vehicle, &dry, &wet, "--to", "60 ft", "--out", "plan", "--write-scenarios", "."];
    let told = folder.run(&args);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    for word in [
        "Dry, flat",
        "Wet, flat",
        "Hold ",
        "No shift.",
        "Expected",
        "90 %",
        "Within 0.05 s",
        "If you miss",
        "easy",
        "normal (this plan)",
        "all-out",
        "Bound",
        "closed course",
    ] {
        assert!(told.out.contains(word), "{word}: {}", told.out);
    }
    let lower = told.out.to_lowercase();
    for word in ["botch", "stray", "never errs", "good from", "lost to the", "clutch home", "best possible", " mind "] {
        assert!(!lower.contains(word), "{word}: {}", told.out);
    }
    assert!(told.out.lines().count() < 90 && told.out.lines().all(|line| line.chars().count() <= 100), "{}", told.out);
    for file in ["index.html", "card-1.svg", "card-2.svg", "held-revs.svg", "kept-revs.svg", "release.svg", "lost.svg"]
    {
        assert!(folder.path().join("plan").join(file).exists(), "{file}");
    }
    let run = folder.run(&["run", &vehicle, "wet-flat-planned.toml", "--band-runs", "0"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{run:?}");
    // The launch reads the same in the run that carries it out.
    assert!(run.out.contains("(given by the scenario) Hold "), "{}", run.out);
    // Never over an old one.
    let again = folder.refused(&args);
    assert!(again.contains("dry-flat-planned.toml: there is such a file already"), "{again}");
}

#[test]
fn the_document_of_a_plan_goes_by_its_schema_and_the_same_seed_gives_the_same_bytes() {
    let folder = Folder::new();
    let args = ["plan", &example("vehicles/ellisar-28.toml"), "--to", "60 ft", "--seed", "3", "--json"];
    let (one, two) = (folder.run(&args), folder.run(&args));
    assert_eq!((one.code, one.err.as_str()), (0, ""), "{one:?}");
    assert_eq!(one.out, two.out);
    let document = common::document(&one, "plan");
    assert_eq!(document["seed"], 3);
    let plan = &document["plans"][0];
    assert_eq!(document["version"], 2);
    assert!(plan["driver"]["expected"]["mean_s"].as_f64().expect("a time") > 1.0);
    assert!(plan["instruction"][0].as_str().is_some_and(|text| text.starts_with("Hold ")), "{}", plan["instruction"]);
    // Harder tries are no slower and hold nothing above the redline.
    let efforts = plan["efforts"].as_array().expect("efforts");
    let of = |key: &str| efforts.iter().map(|e| e[key].as_f64().expect("a number")).collect::<Vec<_>>();
    assert!(of("expected_s").windows(2).all(|pair| pair[1] <= pair[0] + 0.02), "{:?}", of("expected_s"));
    let redline = 6800.0 * core::f64::consts::PI / 30.0;
    assert!(efforts.iter().all(|e| e["launch"]["held_radps"].as_f64().is_some_and(|held| held <= redline + 1e-9)));
}

#[test]
fn a_plan_says_which_band_covers_what_and_calls_the_limit_a_bound() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let screen = folder.run(&["plan", "car.toml", "--to", "60 mph"]).out;
    let words = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    for piece in [
        "over that and what is not known of the car (both)",
        "over the scatter of the driver alone (driver)",
        "theoretical limit",
        "a bound, not advice",
        "Shift 1–2 at ",
        "0 of 200 simulated launches failed",
    ] {
        assert!(words.contains(piece), "{piece}: {screen}");
    }
}

#[test]
fn revs_above_the_redline_are_planned_only_when_asked_for() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let shift = |more: &[&str]| {
        let told = folder.run(&[&["plan", "car.toml", "--to", "60 mph", "--json"], more].concat());
        let document = common::document(&told, "plan");
        document["plans"][0]["driver"]["launch"]["shift_at_radps"][0].as_f64().expect("a speed")
    };
    let redline = 6800.0 * core::f64::consts::PI / 30.0;
    assert!(shift(&[]) <= redline);
    assert!(shift(&["--above-redline"]) > redline);
}

#[test]
fn limits_that_only_a_crawl_keeps_are_refused_in_one_line() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let told = folder.refused(&["plan", "car.toml", "--clutch-energy-max", "10 kJ", "--slip-max", "2 m/s"]);
    assert!(told.lines().count() <= 3, "{told}");
}

#[test]
fn the_help_shows_quantities_in_plain_quotes_and_limits_under_their_heading_alone() {
    let folder = Folder::new();
    for command in ["plan", "conditions"] {
        let help = folder.run(&[command, "--help"]).out;
        let options = help.split("Example").next().expect("options");
        assert!(!options.contains('\\'), "{options}");
        let heading = if command == "plan" { "Limits that a launch must keep" } else { "What was measured" };
        let (before, after) = options.split_once(heading).expect("the heading");
        assert!(before.contains("--json") && !after.contains("--json"), "{options}");
    }
}

#[test]
fn a_limit_without_its_unit_and_a_gate_that_is_none_are_told() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let told = folder.refused(&["plan", "car.toml", "--clutch-face-max", "250"]);
    assert!(
        told.contains("--clutch-face-max \"250\": has no unit\n    accepted:") && told.contains("250 °C"),
        "{told}"
    );
    let told = folder.refused(&["plan", "car.toml", "--clutch-energy-max", "50 mph"]);
    assert!(told.contains("the unit \"mph\" does not fit here") && told.contains("kJ"), "{told}");
    let told = folder.refused(&["plan", "car.toml", "--to", "61 mph"]);
    assert!(told.contains("--to \"61 mph\": there is no such gate") && told.contains("60 mph"), "{told}");
}

#[test]
fn limits_that_no_launch_keeps_are_told_with_how_near_one_comes() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let told = folder.refused(&["plan", "car.toml", "--to", "60 ft", "--units", "si", "--clutch-face-max", "20 °C"]);
    assert!(told.contains("no launch keeps the limits"), "{told}");
    assert!(told.contains("--clutch-face-max 20 °C: the least that any launch was found to reach is"), "{told}");
}
