//! Wrong input is refused with exit code 1 and a message that names file, line, key, what was found and what is accepted;
//! nothing is printed on stdout and nothing is written, although a report was asked for.

mod common;

use std::time::{Duration, Instant};

use common::{Folder, SHEET, sheet_with};

/// Runs a wrong vehicle file and looks for every piece in the message.
fn refused_vehicle(text: impl AsRef<[u8]>, pieces: &[&str]) {
    let folder = Folder::new();
    folder.write("car.toml", text);
    let err = folder.refused(&["run", "car.toml", "--out", "report"]);
    holds(&err, pieces);
}

/// Runs a right vehicle file under a wrong scenario.
fn refused_scenario(files: &[(&str, &str)], pieces: &[&str]) {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    for (name, text) in files {
        folder.write(name, text);
    }
    let err = folder.refused(&["run", "car.toml", "day.toml", "--out", "report"]);
    holds(&err, pieces);
}

fn holds(err: &str, pieces: &[&str]) {
    for piece in pieces {
        assert!(err.contains(piece), "no {piece:?} in:\n{err}");
    }
}

#[test]
fn a_missing_file_is_named() {
    let folder = Folder::new();
    let err = folder.refused(&["run", "gone.toml", "--out", "report"]);
    holds(&err, &["gone.toml: this file cannot be read: there is no such file", "accepted: a TOML or JSON file"]);
    folder.write("car.toml", SHEET);
    holds(&folder.refused(&["run", "car.toml", "gone.toml"]), &["gone.toml: this file cannot be read"]);
    holds(&folder.refused(&["check", "gone.toml"]), &["gone.toml: this file cannot be read"]);
}

#[test]
fn a_folder_in_place_of_a_file_is_named() {
    holds(&Folder::new().refused(&["run", "."]), &[".: this file cannot be read: it is a folder"]);
}

#[test]
fn a_file_that_is_not_utf_8_is_told_with_its_line() {
    refused_vehicle(b"name = \"x\"\nmass = \"1\xff40 kg\"\n", &["car.toml", "not UTF-8 text (line 2)"]);
}

#[test]
fn an_empty_file_points_to_the_sheet() {
    refused_vehicle("", &["car.toml:1: the file is empty", "bitepoint sheet"]);
}

#[test]
fn a_file_that_is_no_toml_is_told_with_its_line() {
    refused_vehicle("name = \"x\"\nmass == 3\n", &["car.toml:2: this is not TOML", "found:    mass == 3"]);
}

#[test]
fn a_wrong_unit_is_answered_with_those_that_fit() {
    let pieces =
        ["car.toml:2: mass: the unit \"m\" does not fit here", "found:    \"1540 m\"", "(units: kg, lb, g, t)"];
    refused_vehicle(sheet_with("\"1540 kg\"", "\"1540 m\""), &pieces);
}

#[test]
fn a_bare_number_is_answered_with_the_units() {
    refused_vehicle(sheet_with("\"290 N·m\"", "290"), &["car.toml:6: peak_torque: a bare number", "N·m, lbf·ft"]);
}

#[test]
fn an_unknown_key_is_answered_with_the_nearest() {
    let pieces = ["car.toml:8: redlin: this key is not known", "found:    \"6800 rpm\"", "did you mean redline?"];
    refused_vehicle(sheet_with("redline =", "redlin ="), &pieces);
}

#[test]
fn a_repeated_key_is_told_at_its_second_line() {
    let twice = format!("{SHEET}redline = \"7000 rpm\"\n");
    refused_vehicle(&twice, &["car.toml:13: this is not TOML: duplicate key", "found:    redline = \"7000 rpm\""]);
    let folder = Folder::new();
    folder.write("car.json", "{\n\"name\": \"a\",\n\"name\": \"b\"\n}\n");
    holds(&folder.refused(&["run", "car.json"]), &["car.json:3: name: this key stands twice", "each key once"]);
}

#[test]
fn a_negative_mass_is_refused_with_the_range() {
    let pieces = ["car.toml:2: mass: ", "found:    \"-1540 kg\"", "accepted: 300 kg to 5000 kg"];
    refused_vehicle(sheet_with("\"1540 kg\"", "\"-1540 kg\""), &pieces);
}

