//! What a wrong vehicle file says: file, line, key, what was found, what would be accepted, and all of it at once.

use bitepoint_inputs::problem::{Fault, Problem};
use bitepoint_inputs::vehicle::VehicleFile;

const SHEET: &str = r#"name = "Test car"
mass = "1540 kg"
driven_axle = "rear"
peak_power = "230 hp"
peak_power_at = "6300 rpm"
peak_torque = "290 N·m"
peak_torque_at = "3900 rpm"
redline = "6800 rpm"
gear_ratios = [3.79, 2.24, 1.52, 1.18, 1.00, 0.84]
final_drive = 3.46
tyre_size = "225/50R17"
aspiration = "naturally aspirated"
"#;

fn problems(text: &str) -> Vec<Problem> {
    VehicleFile::parse("car.toml", text).expect_err("the file is wrong").0
}

/// The one problem of the sheet with a line replaced, or with more lines below it (from line 13).
fn only_problem(text: &str) -> Problem {
    let problems = problems(text);
    assert_eq!(problems.len(), 1, "{problems:#?}");
    problems.into_iter().next().expect("one")
}

fn replaced(from: &str, to: &str) -> String {
    assert!(SHEET.contains(from), "{from}");
    SHEET.replace(from, to)
}

fn with_more(more: &str) -> String {
    format!("{SHEET}{more}")
}

#[test]
fn the_sheet_itself_is_right() {
    assert_eq!(VehicleFile::parse("car.toml", SHEET).map(|f| f.name().to_owned()), Ok("Test car".to_owned()));
}

#[test]
fn a_bare_number_is_told_which_units_are_taken() {
    let problem = only_problem(&replaced("\"1540 kg\"", "1540"));
    assert_eq!((problem.line, problem.key.as_str(), problem.found.as_str()), (Some(2), "mass", "1540"));
    assert_eq!(problem.fault, Fault::BadQuantity);
    assert!(problem.accepted.contains("kg, lb"), "{}", problem.accepted);
    assert!(problem.accepted.contains("\"1540 kg\""), "{}", problem.accepted);
}

#[test]
fn a_unit_that_does_not_fit_is_named() {
    let problem = only_problem(&replaced("\"1540 kg\"", "\"1540 hp\""));
    assert_eq!((problem.line, problem.key.as_str()), (Some(2), "mass"));
    assert!(problem.what.contains("\"hp\""), "{}", problem.what);
    assert!(problem.accepted.contains("300 kg to 5000 kg"), "{}", problem.accepted);
}

#[test]
fn a_message_has_file_line_key_found_and_accepted() {
    let shown = only_problem(&replaced("\"1540 kg\"", "\"15400 kg\"")).to_string();
    for piece in ["car.toml:2: mass: ", "found:    \"15400 kg\"", "accepted: 300 kg to 5000 kg (units: kg, lb, g, t)"] {
        assert!(shown.contains(piece), "{piece:?} is not in {shown}");
    }
}

#[test]
fn every_problem_of_a_file_is_told_at_once_in_the_order_of_the_file() {
    let text = r#"name = "Test car"
mass = 1540
driven_axle = "left"
peak_power = "230 hp"
peak_power_at = "6300 Nm"
peak_torque = "290 N·m"
peak_torqe_at = "3900 rpm"
redline = "6800 rpm"
gear_ratios = [3.79, "2.24 kg", 1.52]
final_drive = 34.6
tyre_size = "225/50"
[clutch]
bite_point = true
"#;
    let problems = problems(text);
    let found: Vec<(Option<u32>, &str, Fault)> = problems.iter().map(|p| (p.line, p.key.as_str(), p.fault)).collect();
    assert_eq!(
        found,
        [
            (Some(1), "aspiration", Fault::MissingKey),
            (Some(1), "peak_torque_at", Fault::MissingKey),
            (Some(2), "mass", Fault::BadQuantity),
            (Some(3), "driven_axle", Fault::WrongKind),
            (Some(5), "peak_power_at", Fault::BadQuantity),
            (Some(7), "peak_torqe_at", Fault::UnknownKey),
            (Some(9), "gear_ratios[2]", Fault::BadQuantity),
            (Some(10), "final_drive", Fault::OutOfRange),
            (Some(11), "tyre_size", Fault::OutOfRange),
            (Some(13), "clutch.bite_point", Fault::WrongKind),
        ],
        "{problems:#?}"
    );
}

