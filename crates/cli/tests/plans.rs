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
    for word in ["Dry, flat", "Wet, flat", "Hold", "Clutch up", "Best possible", "Bound", "closed course"] {
        assert!(told.out.contains(word), "{word}: {}", told.out);
    }
    assert!(told.out.lines().count() < 60 && told.out.lines().all(|line| line.chars().count() <= 100), "{}", told.out);
    for file in ["index.html", "card-1.svg", "card-2.svg", "held-revs.svg", "release.svg", "lost.svg"] {
        assert!(folder.path().join("plan").join(file).exists(), "{file}");
    }
    let run = folder.run(&["run", &vehicle, "wet-flat-planned.toml", "--band-runs", "0"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{run:?}");
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
    assert!(document["plans"][0]["driver"]["expected"]["mean_s"].as_f64().expect("a time") > 1.0);
}

#[test]
fn a_limit_without_its_unit_and_a_gate_that_is_none_are_told() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    let told = folder.refused(&["plan", "car.toml", "--clutch-face-max", "250"]);
    assert!(told.contains("--clutch-face-max \"250\": has no unit; accepted:") && told.contains("250 °C"), "{told}");
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