#[test]
fn ratios_that_rise_are_told_by_their_place() {
    let pieces =
        ["car.toml:9: gear_ratios: ratio 3 (2.5) does not lie under the one before it (2.24)", "ratios that fall"];
    refused_vehicle(sheet_with("1.52", "2.5"), &pieces);
}

#[test]
fn a_torque_curve_of_one_point_is_refused() {
    let text = format!("{SHEET}[engine]\ntorque_curve = [[\"1000 rpm\", \"210 N·m\"]]\n");
    refused_vehicle(text, &["car.toml:14: engine.torque_curve: the curve has 1 points", "accepted: 2 to 200 points"]);
}

#[test]
fn a_torque_curve_whose_revs_do_not_rise_is_told_by_the_point() {
    let points = "[[\"1000 rpm\", \"210 N·m\"],\n[\"4400 rpm\", \"290 N·m\"],\n[\"4400 rpm\", \"280 N·m\"]]";
    let text = format!("{SHEET}[engine]\ntorque_curve = {points}\n");
    let pieces = ["car.toml:16: engine.torque_curve[3]: the engine speed does not exceed", "found:    [\"4400 rpm\""];
    refused_vehicle(text, &pieces);
}

#[test]
fn a_redline_under_idle_is_refused() {
    refused_vehicle(sheet_with("\"6800 rpm\"", "\"680 rpm\""), &["car.toml:8: redline: ", "accepted: 2500 rpm to"]);
    // Both within their ranges, which touch: a curve in place of the ratings leaves only these two to be compared.
    let curve = "torque_curve = [[\"1000 rpm\", \"60 N·m\"], [\"2500 rpm\", \"60 N·m\"]]";
    let slow = SHEET
        .lines()
        .filter(|line| !line.starts_with("peak_"))
        .map(|line| format!("{line}\n"))
        .collect::<String>()
        .replace("6800 rpm", "2500 rpm");
    let text = format!("{slow}[engine]\nidle = \"2500 rpm\"\n{curve}\n");
    refused_vehicle(text, &["car.toml:4: redline: redline is not above engine.idle", "2500 rpm in line 10"]);
}

#[test]
fn a_nonsense_tyre_size_is_answered_with_what_a_size_is() {
    for size in ["\"seventeen\"", "\"225/50\"", "\"225/50R170\"", "\"-225/50R17\"", "\"225/NaNR17\""] {
        let found = format!("found:    {size}");
        let pieces = ["car.toml:11: tyre_size: this is no tyre size", &found, "such as \"225/40R18\""];
        refused_vehicle(sheet_with("\"225/50R17\"", size), &pieces);
    }
}

#[test]
fn a_stiffness_or_inertia_a_million_times_off_is_refused_with_the_range() {
    for (group, key, right, unit) in [
        ("engine", "inertia", 0.18, "kg·m²"),
        ("gearbox", "input_inertia", 0.008, "kg·m²"),
        ("driveline", "final_drive_inertia", 0.15, "kg·m²"),
        ("driveline", "stiffness", 9000.0, "N·m/rad"),
        ("driveline", "damping", 80.0, "N·m·s/rad"),
        ("tyres.front", "wheel_inertia", 1.2, "kg·m²"),
        ("tyres.rear", "wheel_inertia", 1.2, "kg·m²"),
    ] {
        for factor in [1e-6, 1e6] {
            let text = format!("{SHEET}[{group}]\n{key} = \"{} {unit}\"\n", right * factor);
            let place = format!("car.toml:14: {group}.{key}: this value is outside of what is believable");
            let found = format!("found:    \"{} {unit}\"", right * factor);
            refused_vehicle(text, &[&place, &found, "accepted: ", " to ", unit]);
        }
    }
}

#[test]
fn absolute_zero_is_refused() {
    for cold in ["0 K", "-273.15 °C", "-459.67 °F"] {
        let day = format!("[air]\ntemperature = \"{cold}\"\n");
        let found = format!("found:    \"{cold}\"");
        refused_scenario(&[("day.toml", &day)], &["day.toml:2: air.temperature: ", &found, "-50 °C to 60 °C"]);
    }
}

