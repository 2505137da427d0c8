//! A plan as a scenario file that `run` takes: the scenario's own text with the launch written into it.

use std::fs;
use std::path::{Path, PathBuf};

use bitepoint_inputs::files::read_scenario;
use bitepoint_inputs::scenario::built_in_text;
use bitepoint_plot::format::ENGINE_SPEED;
use bitepoint_runner::launch::{Launch, shape_name};
use toml_edit::{Array, DocumentMut, Item, Table, value};

use crate::failure::Failure;
use crate::new_file::{in_the_way, write_new};

/// Where each scenario's plan is to go; an error if one of them is there already, or the scenario is no TOML. To be asked before a long computation.
pub(crate) fn places(folder: &Path, scenarios: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    if !folder.is_dir() {
        return Err(Failure::Input(format!("{}: there is no such folder to write scenarios to", folder.display())));
    }
    let built_in = [PathBuf::from("dry-flat.toml")];
    let scenarios = if scenarios.is_empty() { &built_in[..] } else { scenarios };
    let mut places: Vec<PathBuf> = Vec::new();
    for scenario in scenarios {
        if scenario.extension().is_some_and(|ext| ext.eq_ignore_ascii_case("json")) {
            return Err(Failure::Input(format!(
                "{}: a plan is written into a TOML scenario; this one is JSON",
                scenario.display()
            )));
        }
        let stem = scenario.file_stem().unwrap_or_default().to_string_lossy();
        let place = folder.join(format!("{stem}-planned.toml"));
        if place.exists() {
            return Err(in_the_way(&place));
        }
        if places.contains(&place) {
            return Err(Failure::Input(format!("{}: two scenarios would be written to it", place.display())));
        }
        places.push(place);
    }
    Ok(places)
}

/// Writes a plan's launch into a new scenario file; `scenario` is the file that was planned for, if any.
pub(crate) fn write(place: &Path, scenario: Option<&Path>, launch: &Launch) -> Result<(), Failure> {
    let text = match scenario {
        Some(path) => match path.to_str().filter(|_| !path.exists()).and_then(built_in_text) {
            Some((_, day)) => day,
            None => fs::read_to_string(path)
                .map_err(|e| Failure::Computation(format!("{}: it cannot be read any more: {e}", path.display())))?,
        },
        None => "name = \"Dry, flat\"\n".to_owned(),
    };
    let mut document: DocumentMut = text
        .parse()
        .map_err(|e| Failure::Computation(format!("{}: its text could not be changed: {e}", place.display())))?;
    let keep_profile = scenario.and_then(Path::parent);
    planned(&mut document, launch, keep_profile);
    write_new(place, "scenario", &document.to_string())?;
    // What cannot be read back must not stay.
    read_scenario(place).map(drop).map_err(|problems| {
        let _ = fs::remove_file(place);
        Failure::Computation(format!("the plan could not be written as a scenario: {problems}"))
    })
}

fn planned(document: &mut DocumentMut, launch: &Launch, folder: Option<&Path>) {
    let revs = |radps: f64| format!("{} rpm", digits(ENGINE_SPEED.of(radps)));
    let seconds = |s: f64| format!("{} s", digits(s));
    let launching = section(document, "launch");
    launching["revs"] = value(revs(launch.held_radps));
    launching["kept_revs"] = value(revs(launch.kept_radps));
    launching["throttle_lead"] = value(seconds(launch.throttle_lead_s));
    launching["release_time"] = value(seconds(launch.release_s));
    launching["release_shape"] = value(shape_name(launch.release_shape));
    launching["throttle_ease"] = value(seconds(launch.throttle_ease_s));
    launching["part_throttle"] = value(launch.part_throttle.min(1.0));
    if launch.holds_part_throttle() {
        launching["part_throttle_until"] = value(format!("{} km/h", digits(3.6 * launch.part_until_mps)));
    }
    let shifts: Array = launch.shift_at_radps.iter().map(|at| revs(*at)).collect();
    section(document, "shifting")["shift_at"] = value(shifts);
    // A profile is looked for beside the file that names it.
    let profile = document.get("road").and_then(|road| road.get("slope_profile")).and_then(Item::as_str);
    if let (Some(profile), Some(folder)) = (profile.map(str::to_owned), folder) {
        let there = fs::canonicalize(folder.join(&profile)).unwrap_or_else(|_| folder.join(&profile));
        document["road"]["slope_profile"] = value(there.display().to_string());
    }
}

fn section<'a>(document: &'a mut DocumentMut, name: &str) -> &'a mut Item {
    let section = document.entry(name).or_insert(Item::Table(Table::new()));
    if section.is_none() {
        *section = Item::Table(Table::new());
    }
    section
}

/// A number to a thousandth, without idle zeros.
fn digits(number: f64) -> String {
    let text = format!("{number:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use bitepoint_physics::driver::ReleaseShape;

    #[test]
    fn a_plan_is_written_among_what_the_scenario_says_and_its_comments() {
        let text = "name = \"Wet\" # rain\n\n[road]\nsurface = \"standing-water wet\" # it stands\n\n[launch]\nrevs = \"1500 rpm\"\n";
        let mut document: DocumentMut = text.parse().unwrap();
        let rpm = core::f64::consts::PI / 30.0;
        let launch = Launch {
            held_radps: 3200.0 * rpm,
            release_s: 0.4,
            release_shape: ReleaseShape::Straight,
            kept_radps: 2500.0 * rpm,
            throttle_lead_s: -0.1,
            throttle_ease_s: 0.0,
            part_throttle: 0.65,
            part_until_mps: 10.0,
            shift_at_radps: vec![6900.0 * rpm, 7000.0 * rpm],
        };
        planned(&mut document, &launch, None);
        let written = document.to_string();
        for line in [
            "name = \"Wet\" # rain",
            "surface = \"standing-water wet\" # it stands",
            "revs = \"3200 rpm\"",
            "release_time = \"0.4 s\"",
            "release_shape = \"straight\"",
            "kept_revs = \"2500 rpm\"",
            "throttle_lead = \"-0.1 s\"",
            "throttle_ease = \"0 s\"",
            "part_throttle = 0.65",
            "part_throttle_until = \"36 km/h\"",
            "shift_at = [\"6900 rpm\", \"7000 rpm\"]",
        ] {
            assert!(written.contains(line), "{line} is not in {written}");
        }
        assert!(!written.contains("1500"));
    }
}