#[test]
fn an_unknown_key_is_answered_with_the_nearest() {
    for (more, near) in [
        ("inertia = \"0.2 kg·m²\"\n", "engine.inertia"),
        ("[engine]\ninertai = \"0.2 kg·m²\"\n", "engine.inertia"),
        ("[gearbox]\nstiffness = \"9 kN·m/rad\"\n", "driveline.stiffness"),
        ("[chasis]\nheight = \"1.4 m\"\n", "chassis"),
        ("[tyres.frnt]\nsize = \"225/40R18\"\n", "tyres.front"),
    ] {
        let problem = only_problem(&with_more(more));
        assert_eq!(problem.fault, Fault::UnknownKey);
        assert!(problem.accepted.contains(&format!("did you mean {near}?")), "{more}: {}", problem.accepted);
    }
}

#[test]
fn a_key_like_no_other_is_answered_with_all_of_its_group() {
    let problem = only_problem(&with_more("[clutch]\nzzzzzzzzzzzz = 1\n"));
    assert!(problem.accepted.contains("clutch.torque_capacity, clutch.friction_coefficient"), "{}", problem.accepted);
}

#[test]
fn a_group_given_as_a_value_is_told_what_is_in_it() {
    let problem = only_problem(&with_more("engine = \"big\"\n"));
    assert_eq!((problem.line, problem.fault), (Some(13), Fault::WrongKind));
    assert!(problem.accepted.contains("engine.torque_curve"), "{}", problem.accepted);
}

#[test]
fn what_is_a_million_times_off_is_refused_with_the_range() {
    for (more, key, range) in [
        ("[engine]\ninertia = \"180000 kg·m²\"\n", "engine.inertia", "0.02 kg·m² to 2 kg·m²"),
        ("[engine]\ninertia = \"1.8e-7 kg·m²\"\n", "engine.inertia", "0.02 kg·m² to 2 kg·m²"),
        ("[driveline]\nstiffness = \"9e9 N·m/rad\"\n", "driveline.stiffness", "1000 N·m/rad to 80000 N·m/rad"),
        ("[driveline]\nstiffness = \"9 mN·m/rad\"\n", "driveline.stiffness", "1000 N·m/rad to 80000 N·m/rad"),
        ("[clutch]\nclamp_force = \"7e9 N\"\n", "clutch.clamp_force", "500 N to 40000 N"),
    ] {
        let problem = only_problem(&with_more(more));
        assert_eq!((problem.line, problem.key.as_str()), (Some(14), key));
        assert!(problem.accepted.contains(range), "{}", problem.accepted);
    }
}

#[test]
fn what_cannot_be_true_together_is_refused() {
    for (text, key, piece) in [
        (
            replaced("2.24, 1.52", "1.52, 2.24"),
            "gear_ratios",
            "ratio 3 (2.24) does not lie under the one before it (1.52)",
        ),
        (replaced("2.24, 1.52", "1.52, 1.52"), "gear_ratios", "ratio 3"),
        (replaced("\"230 hp\"", "\"330 hp\""), "peak_power", "above peak torque"),
        (replaced("\"230 hp\"", "\"130 hp\""), "peak_torque", "above peak power"),
        (replaced("\"6800 rpm\"", "\"6000 rpm\""), "redline", "redline is not above peak_power_at"),
        (replaced("\"3900 rpm\"", "\"6500 rpm\""), "peak_power_at", "peak_power_at is not above peak_torque_at"),
        (replaced("3.46", "1.6").replace("3.79, 2.24", "1.9, 1.6"), "final_drive", "first gear would reach"),
        (with_more("[engine]\nstall = \"900 rpm\"\nidle = \"800 rpm\"\n"), "engine.idle", "not above engine.stall"),
        (with_more("[engine]\nlimiter = \"5000 rpm\"\n"), "engine.limiter", ""),
        (with_more("[engine]\nspool_time = \"0.3 s\"\n"), "engine.spool_time", "no boost has to build"),
        (
            with_more("[clutch]\nbite_point = 0.6\nworking_band = 0.6\n"),
            "clutch.working_band",
            "more than the pedal's travel",
        ),
        (with_more("[clutch]\ntorque_capacity = \"400 N·m\"\nclamp_force = \"7 kN\"\n"), "clutch.clamp_force", "twice"),
        (with_more("[clutch]\ntorque_capacity = \"100 N·m\"\n"), "clutch.torque_capacity", "times peak torque"),
        (with_more("[gearbox]\nefficiencies = [0.97, 0.97]\n"), "gearbox.efficiencies", "2 values for 6 gears"),
        (
            with_more("[driveline]\nfront_torque_share = 0.4\n"),
            "driveline.front_torque_share",
            "only the rear axle is driven",
        ),
        (
            with_more("[driveline]\nrear_differential_preload = \"50 N·m\"\n"),
            "driveline.rear_differential_preload",
            "is open",
        ),
        (with_more("[driveline]\nrear_track = \"1.5 m\"\n"), "driveline.rear_track", "solid_rear_axle is not true"),
        (
            with_more("[chassis]\ncg_height = \"0.95 m\"\nheight = \"0.9 m\"\nwheelbase = \"4 m\"\n"),
            "chassis.height",
            "not above chassis.cg_height",
        ),
        (with_more("[chassis]\ndrag_area = \"0.6 m²\"\ndrag_coefficient = 0.3\n"), "chassis.drag_area", "twice"),
    ] {
        let problems = problems(&text);
        let problem = problems.iter().find(|p| p.key == key).unwrap_or_else(|| panic!("{key} is not in {problems:#?}"));
        assert_eq!(problem.fault, Fault::Inconsistent);
        assert!(problem.what.contains(piece), "{}", problem.what);
        let stands_in = text.lines().nth(problem.line.expect("a line") as usize - 1).expect("that line");
        assert!(stands_in.starts_with(key.rsplit('.').next().expect("a name")), "{key}: {stands_in}");
        assert!(!problem.accepted.is_empty());
    }
}