#[test]
fn a_wrong_slope_profile_is_told_with_its_own_name_and_line() {
    let day = "[road]\nslope_profile = \"strip.csv\"\n";
    for (row, line) in [
        ("100,", "strip.csv:3: height: there is a gap: this cell is empty"),
        (",0.5", "strip.csv:3: distance: there is a gap: this cell is empty"),
        ("100", "strip.csv:3: height: there is a gap: this cell is empty"),
        ("100,flat", "strip.csv:3: height: this is no number"),
        ("-5,0", "strip.csv:3: distance: the distance does not exceed that of the row before"),
        ("0,0", "strip.csv:3: distance: the distance does not exceed that of the row before"),
        ("1,5", "strip.csv:3: height: the slope to this row is 500 %"),
    ] {
        let csv = format!("distance (m),height (m)\n0,0\n{row}\n500,0\n");
        refused_scenario(&[("day.toml", day), ("strip.csv", &csv)], &[line, "accepted: "]);
    }
    refused_scenario(&[("day.toml", day)], &["day.toml:2: road.slope_profile", "there is no such file"]);
}

#[test]
fn all_problems_of_a_file_are_told_at_once() {
    let text = SHEET.replace("1540 kg", "-1 kg").replace("1.52", "9.9").replace("225/50R17", "big");
    refused_vehicle(text, &["car.toml:2: mass", "car.toml:9: gear_ratios[3]", "car.toml:11: tyre_size"]);
}

#[test]
fn a_name_cannot_steer_the_terminal() {
    let text = sheet_with("Test car", "\\u001b[2JTest car");
    let folder = Folder::new();
    folder.write("car.toml", text);
    let err = folder.refused(&["run", "car.toml"]);
    holds(&err, &["car.toml:1: name: ", "another control character"]);
    assert!(!err.contains('\u{1b}'), "{err:?}");
}

/// What a person waits at most for a refusal, with room for a busy machine and a build without optimisation.
const SOON: Duration = Duration::from_secs(20);

#[test]
fn a_file_of_100_mb_is_refused_soon() {
    let folder = Folder::new();
    let file = std::fs::File::create(folder.path().join("car.toml")).expect("a file");
    // All zeros, which is valid UTF-8; nothing of it is stored.
    file.set_len(100_000_000).expect("a sparse file");
    let begin = Instant::now();
    for command in ["run", "check"] {
        let told = folder.run(&[command, "car.toml"]);
        assert_eq!((told.code, told.out.as_str()), (1, ""), "{told:?}");
        holds(&told.err, &["car.toml: this file cannot be read: it has more than 4194304 bytes", "at most 4194304"]);
    }
    assert!(begin.elapsed() < SOON, "{:?}", begin.elapsed());
}

#[test]
fn a_file_of_nothing_but_mistakes_is_refused_soon_and_in_few_words() {
    let many = |line: &str| line.repeat(4_000_000 / line.len());
    let numbered = |form: &dyn Fn(usize) -> String| (0..200_000).map(form).collect::<String>();
    for (name, text) in [
        ("junk.toml", many("a\n")),
        ("keys.toml", numbered(&|i| format!("k{i} = 1\n"))),
        ("keys.json", format!("{{{}\"k\": 1}}", numbered(&|i| format!("\"k{i}\": 1,\n")))),
        ("deep.toml", format!("a = {}", many("["))),
        ("deep.json", format!("{{\"a\": {}", many("["))),
        ("dots.toml", format!("a{} = 1", many(".a"))),
        ("long.toml", sheet_with("Test car", &many("x"))),
        ("list.toml", sheet_with("3.79,", &many("3.79,"))),
    ] {
        let folder = Folder::new();
        folder.write(name, text);
        let begin = Instant::now();
        let told = folder.run(&["run", name]);
        assert_eq!((told.code, told.out.as_str()), (1, ""), "{name}");
        assert!(begin.elapsed() < SOON, "{name}: {:?}", begin.elapsed());
        assert!(told.err.starts_with(name) && told.err.len() < 64_000, "{name}: {} bytes", told.err.len());
    }
}
