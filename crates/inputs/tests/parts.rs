//! Part files and lines of changes: what they say, and what they do to a car of which much is estimated.

use bitepoint_inputs::part::{Change, Item, Part, PartLine, Price};
use bitepoint_inputs::rules::Rules;
use bitepoint_inputs::vehicle::VehicleFile;

const SHEET: &str = include_str!("../../../vehicles/ellisar-28.toml");
const TURBO: &str = include_str!("../../../vehicles/ombrel-20.toml");

fn car(text: &str) -> VehicleFile {
    VehicleFile::parse("car.toml", text).unwrap_or_else(|e| panic!("{e}"))
}

fn changes(lines: &str) -> Vec<Change> {
    Part::parse("part.toml", &format!("[change]\n{lines}\n")).unwrap_or_else(|e| panic!("{e}")).changes
}

fn fitted(base: &VehicleFile, lines: &str) -> VehicleFile {
    base.fitted(&changes(lines)).unwrap_or_else(|e| panic!("{lines}: {e}"))
}

fn si(car: &VehicleFile, key: &str) -> f64 {
    car.resolve()
        .entries
        .iter()
        .find(|e| e.key.path == key)
        .and_then(|e| e.si_value())
        .unwrap_or_else(|| panic!("{key}"))
}

fn sd(car: &VehicleFile, key: &str) -> f64 {
    car.resolve().entries.iter().find(|e| e.key.path == key).unwrap_or_else(|| panic!("{key}")).spread_sd_si
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

fn refused(base: &VehicleFile, lines: &str, pieces: &[&str]) {
    let read = Part::parse("part.toml", &format!("[change]\n{lines}\n"));
    let told = match read.and_then(|part| base.fitted(&part.changes)) {
        Err(problems) => problems.to_string(),
        Ok(_) => panic!("{lines} was taken"),
    };
    for piece in pieces {
        assert!(told.contains(piece), "no {piece:?} in:\n{told}");
    }
}

#[test]
fn a_sign_changes_the_cars_value_and_no_sign_takes_its_place() {
    let base = car(SHEET);
    near(si(&fitted(&base, "mass = \"-40 kg\""), "mass"), 1500.0);
    near(si(&fitted(&base, "mass = \"1400 kg\""), "mass"), 1400.0);
    near(si(&fitted(&base, "final_drive = \"+10 %\""), "final_drive"), 3.102);
    // A share is scaled by per cent and moved by a bare number.
    near(
        si(&fitted(&base, "chassis.front_weight_share = \"+10 %\""), "chassis.front_weight_share"),
        1.1 * si(&base, "chassis.front_weight_share"),
    );
    near(
        si(&fitted(&base, "chassis.front_weight_share = +0.05"), "chassis.front_weight_share"),
        si(&base, "chassis.front_weight_share") + 0.05,
    );
    // What has a sign itself is written in braces.
    near(si(&fitted(&base, "chassis.rear_lift_coefficient = { value = -0.1 }"), "chassis.rear_lift_coefficient"), -0.1);
    // A difference of temperatures has no zero.
    near(si(&fitted(&base, "clutch.fade_start = \"+90 °F\""), "clutch.fade_start"), 325.0);
}

#[test]
fn a_change_of_an_estimate_keeps_its_spread_and_a_value_ends_it() {
    let base = car(SHEET);
    let lighter = fitted(&base, "engine.inertia = \"-20 %\"");
    near(si(&lighter, "engine.inertia"), 0.8 * si(&base, "engine.inertia"));
    near(sd(&lighter, "engine.inertia"), 0.8 * sd(&base, "engine.inertia"));
    assert_eq!(sd(&fitted(&base, "engine.inertia = \"0.2 kg·m²\""), "engine.inertia"), 0.0);
    // Drawn together they keep their ratio.
    let drawn = |car: &VehicleFile| car.resolve_with(&|_| 1.3).engine.inertia_kgm2;
    near(drawn(&lighter), 0.8 * drawn(&base));
}

#[test]
fn a_part_leaves_estimates_alone_that_only_guess_what_the_car_is() {
    let base = car(SHEET);
    let strong = fitted(&base, "engine.torque_curve = \"+20 %\"");
    near(si(&strong, "peak_torque"), 1.2 * si(&base, "peak_torque"));
    for key in [
        "clutch.torque_capacity",
        "engine.inertia",
        "engine.motoring_constant",
        "driveline.stiffness",
        "gearbox.input_inertia",
    ] {
        near(si(&strong, key), si(&base, key));
    }
    let light = fitted(&base, "mass = \"-200 kg\"");
    for key in ["chassis.wheelbase", "chassis.frontal_area", "tyres.rear.nominal_load"] {
        near(si(&light, key), si(&base, key));
    }
    // Drawn likewise: what is held errs as on the car without the part.
    let normal = |key: &str| key.len() as f64 % 5.0 - 2.0;
    let (base, light) = (base.resolve_with(&normal), light.resolve_with(&normal));
    near(light.chassis.wheelbase_m, base.chassis.wheelbase_m);
    near(light.clutch.clamp_n, base.clutch.clamp_n);
    near(light.chassis.mass_kg, base.chassis.mass_kg - 200.0);
}

#[test]
fn what_goes_with_a_part_follows_it() {
    let base = car(SHEET);
    let sticky = fitted(&base, "tyres.grade = \"track\"");
    let rule = |name: &str| {
        Rules::built_in().numbers().iter().find(|n| n.name == name).map_or_else(|| panic!("{name}"), |n| n.value)
    };
    near(
        si(&sticky, "tyres.peak_friction") / si(&base, "tyres.peak_friction"),
        rule("friction, track tyres") / rule("friction, touring tyres"),
    );
    assert!(sd(&sticky, "tyres.peak_friction") > sd(&base, "tyres.peak_friction"));
    near(si(&sticky, "tyres.sliding_share"), si(&base, "tyres.sliding_share"));
    let short = fitted(&base, "final_drive = 4.0");
    near(si(&short, "driveline.final_drive_inertia"), 0.04 + 0.010 * 16.0);
    near(
        si(&fitted(&base, "redline = \"+200 rpm\""), "engine.limiter"),
        si(&base, "engine.limiter") + 1.05 * 200.0 * core::f64::consts::PI / 30.0,
    );
    // Torque before boost stays what it is, so it is a smaller share of a larger peak.
    let turbo = car(TURBO);
    let boosted = fitted(&turbo, "engine.torque_curve = \"+10 %\"");
    let before_boost = |car: &VehicleFile| si(car, "engine.off_boost_share") * si(car, "peak_torque");
    near(before_boost(&boosted), before_boost(&turbo));
}

#[test]
fn a_value_equal_to_the_cars_makes_the_same_car() {
    let base = car(SHEET);
    for same in ["final_drive = 2.82", "mass = \"+0 %\"", "tyres.grade = \"touring\"", "gear_ratios = \"+0 %\""] {
        let drawn = |car: &VehicleFile| car.resolve_with(&|key| (key.len() % 7) as f64 / 3.0 - 1.0);
        assert_eq!(drawn(&fitted(&base, same)), drawn(&base), "{same}");
    }
}

#[test]
fn lists_and_curves_are_scaled_whole() {
    let base = car(SHEET);
    let ratios = |car: &VehicleFile| car.resolve().vehicle.gearbox.gears.iter().map(|g| g.ratio).collect::<Vec<_>>();
    for (now, before) in ratios(&fitted(&base, "gear_ratios = \"+5 %\"")).iter().zip(ratios(&base)) {
        near(*now, 1.05 * before);
    }
    let measured = format!(
        "{}[engine]\ntorque_curve = [[\"1000 rpm\", \"210 N·m\"], [\"4000 rpm\", \"290 N·m\"], [\"6800 rpm\", \"230 N·m\"]]\n",
        SHEET
            .replace("peak_torque = \"290 N·m\"", "peak_torque = \"289 N·m\"")
            .replace("peak_power =", "# peak_power =")
    );
    let measured = car(&measured);
    let torque = |car: &VehicleFile| car.resolve().vehicle.engine.full_load_nm.value(420.0);
    near(torque(&fitted(&measured, "engine.torque_curve = \"+10 %\"")), 1.1 * torque(&measured));
    refused(
        &measured,
        "peak_power_at = \"+200 rpm\"",
        &["part.toml:2: peak_power_at: this key changes nothing on this car", "engine.torque_curve"],
    );
}

#[test]
fn an_own_spread_errs_apart_from_the_value_that_it_replaces() {
    let base = car(SHEET);
    let own = fitted(&base, "tyres.peak_friction = { value = 1.1, spread = 0.05 }");
    assert!(own.uncertain_inputs().contains(&"part.tyres.peak_friction".to_owned()));
    let friction = own.resolve_with(&|key| if key == "part.tyres.peak_friction" { 1.0 } else { 0.0 });
    near(friction.rear_tyre.magic_formula.pdx1, 1.15);
}

#[test]
fn wrong_changes_are_told_with_file_line_key_and_what_would_do() {
    let base = car(SHEET);
    for (lines, pieces) in [
        ("mas = \"-40 kg\"", &["part.toml:2: mas: this key is not known", "did you mean mass?"][..]),
        ("mass = \"-40 hp\"", &["part.toml:2: mass: the unit \"hp\" does not fit here", "\"-5 kg\""]),
        ("mass = \"-1400 kg\"", &["part.toml:2: mass: this makes 140 kg of 1540 kg", "300 kg to 5000 kg"]),
        (
            "engine.spool_time = \"-20 %\"",
            &["part.toml:2: engine.spool_time: this key changes nothing", "naturally aspirated"],
        ),
        ("gearbox.gear_inertias = \"+5 %\"", &["part.toml:2", "does not give that list"]),
        ("gear_ratios = \"+0.1\"", &["only a change in per cent"]),
        ("driven_axle = \"all\"", &["part.toml:2: driven_axle: this would make another car of it"]),
        ("clutch.friction_coefficient = \"+20 %\"", &["clutch.torque_capacity"]),
        (
            "driveline.rear_differential_preload = \"+20 %\"",
            &["this key changes nothing: driveline.rear_differential is open"],
        ),
        ("engine.launch_limiter = \"+200 rpm\"", &["part.toml:2: engine.launch_limiter: this key changes nothing"]),
        ("mass = \"+900 %\"", &["outside of what is believable"]),
        ("redline = \"4000 rpm\"", &["part.toml:2: redline: redline is not above"]),
    ] {
        refused(&base, lines, pieces);
    }
}

#[test]
fn a_part_file_that_is_wrong_elsewhere_is_told_so() {
    for (text, pieces) in [
        ("", &["part.toml:1: the file is empty"][..]),
        ("name = \"Part\"\n", &["change: this part changes nothing", "[change]"]),
        ("mass = \"-40 kg\"\n", &["part.toml:1: mass: this key is not known", "below [change]"]),
        ("price = \"free\"\n[change]\nmass = \"-1 kg\"\n", &["part.toml:1: price: this is no price", "450 EUR"]),
        ("price = 450\n[change]\nmass = \"-1 kg\"\n", &["part.toml:1: price"]),
        ("change = 3\n", &["change is a group of keys"]),
        ("name = 3 4\n", &["part.toml:1: this is not TOML"]),
    ] {
        let told = Part::parse("part.toml", text).expect_err(text).to_string();
        for piece in pieces {
            assert!(told.contains(piece), "no {piece:?} in:\n{told}");
        }
    }
}

#[test]
fn two_values_for_one_key_are_refused_and_two_changes_are_made_one_after_the_other() {
    let base = car(SHEET);
    let both = [changes("mass = \"-40 kg\""), changes("mass = \"-10 %\"")].concat();
    near(si(&base.fitted(&both).unwrap_or_else(|e| panic!("{e}")), "mass"), 1350.0);
    let at_odds = [changes("final_drive = 3.9"), changes("final_drive = 4.1")].concat();
    let told = base.fitted(&at_odds).expect_err("two values").to_string();
    assert!(told.contains("part.toml:2: final_drive: this is also set to 3.9 by part.toml:2"), "{told}");
}

#[test]
fn a_line_says_label_changes_files_and_price() {
    let line = PartLine::parse(
        "short: final_drive=3.9, gear_ratios=[3.6, 2.1, 1.5, 1.2, 1, 0.8], file=a.toml, price=450.5 kr",
    )
    .expect("a line");
    assert_eq!(line.label, "short");
    assert_eq!(line.items.len(), 3);
    assert!(matches!(&line.items[2], Item::File(path) if path == "a.toml"));
    assert_eq!(line.price, Some(Price { amount: 450.5, currency: "kr".to_owned() }));
    for (text, piece) in [
        ("", "nothing is said to be changed"),
        ("label:", "nothing is said to be changed"),
        ("label: final_drive", "there is no = in this"),
        ("label: final_drive=", "key or value is missing"),
        ("label: mass=40 hp", "does not fit"),
        ("label: mass=-4 kg, price=cheap", "this is no price"),
    ] {
        let told = PartLine::parse(text).expect_err(text).to_string();
        assert!(told.contains(piece) && told.starts_with("--with"), "{told}");
    }
}
