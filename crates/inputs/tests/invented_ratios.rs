//! The example cars are invented: the gears of each follow from the rule that its file states in a comment. Arithmetic, no outside source.

use core::f64::consts::{PI, TAU};
use std::path::Path;

use bitepoint_inputs::files::read_vehicle;
use bitepoint_inputs::vehicle::{VehicleFile, sheet_template};

const RPM: f64 = PI / 30.0;
const KMH: f64 = 1.0 / 3.6;
const README: &str = include_str!("../../../README.md");
const KEYS: &str = include_str!("../src/vehicle_keys.rs");

/// Comments of a text, joined to one line.
fn comments(text: &str) -> String {
    let lines = text.lines().filter_map(|line| line.trim_start().strip_prefix("#").or(line.strip_prefix("//!")));
    lines.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
}

/// The word between two phrases.
fn between<'a>(text: &'a str, before: &str, after: &str) -> Option<&'a str> {
    let (_, rest) = text.split_once(before)?;
    let (word, _) = rest.split_once(after)?;
    Some(word)
}

/// A car's gears as its comment says that they are made, with the final drive that follows.
#[derive(Debug)]
struct Rule {
    /// Road speed in first gear at the redline, m/s.
    first_mps: f64,
    /// Road speed in top gear at the revs of peak power, m/s.
    top_mps: f64,
    /// Number of gears.
    gears: usize,
    /// A step over the one before.
    shrink: f64,
    /// What the final drive is.
    final_drive: FinalDrive,
}

#[derive(Debug)]
enum FinalDrive {
    /// It makes this gear direct, counted from 1.
    Direct(usize),
    Round(f64),
}

impl Rule {
    fn read(text: &str) -> Option<Self> {
        const NAMES: [&str; 6] = ["first", "second", "third", "fourth", "fifth", "sixth"];
        let place = |name: &str| NAMES.iter().position(|n| n.eq_ignore_ascii_case(name)).map(|i| i + 1);
        let rule = comments(text);
        let rule = rule.split_once("Gears by rule: ")?.1;
        let number = |before: &str, after: &str| between(rule, before, after)?.parse::<f64>().ok();
        let top = between(rule, "at the redline and ", " gear ")?;
        let final_drive = match between(rule, "one before. ", " gear is direct: its overall ratio is the final drive.")
        {
            Some(gear) => FinalDrive::Direct(place(gear)?),
            None => {
                let (_, round) = rule.split_once("The final drive is a round ")?;
                let round = round.split_whitespace().next()?;
                FinalDrive::Round(round.trim_end_matches([';', '.']).parse().ok()?)
            }
        };
        Some(Self {
            first_mps: number("without slip first gear runs ", " km/h")? * KMH,
            top_mps: number(&format!("{top} gear "), " km/h")? * KMH,
            gears: place(top)?,
            shrink: number("each step is ", " times")?,
            final_drive,
        })
    }

    /// Ratios and final drive to two decimals.
    fn gearbox(&self, redline_radps: f64, peak_power_radps: f64, radius_m: f64) -> (Vec<String>, String) {
        let first = redline_radps * radius_m / self.first_mps;
        let top = peak_power_radps * radius_m / self.top_mps;
        let steps = self.gears - 1;
        // The steps multiply to first over top: s · s k · s k² ...
        let powers = (steps * (steps - 1) / 2) as f64;
        let first_step = (first / top / self.shrink.powf(powers)).powf(1.0 / steps as f64);
        let mut overall = vec![first];
        let mut step = first_step;
        for _ in 0..steps {
            overall.push(overall[overall.len() - 1] / step);
            step *= self.shrink;
        }
        let final_drive = match self.final_drive {
            FinalDrive::Direct(gear) => (overall[gear - 1] * 100.0).round() / 100.0,
            FinalDrive::Round(ratio) => ratio,
        };
        (overall.iter().map(|n| format!("{:.2}", n / final_drive)).collect(), format!("{final_drive:.2}"))
    }
}

/// Compares the gears of a sheet with the rule that a text states.
fn follows_its_rule(name: &str, sheet: &str, rule: &str) {
    let rule = Rule::read(rule).unwrap_or_else(|| panic!("{name} states no rule for its gears"));
    let file = VehicleFile::parse("car.toml", sheet).unwrap_or_else(|e| panic!("{e}"));
    let resolved = file.resolve();
    let given = |key: &str| {
        let entry = resolved.entries.iter().find(|e| e.key.path == key && e.given());
        entry.and_then(|e| e.si_value()).unwrap_or_else(|| panic!("{name}: {key}"))
    };
    let vehicle = &resolved.vehicle;
    let tyre = if vehicle.drives_rear() { &vehicle.rear_tyre } else { &vehicle.front_tyre };
    let (ratios, final_drive) = rule.gearbox(given("redline"), given("peak_power_at"), tyre.rolling_radius_m);
    let written = |key: &str| {
        let line = sheet.lines().find(|line| line.starts_with(&format!("{key} = ")));
        let value = line.and_then(|line| line.split_once(" = ")).unwrap_or_else(|| panic!("{name}: {key}")).1;
        value.split('#').next().unwrap_or_default().trim().to_owned()
    };
    assert_eq!(written("gear_ratios"), format!("[{}]", ratios.join(", ")), "{name}: {rule:?}");
    assert_eq!(written("final_drive"), final_drive, "{name}: {rule:?}");
}

#[test]
fn the_gears_of_every_example_car_follow_from_the_rule_in_its_file() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../vehicles");
    let mut checked = 0;
    for file in std::fs::read_dir(folder).expect("the folder is there") {
        let path = file.expect("a file").path();
        if path.extension().is_some_and(|e| e == "toml") {
            let text = std::fs::read_to_string(&path).expect("a text");
            follows_its_rule(&path.display().to_string(), &text, &text);
            checked += 1;
        }
    }
    assert!(checked > 0, "no example car was found");
}

#[test]
fn the_gears_of_the_sheet_to_fill_in_follow_from_the_rule_beside_its_examples() {
    follows_its_rule("the sheet", &sheet_template(), KEYS);
}

#[test]
fn the_readmes_sheet_is_the_example_car() {
    let sheet = between(README, "```toml\n", "```").expect("a sheet");
    let of_readme = VehicleFile::parse("README.md", sheet).unwrap_or_else(|e| panic!("{e}")).resolve();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../vehicles/ellisar-28.toml");
    let example = read_vehicle(&path).unwrap_or_else(|e| panic!("{e}")).resolve();
    assert_eq!(of_readme.vehicle, example.vehicle);
}

/// By hand, on 225/40R18 with a rolling radius of 0.3093 m: first 628.3 · 0.3093 / 27.78 = 7.00 over all, third
/// 523.6 · 0.3093 / 69.44 = 2.33; equal steps of √3, so second is 4.04.
#[test]
fn the_rule_is_the_arithmetic_that_it_says() {
    let rule = Rule {
        first_mps: 100.0 * KMH,
        top_mps: 250.0 * KMH,
        gears: 3,
        shrink: 1.0,
        final_drive: FinalDrive::Direct(2),
    };
    let radius_m = 3.05 * 0.6372 / TAU;
    let (ratios, final_drive) = rule.gearbox(6000.0 * RPM, 5000.0 * RPM, radius_m);
    assert_eq!((ratios.join(" "), final_drive.as_str()), ("1.73 1.00 0.58".to_owned(), "4.04"));
}
