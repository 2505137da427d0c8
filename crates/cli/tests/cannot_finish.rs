//! A car that cannot move or does not reach its finish: the whole screen says so, stderr says why, the exit code is 3.

mod common;

use common::{Folder, SHEET, Told, sheet_with};

/// Runs a car under a day and expects no finish.
fn unfinished(car: &str, day: &str) -> Told {
    let folder = Folder::new();
    folder.write("car.toml", car);
    folder.write("day.toml", day);
    let told = folder.run(&["run", "car.toml", "day.toml", "--band-runs", "0"]);
    assert_eq!(told.code, 3, "{told:?}");
    assert!(told.out.contains("not reached") && told.out.contains("Caution"), "{}", told.out);
    told
}

#[test]
fn too_little_torque_for_the_slope_is_told_in_two_forces() {
    let car = sheet_with("1540 kg", "4800 kg");
    let told = unfinished(&car, "[road]\nslope = \"30 %\"\n");
    assert!(told.err.contains("cannot move here: first gear gives") && told.err.contains("lbf"), "{}", told.err);
    assert!(told.out.contains("the car rolled backwards"), "{}", told.out);
}

#[test]
fn tyres_that_cannot_grip_are_told_in_two_forces() {
    let told = unfinished(SHEET, "[road]\nsurface = \"ice\"\nslope = \"20 %\"\n");
    assert!(told.err.contains("cannot move here: its driven tyres grip with"), "{}", told.err);
}

#[test]
fn a_clutch_that_cannot_carry_the_start_is_told_in_two_torques() {
    let car = format!("{}[clutch]\ntorque_capacity = \"146 N·m\"\n", sheet_with("1540 kg", "3000 kg"));
    let told = unfinished(&car, "[road]\nslope = \"30 %\"\n");
    assert!(told.err.contains("cannot move here: its clutch carries 108 lbf·ft"), "{}", told.err);
}

#[test]
fn an_engine_that_stalls_is_told_with_what_would_help() {
    let told = unfinished(SHEET, "[launch]\nrevs = \"900 rpm\"\nrelease_time = \"0.05 s\"\n");
    for piece in ["The engine stalled", "What would help: hold more revs", "`bitepoint plan car.toml day.toml`"] {
        assert!(told.err.contains(piece), "{piece}: {}", told.err);
    }
    // Screen and page say it as well.
    assert!(told.out.contains("launch.release_time given by the scenario, the rest"), "{}", told.out);
    assert!(told.out.contains("What helps  hold more revs"), "{}", told.out);
    assert!(told.out.contains("Finish      not reached: the engine stalled"), "{}", told.out);
}

#[test]
fn the_page_of_a_stall_says_what_would_help() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    folder.write("day.toml", "[launch]\nrevs = \"900 rpm\"\nrelease_time = \"0.05 s\"\n");
    let told = folder.run(&["run", "car.toml", "day.toml", "--band-runs", "0", "--out", "report"]);
    assert_eq!(told.code, 3, "{told:?}");
    let page = std::fs::read_to_string(folder.path().join("report/index.html")).expect("the page");
    assert!(page.contains("What would help: ") && page.contains("hold more revs"), "no advice");
    assert!(
        page.contains("`bitepoint plan car.toml day.toml`")
            && page.contains("launch.revs, launch.release_time given by the scenario")
    );
}

#[test]
fn a_launch_that_the_scenario_leaves_open_is_recommended_and_does_not_stall() {
    let folder = Folder::new();
    // Little torque without boost: what used to stall.
    let car = sheet_with("naturally aspirated", "turbocharged").replace("\"rear\"", "\"front\"");
    folder.write("car.toml", car);
    let told = folder.run(&["run", "car.toml", "--band-runs", "0"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    assert!(told.out.contains("Launch      (recommended) Hold "), "{}", told.out);
}

#[test]
fn a_finish_speed_that_no_such_car_reaches_is_told_with_how_far_it_came() {
    let told = unfinished(SHEET, "[timing]\nfinish_speed = \"400 km/h\"\n");
    assert!(told.err.contains("not reached within 60.00 s (timing.time_limit)"), "{}", told.err);
    assert!(told.out.contains("Finish      not reached: the time was up after"), "{}", told.out);
    // What it did reach is told all the same.
    assert!(told.out.lines().any(|line| line.starts_with("1/4 mile") && line.contains("trap")), "{}", told.out);
}

#[test]
fn a_finish_beyond_the_time_limit_is_told_with_the_limit() {
    let told = unfinished(SHEET, "[timing]\ntime_limit = \"2 s\"\n");
    assert!(told.err.contains("within 2.00 s (timing.time_limit)"), "{}", told.err);
}

#[test]
fn a_finish_that_is_no_gate_has_a_line_of_its_own() {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    folder.write("day.toml", "[timing]\nfinish_speed = \"70 mph\"\n");
    let told = folder.run(&["run", "car.toml", "day.toml", "--band-runs", "0"]);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    let line = told.out.lines().find(|line| line.starts_with("Finish")).expect("a line about the finish");
    assert!(line.contains("reached after") && line.ends_with("70.0 mph"), "{line}");
}