#[test]
fn a_torque_curve_has_to_rise_in_speed_and_reach_the_redline() {
    for (curve, key, piece) in [
        ("[[\"1000 rpm\", \"200 N·m\"]]", "engine.torque_curve", "1 points"),
        ("[[\"1000 rpm\", \"200 N·m\"], [\"900 rpm\", \"290 N·m\"]]", "engine.torque_curve[2]", "does not exceed"),
        ("[[\"1000 rpm\", \"200 N·m\"], [\"4000 rpm\"]]", "engine.torque_curve[2]", "a point has two values"),
        ("[[\"1000 rpm\", \"200 N·m\"], [\"4000 rpm\", 290]]", "engine.torque_curve[2]", "bare number"),
        ("[[\"1000 rpm\", \"200 N·m\"], [\"4000 rpm\", \"290 N·m\"]]", "engine.torque_curve", "short of the redline"),
        (
            "[[\"4000 rpm\", \"290 N·m\"], [\"6800 rpm\", \"245 N·m\"]]",
            "engine.torque_curve",
            "a start happens under that",
        ),
        ("[[\"1000 rpm\", \"200 N·m\"], [\"6800 rpm\", \"150 N·m\"]]", "peak_torque", "off the largest"),
    ] {
        let problems = problems(&with_more(&format!("[engine]\ntorque_curve = {curve}\n")));
        let problem = problems.iter().find(|p| p.key == key).unwrap_or_else(|| panic!("{key} is not in {problems:#?}"));
        assert!(problem.what.contains(piece), "{}", problem.what);
    }
}

#[test]
fn a_torque_curve_stands_in_for_the_two_peaks() {
    let without: String =
        SHEET.lines().filter(|line| !line.starts_with("peak_")).map(|line| format!("{line}\n")).collect();
    let keys: Vec<_> = problems(&without).into_iter().map(|p| p.key).collect();
    assert_eq!(keys, ["peak_power", "peak_power_at", "peak_torque", "peak_torque_at"]);
    let curve = "[engine]\ntorque_curve = [[\"1000 rpm\", \"200 N·m\"], [\"3900 rpm\", \"290 N·m\"], [\"6800 rpm\", \"240 N·m\"]]\n";
    assert!(VehicleFile::parse("car.toml", &format!("{without}{curve}")).is_ok());
}

#[test]
fn a_spread_may_stand_beside_a_value() {
    let with_spread = |text: &str| VehicleFile::parse("car.toml", &replaced("\"1540 kg\"", text));
    let sd = |text: &str| {
        let resolved = with_spread(text).unwrap_or_else(|e| panic!("{e}")).resolve();
        resolved.entries.iter().find(|e| e.key.path == "mass").expect("mass").spread_sd_si
    };
    assert!((sd("{ value = \"1540 kg\", spread = \"20 kg\" }") - 20.0).abs() < 1e-9);
    assert!((sd("{ value = \"1540 kg\", spread = \"2 %\" }") - 30.8).abs() < 1e-9);
    assert_eq!(sd("{ value = \"1540 kg\" }"), 0.0);
    for (text, key) in [
        ("{ value = \"1540 kg\", spread = \"20 s\" }", "mass.spread"),
        ("{ value = \"1540 kg\", spread = \"-20 kg\" }", "mass.spread"),
        ("{ value = \"1540 kg\", sprad = \"20 kg\" }", "mass.sprad"),
        ("{ spread = \"20 kg\" }", "mass"),
    ] {
        let problems = with_spread(text).expect_err(text).0;
        assert_eq!((problems[0].line, problems[0].key.as_str()), (Some(2), key), "{problems:#?}");
    }
}

