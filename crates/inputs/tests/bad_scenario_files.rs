//! What a wrong scenario file or slope profile says.

use bitepoint_inputs::problem::{Fault, Problem};
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::{VehicleFile, sheet_template};

fn no_file(_: &str) -> Result<String, String> {
    Err("there is no such file".to_owned())
}

fn problems(text: &str) -> Vec<Problem> {
    ScenarioFile::parse("day.toml", text, &no_file).expect_err("the file is wrong").0
}

fn csv_problems(csv: &str) -> Vec<Problem> {
    let text = "[road]\nslope_profile = \"strip.csv\"\n";
    ScenarioFile::parse("day.toml", text, &|name| {
        assert_eq!(name, "strip.csv");
        Ok(csv.to_owned())
    })
    .expect_err(csv)
    .0
}

#[test]
fn every_problem_is_told_at_once() {
    let text = "[road]\nsurface = \"dry tarmac\"\nslope = -1.5\n[air]\ntemperature = \"-300 °C\"\nhumidity = 50\npresure = \"1013 hPa\"\n[shifting]\nlift = \"yes\"\n";
    let found: Vec<_> = problems(text).into_iter().map(|p| (p.line, p.key, p.fault)).collect();
    assert_eq!(
        found,
        [
            (Some(2), "road.surface".to_owned(), Fault::WrongKind),
            (Some(3), "road.slope".to_owned(), Fault::BadQuantity),
            (Some(5), "air.temperature".to_owned(), Fault::OutOfRange),
            (Some(6), "air.humidity".to_owned(), Fault::OutOfRange),
            (Some(7), "air.presure".to_owned(), Fault::UnknownKey),
            (Some(9), "shifting.lift".to_owned(), Fault::WrongKind),
        ]
    );
}

#[test]
fn an_unknown_surface_is_answered_with_all_of_them_and_the_nearest() {
    let problem = &problems("[road]\nsurface = \"dry tarmac\"\n")[0];
    assert!(problem.what.contains("\"dry asphalt\""), "{}", problem.what);
    assert!(problem.accepted.contains("\"packed snow\", \"ice\""), "{}", problem.accepted);
}

#[test]
fn an_unknown_driver_and_an_old_key_are_answered_with_what_there_is() {
    let problem = &problems("driver = \"expert\"\n")[0];
    assert_eq!((problem.key.as_str(), problem.line), ("driver", Some(1)));
    assert!(problem.accepted.contains("\"owner\", \"keen\", \"tester\""), "{}", problem.accepted);
    for key in ["lift_to = 0.65", "notice = \"0.25 s\""] {
        let problem = &problems(&format!("[launch]\n{key}\n"))[0];
        assert_eq!((problem.fault, problem.line), (Fault::UnknownKey, Some(2)), "{key}");
    }
}

#[test]
fn what_cannot_be_true_together_is_refused() {
    for (text, key, line) in [
        ("[air]\npressure = \"1013 hPa\"\naltitude = \"100 m\"\n", "air.altitude", 3),
        ("[timing]\nfinish_speed = \"60 mph\"\nfinish_distance = \"100 m\"\n", "timing.finish_speed", 2),
        ("[road]\nstart_at = \"5 m\"\n", "road.start_at", 2),
        ("[launch]\nwheelspin = \"none\"\nslip_lag = \"0.2 s\"\n", "launch.slip_lag", 3),
        ("[launch]\nwheelspin = \"ideal\"\ntarget_slip = 0.2\ntrim_gain = 1.0\n", "launch.target_slip", 3),
        ("[launch]\nclutch_feel = false\nkept_revs = \"3000 rpm\"\n", "launch.kept_revs", 3),
        ("[launch]\nclutch_feel = false\nsteadiness = 0.7\n", "launch.steadiness", 3),
    ] {
        let problems = problems(text);
        assert_eq!((problems[0].key.as_str(), problems[0].line), (key, Some(line)), "{problems:#?}");
    }
}

