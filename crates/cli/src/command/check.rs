//! `bitepoint check`: is a file valid, what does it give, what is estimated.

use std::path::Path;

use bitepoint_inputs::entry::Entry;
use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_inputs::problem::{Fault, Problems};
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::vehicle::Vehicle;
use bitepoint_runner::case::Case;
use bitepoint_runner::influences::influences;
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::watch::Nobody;
use comfy_table::{ColumnConstraint, ContentArrangement, Table, presets};
use serde::Serialize;

use super::example::VEHICLE;
use crate::args::Check;
use crate::car;
use crate::document::{InputValue, text};
use crate::failure::Failure;
use crate::option::{clock, target, usual_gate};
use crate::screen;

/// What a file turned out to be.
enum Checked {
    Vehicle,
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
        let told = match read(path) {
            Ok(Checked::Vehicle) => car::read(path, &args.known, args.reader.system()).map(|file| {
                car = file.resolve();
                Told {
                    kind: "vehicle",
                    name: car.name.clone(),
                    entries: car.entries.clone(),
                    note: String::new(),
                    car: Some(file),
                }
            }),
            Ok(Checked::Scenario(file)) => told_scenario(&file, &car.vehicle, &car.name).map_err(Failure::from),
            Err(problems) => Err(problems.into()),
        };
        match told {
            Ok(told) if args.json => documents.push(CheckedDocument {
                file: path.display().to_string(),
                kind: told.kind,
                name: told.name,
                inputs: told.entries.iter().map(InputValue::new).collect(),
            }),
            Ok(told) => screen::print(&told.text(path, args)?)?,
            Err(Failure::Input(problems)) => wrong.push(problems),
            Err(other) => return Err(other),
        }
    }
    if args.json {
        screen::print(&text(&documents))?;
    }
    if wrong.is_empty() { Ok(()) } else { Err(Failure::Input(wrong.join("\n"))) }
}

/// A valid file.
struct Told {
    kind: &'static str,
    name: String,
    entries: Vec<Entry>,
    note: String,
    /// The car, if it is one.
    car: Option<VehicleFile>,
}

fn told_scenario(file: &ScenarioFile, vehicle: &Vehicle, car: &str) -> Result<Told, Problems> {
    let resolved = file.resolve(vehicle)?;
    Ok(Told {
        kind: "scenario",
        name: resolved.name,
        entries: resolved.entries,
        note: format!(" What it leaves open of the launch is estimated for {car:?}."),
        car: None,
    })
}

/// Estimates that are shown where not all are.
const SHOWN: usize = 10;

impl Told {
    fn text(&self, path: &Path, args: &Check) -> Result<String, Failure> {
        let system = args.reader.system();
        let mut lines = format!("{}: a valid {}, {:?}.{}\n", path.display(), self.kind, self.name, self.note);
        for known in self.car.iter().flat_map(car::told) {
            lines += &format!("{known}\n");
        }
        if args.all {
            return Ok(lines + "\n" + &table(&self.entries.iter().collect::<Vec<_>>(), system));
        }
        let given: Vec<&Entry> = self.entries.iter().filter(|entry| entry.given()).collect();
        if !given.is_empty() {
            lines += &format!("\nGiven:\n{}", given_table(&given, system));
        }
        if let Some(file) = &self.car {
            lines += &self.estimates(file, args)?;
        }
        let estimated = self.entries.len() - given.len();
        Ok(lines
            + &format!(
                "{estimated} values are estimated; `bitepoint check --all {}` shows them with their rules.\n\n",
                path.display()
            ))
    }

    /// The estimates that the time depends on most.
    fn estimates(&self, file: &VehicleFile, args: &Check) -> Result<String, Failure> {
        let gate = usual_gate(args.reader.units());
        let target = target(gate, clock(false))?;
        let case = Case::new(file.clone(), ScenarioFile::default()).launched(&Wanted::to(target), &Nobody)?;
        let Some(found) = influences(&case, target)? else {
            return Ok("No launch gets this car to its speed: `bitepoint plan` says why.\n".to_owned());
        };
        let mut table = new_table();
        table.set_header(["key", "value", "spread (1 sd)", &format!("{gate}, s"), "estimated by"]);
        for influence in found.of.iter().take(SHOWN) {
            let Some(entry) = self.entries.iter().find(|entry| entry.key.path == influence.key.path) else { continue };
            let (how, _) = how(entry);
            let effect = format!("{:+.3}", influence.s_per_sd).replace('-', "\u{2212}");
            table.add_row([
                entry.key.path.to_owned(),
                entry.value_text(args.reader.system()),
                entry.spread_text(args.reader.system()),
                effect,
                how,
            ]);
        }
        whole_columns(&mut table, 4);
        Ok(format!(
            "\nThis car takes {:.2} s to {gate} on a dry, flat day. What that depends on most, each with what one standard deviation more does:\n{table}\n\n",
            found.time_s
        ))
    }
}

/// Reads a file as what it is: whichever of the two kinds it fits, or has fewer unknown keys of.
fn read(path: &Path) -> Result<Checked, Problems> {
    let strange = |problems: &Problems| problems.0.iter().filter(|p| p.fault == Fault::UnknownKey).count();
    match (read_vehicle(path), read_scenario(path)) {
        (Ok(_), _) => Ok(Checked::Vehicle),
        (Err(_), Ok(scenario)) => Ok(Checked::Scenario(scenario)),
        (Err(as_vehicle), Err(as_scenario)) => {
            Err(if strange(&as_scenario) < strange(&as_vehicle) { as_scenario } else { as_vehicle })
        }
    }
}

fn new_table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic);
    if table.width().is_none() {
        // In a pipe there is no width to ask for.
        table.set_width(120);
    }
    table
}

/// Keeps the first columns in one line each: keys and numbers are not broken.
fn whole_columns(table: &mut Table, count: usize) {
    table.column_iter_mut().take(count).for_each(|column| {
        column.set_constraint(ColumnConstraint::ContentWidth);
    });
}

/// How a value came about, and whose rule that is.
fn how(entry: &Entry) -> (String, String) {
    if entry.given() { ("given".to_owned(), String::new()) } else { (entry.rule.to_owned(), entry.origin.text()) }
}

fn given_table(entries: &[&Entry], system: UnitSystem) -> String {
    let mut table = new_table();
    for entry in entries {
        table.add_row([entry.key.path.to_owned(), entry.value_text(system), entry.spread_text(system)]);
    }
    format!("{table}\n")
}

fn table(entries: &[&Entry], system: UnitSystem) -> String {
    let mut table = new_table();
    table.set_header(["key", "value", "spread (1 sd)", "given or estimated by", "source of the rule"]);
    for entry in entries {
        let (how, source) = how(entry);
        table.add_row([entry.key.path.to_owned(), entry.value_text(system), entry.spread_text(system), how, source]);
    }
    whole_columns(&mut table, 3);
    format!("{table}\n\n")
}