#[test]
fn a_spread_in_fahrenheit_loses_its_zero() {
    let text = with_more("[clutch]\nfade_start = { value = \"527 °F\", spread = \"36 °F\" }\n");
    let resolved = VehicleFile::parse("car.toml", &text).unwrap_or_else(|e| panic!("{e}")).resolve();
    let entry = resolved.entries.iter().find(|e| e.key.path == "clutch.fade_start").expect("the key");
    assert!((entry.spread_sd_si - 20.0).abs() < 1e-9 && (entry.si_value().expect("a number") - 275.0).abs() < 1e-9);
}

#[test]
fn text_that_is_not_toml_is_told_line_by_line() {
    let text = replaced("mass = \"1540 kg\"", "mass = ").replace("final_drive = 3.46", "final_drive 3.46");
    let problems = problems(&text);
    let lines: Vec<_> = problems.iter().map(|p| p.line).collect();
    assert!(problems.iter().all(|p| p.fault == Fault::Syntax), "{problems:#?}");
    assert!(lines.contains(&Some(2)) && lines.contains(&Some(10)), "{problems:#?}");
}

#[test]
fn a_key_that_stands_twice_is_refused() {
    let problems = problems(&with_more("mass = \"1500 kg\"\n"));
    assert_eq!((problems[0].line, problems[0].fault), (Some(13), Fault::Syntax), "{problems:#?}");
}

#[test]
fn an_empty_file_and_one_that_is_too_large_are_told_so() {
    for text in ["", " \n\n", "\u{feff}"] {
        assert!(only_problem(text).what.contains("empty"));
    }
    let large = format!("{SHEET}#{}", "x".repeat(bitepoint_inputs::MAX_FILE_BYTES));
    assert!(only_problem(&large).accepted.contains("at most 4194304 bytes"));
}

#[test]
fn json_has_the_same_errors_with_its_own_lines() {
    let json = r#"{
  "$schema": "../schemas/vehicle.schema.json",
  "name": "Test car",
  "mass": 1540,
  "driven_axle": "rear",
  "peak_power": "230 hp", "peak_power_at": "6300 rpm",
  "peak_torque": "290 N·m", "peak_torque_at": "3900 rpm",
  "redline": "6800 rpm",
  "gear_ratios": [3.79, 2.24,
     "x", 1.18],
  "final_drive": 3.46,
  "tyre_size": "225/50R17",
  "aspiration": "naturally aspirated",
  "engine": { "inertai": "0.2 kg·m²" }
}"#;
    let problems = VehicleFile::parse("car.json", json).expect_err("wrong").0;
    let found: Vec<_> = problems.iter().map(|p| (p.line, p.key.as_str())).collect();
    assert_eq!(found, [(Some(4), "mass"), (Some(10), "gear_ratios[3]"), (Some(14), "engine.inertai")], "{problems:#?}");

    let right =
        json.replace("1540,", "\"1540 kg\",").replace("\"x\", 1.18", "1.52, 1.18").replace("inertai", "inertia");
    let from_json = VehicleFile::parse("car.json", &right).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(from_json.resolve().vehicle.gearbox.gears.len(), 4);

    let broken = VehicleFile::parse("car.json", &json.replace("1540,", "1540")).expect_err("wrong").0;
    assert_eq!((broken[0].fault, broken.len()), (Fault::Syntax, 1));
    assert!(matches!(broken[0].line, Some(4 | 5)), "{broken:#?}");
    let twice = VehicleFile::parse("car.json", &right.replace("\"redline\"", "\"mass\"")).expect_err("wrong").0;
    assert!(twice.iter().any(|p| p.line == Some(8) && p.what.contains("twice")), "{twice:#?}");
    assert!(VehicleFile::parse("car.json", "[1]").is_err());
    assert!(VehicleFile::parse("car.json", &"[".repeat(100_000)).is_err());
    assert!(VehicleFile::parse("car.toml", &format!("a = {}", "[".repeat(100_000))).is_err());
}

#[cfg(feature = "files")]
mod from_disk {
    use bitepoint_inputs::files::read_vehicle;

    #[test]
    fn a_file_that_is_missing_a_folder_or_no_text_is_told_so() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("car.toml");
        let what = |path| read_vehicle(path).expect_err("wrong").0[0].what.clone();
        assert!(what(&path).contains("no such file"));
        assert!(what(folder.path()).contains("folder"), "{}", what(folder.path()));
        std::fs::write(&path, b"name = \"x\"\nmass = \"\xff\"\n").expect("written");
        assert!(what(&path).contains("not UTF-8 text (line 2)"), "{}", what(&path));
        std::fs::write(&path, vec![b'#'; bitepoint_inputs::MAX_FILE_BYTES + 1]).expect("written");
        assert!(what(&path).contains("more than 4194304 bytes"));
        std::fs::write(&path, super::SHEET).expect("written");
        assert!(read_vehicle(&path).is_ok());
    }
}