#[test]
fn a_profile_that_is_not_there_is_told_at_its_key() {
    let problem = &problems("name = \"x\"\n[road]\nslope_profile = \"gone.csv\"\n")[0];
    assert_eq!(
        (problem.file.as_str(), problem.line, problem.key.as_str()),
        ("day.toml", Some(3), "road.slope_profile")
    );
    assert!(problem.what.contains("no such file"));
}

#[test]
fn a_wrong_profile_names_its_own_file_and_line() {
    for (csv, line, key, piece) in [
        ("distance (m),height (m)\n0,0\n100,\n500,0\n", 3, "height", "gap"),
        ("distance (m),height (m)\n0,0\n100,flat\n500,0\n", 3, "height", "no number"),
        ("distance (m),height (m)\n# note\n0,0\n100,0\n50,0\n500,0\n", 5, "distance", "does not exceed"),
        ("distance (m),height (m)\n0,0\n1,5\n500,5\n", 3, "height", "slope"),
        ("distance,height (m)\n0,0\n500,0\n", 1, "distance", "names no unit"),
        ("x (m),height (m)\n0,0\n500,0\n", 1, "distance", "no column"),
        ("", 1, "", "empty"),
        ("distance (m),height (m)\n0,0\n", 1, "", "2 to 60000"),
        ("distance (m),height (m)\n0,inf\n500,0\n", 2, "height", "no number"),
    ] {
        let problems = csv_problems(csv);
        let problem = &problems[0];
        assert_eq!(
            (problem.file.as_str(), problem.line, problem.key.as_str()),
            ("strip.csv", Some(line), key),
            "{csv}: {problems:#?}"
        );
        assert!(problem.what.contains(piece), "{}", problem.what);
    }
}

#[test]
fn every_row_that_is_wrong_is_told() {
    let problems = csv_problems("distance_ft,height_ft\n0,a\n10,0\n5,0\n20,\n");
    assert_eq!(problems.iter().map(|p| p.line).collect::<Vec<_>>(), [Some(2), Some(4), Some(5)]);
}

#[test]
fn a_profile_shorter_than_the_run_is_refused() {
    let problem = &csv_problems("distance (m),height (m)\n0,0\n200,1\n")[0];
    assert_eq!((problem.file.as_str(), problem.key.as_str()), ("day.toml", "road.slope_profile"));
    assert!(problem.what.contains("before the finish at 402.3 m"), "{}", problem.what);
}

#[test]
fn a_profile_in_feet_is_read_in_feet() {
    let text = "[road]\nslope_profile = \"strip.csv\"\n[timing]\nfinish_distance = \"60 ft\"\n";
    let csv = "station ft; ignored,height [ft],distance [ft]\n1,0,0\n2,1,100\n";
    let file = ScenarioFile::parse("day.toml", text, &|_| Ok(csv.to_owned())).unwrap_or_else(|e| panic!("{e}"));
    let vehicle = VehicleFile::parse("car.toml", &sheet_template()).unwrap_or_else(|e| panic!("{e}")).resolve().vehicle;
    let slope = file.resolve(&vehicle).unwrap_or_else(|e| panic!("{e}")).scenario.slope;
    assert!((slope.height_gain_m(30.48) - 0.3048).abs() < 1e-9);
}

#[test]
fn revs_that_this_car_cannot_reach_are_refused_when_the_two_meet() {
    let vehicle = VehicleFile::parse("car.toml", &sheet_template()).unwrap_or_else(|e| panic!("{e}")).resolve().vehicle;
    let text = "[launch]\nrevs = \"11000 rpm\"\nkept_revs = \"9000 rpm\"\n[shifting]\nshift_at = [\"6500 rpm\", \"9500 rpm\"]\n";
    let file = ScenarioFile::parse("day.toml", text, &no_file).unwrap_or_else(|e| panic!("{e}"));
    let problems = file.resolve(&vehicle).expect_err("out of reach").0;
    let found: Vec<_> = problems.iter().map(|p| (p.line, p.key.as_str())).collect();
    assert_eq!(found, [(Some(2), "launch.revs"), (Some(3), "launch.kept_revs"), (Some(5), "shifting.shift_at")]);
    assert!(problems[0].accepted.contains("7560 rpm (its limiter)"), "{}", problems[0].accepted);
}
