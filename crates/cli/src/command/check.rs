//! `bitepoint check`: is a file valid, what does it give, what is estimated.

use std::path::Path;

use bitepoint_inputs::entry::Entry;
use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_inputs::problem::{Fault, Problems};
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::vehicle::Vehicle;
use comfy_table::{ContentArrangement, Table, presets};
use serde::Serialize;

use super::example::VEHICLE;
use crate::args::Check;
use crate::document::{InputValue, text};
use crate::failure::Failure;
use crate::screen;

/// What a file turned out to be.
enum Checked {
    Vehicle(VehicleFile),
    Scenario(ScenarioFile),
}

#[derive(Serialize)]
struct CheckedDocument {
    file: String,
    kind: &'static str,
    name: String,
    inputs: Vec<InputValue>,
}

pub(crate) fn run(args: &Check) -> Result<(), Failure> {
    let mut car = VehicleFile::parse(VEHICLE.0, VEHICLE.1)?.resolve();
    let mut wrong = Vec::new();
    let mut documents = Vec::new();
    for path in &args.files {
        let told = read(path).and_then(|checked| match checked {
            Checked::Vehicle(file) => {
                car = file.resolve();
                Ok(("vehicle", car.name.clone(), car.entries.clone(), String::new()))
            }
            Checked::Scenario(file) => told_scenario(&file, &car.vehicle, &car.name),
        });
        match told {
            Ok((kind, name, entries, _)) if args.json => documents.push(CheckedDocument {
                file: path.display().to_string(),
                kind,
                name,
                inputs: entries.iter().map(InputValue::new).collect(),
            }),
            Ok((kind, name, entries, note)) => {
                screen::print(&format!("{}: a valid {kind}, {name:?}.{note}\n", path.display()))?;
                screen::print(&table(&entries, args.reader.system()))?;
            }
            Err(problems) => wrong.push(problems.to_string()),
        }
    }
    if args.json {
        screen::print(&text(&documents))?;
    }
    if wrong.is_empty() { Ok(()) } else { Err(Failure::Input(wrong.join("\n"))) }
}

type Told = (&'static str, String, Vec<Entry>, String);

fn told_scenario(file: &ScenarioFile, vehicle: &Vehicle, car: &str) -> Result<Told, Problems> {
    let resolved = file.resolve(vehicle)?;
    Ok((
        "scenario",
        resolved.name,
        resolved.entries,
        format!(" What it leaves open of the launch is estimated for {car:?}."),
    ))
}

/// Reads a file as what it is: whichever of the two kinds it fits, or has fewer unknown keys of.
fn read(path: &Path) -> Result<Checked, Problems> {
    let strange = |problems: &Problems| problems.0.iter().filter(|p| p.fault == Fault::UnknownKey).count();
    match (read_vehicle(path), read_scenario(path)) {
        (Ok(vehicle), _) => Ok(Checked::Vehicle(vehicle)),
        (Err(_), Ok(scenario)) => Ok(Checked::Scenario(scenario)),
        (Err(as_vehicle), Err(as_scenario)) => {
            Err(if strange(&as_scenario) < strange(&as_vehicle) { as_scenario } else { as_vehicle })
        }
    }
}

fn table(entries: &[Entry], system: UnitSystem) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic);
    if table.width().is_none() {
        // In a pipe there is no width to ask for.
        table.set_width(120);
    }
    table.set_header(["key", "value", "spread (1 sd)", "given or estimated by", "source of the rule"]);
    for entry in entries {
        let (how, source) = if entry.given() {
            ("given".to_owned(), String::new())
        } else {
            (entry.rule.to_owned(), entry.origin.text())
        };
        table.add_row([entry.key.path.to_owned(), entry.value_text(system), entry.spread_text(system), how, source]);
    }
    format!("{table}\n\n")
}
