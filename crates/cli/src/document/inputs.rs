//! The files that went into a document, and every value that they stand for.

use bitepoint_inputs::entry::Entry;
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::scenario::{ResolvedScenario, ScenarioFile};
use bitepoint_inputs::vehicle::{ResolvedVehicle, VehicleFile};
use schemars::JsonSchema;
use serde::Serialize;

/// A file that went in, and every value that it stands for.
#[derive(Serialize, JsonSchema)]
pub(crate) struct InputFile<'a> {
    /// Path as it was given; empty for the built-in day.
    file: &'a str,
    name: &'a str,
    inputs: Vec<InputValue>,
}

/// One value, given or estimated.
#[derive(Serialize, JsonSchema)]
pub(crate) struct InputValue {
    /// Dotted key.
    key: &'static str,
    /// The value in SI base units, if it is one number.
    value_si: Option<f64>,
    /// The value as text with its unit.
    text: String,
    /// Whether the file gave it.
    given: bool,
    /// The rule that estimated it; empty if it was given.
    rule: &'static str,
    /// Where the rule comes from.
    origin: String,
    /// One standard deviation in SI base units; 0 if the value is taken as exact.
    spread_sd_si: f64,
}

impl InputValue {
    pub(crate) fn new(entry: &Entry) -> Self {
        Self {
            key: entry.key.path,
            value_si: entry.si_value(),
            text: entry.value_text(UnitSystem::Si),
            given: entry.given(),
            rule: entry.rule,
            origin: entry.origin.text(),
            spread_sd_si: entry.spread_sd_si,
        }
    }
}

impl<'a> InputFile<'a> {
    pub(crate) fn vehicle(file: &'a VehicleFile, resolved: &'a ResolvedVehicle) -> Self {
        Self { file: file.file(), name: &resolved.name, inputs: values(&resolved.entries) }
    }

    pub(crate) fn scenario(file: &'a ScenarioFile, resolved: &'a ResolvedScenario) -> Self {
        Self { file: file.file(), name: &resolved.name, inputs: values(&resolved.entries) }
    }
}

fn values(entries: &[Entry]) -> Vec<InputValue> {
    entries.iter().map(InputValue::new).collect()
}
