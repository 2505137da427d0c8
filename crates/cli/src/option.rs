//! Options that more than one command takes: a gate and its clock, a quantity with its unit.

use std::path::Path;

use bitepoint_inputs::files::read_scenario;
use bitepoint_inputs::quantity::Dimension;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_physics::timing::GATES;
use bitepoint_plot::format::Units;
use bitepoint_runlog::map::ColumnMap;
use bitepoint_runner::target::{Clock, Target};

use crate::failure::Failure;

/// The scenario of a file, or the ordinary day where none was named.
pub(crate) fn scenario(path: Option<&Path>) -> Result<ScenarioFile, Failure> {
    path.map_or_else(|| Ok(ScenarioFile::default()), |path| Ok(read_scenario(path)?))
}

/// The columns of a log as `--map` names them.
pub(crate) fn columns(map: Option<&str>) -> Result<ColumnMap, Failure> {
    let named = map.map(ColumnMap::parse).transpose();
    Ok(named.map_err(|e| Failure::Input(format!("--map: {e}")))?.unwrap_or_default())
}

/// The gate of a start to an ordinary speed, where none was asked for.
pub(crate) fn usual_gate(units: Units) -> &'static str {
    match units {
        Units::Us => "60 mph",
        Units::Si => "100 km/h",
    }
}

/// When the clock starts.
pub(crate) fn clock(rollout: bool) -> Clock {
    if rollout { Clock::Rollout } else { Clock::FirstMovement }
}

/// Names of all gates.
pub(crate) fn gate_names() -> String {
    GATES.map(|gate| gate.name).join(", ")
}

/// The gate of this name, with its clock.
pub(crate) fn target(name: &str, clock: Clock) -> Result<Target, Failure> {
    Target::named(name, clock).ok_or_else(|| {
        Failure::Input(format!(
            "--to \"{name}\": there is no such gate\n    accepted: {}, 1/8 mile, 1/4 mile",
            gate_names()
        ))
    })
}

/// What an option must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Least {
    /// Above zero.
    AboveZero,
    /// Zero or more.
    Zero,
}

/// An option that is a quantity: its name, what it measures, its least value, and a value as an example.
#[derive(Debug, Clone, Copy)]
pub(crate) struct QuantityOption<'a> {
    pub(crate) name: &'a str,
    pub(crate) dimension: Dimension,
    pub(crate) least: Least,
    pub(crate) example: &'a str,
}

impl QuantityOption<'_> {
    /// Its value, SI.
    pub(crate) fn read(self, text: &str) -> Result<f64, Failure> {
        let refused = |what: &str| {
            Failure::Input(format!(
                "--{} \"{text}\": {what}\n    accepted: a number with its unit ({}), such as \"{}\"",
                self.name,
                self.dimension.units_taken(),
                self.example
            ))
        };
        let value = self.dimension.parse(text).map_err(|error| refused(&error.text()))?;
        match self.least {
            Least::AboveZero if value > 0.0 => Ok(value),
            Least::Zero if value >= 0.0 => Ok(value),
            Least::AboveZero => Err(refused("is not above zero")),
            Least::Zero => Err(refused("is below zero")),
        }
    }
}
