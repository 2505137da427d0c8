//! Options that more than one command takes: a gate and its clock, a quantity with its unit.

use bitepoint_inputs::quantity::Dimension;
use bitepoint_physics::timing::GATES;
use bitepoint_plot::format::Units;
use bitepoint_runner::target::{Clock, Target};

use crate::failure::Failure;

/// What stands in a message between what is wrong and what is accepted: all on one line, or on two.
pub(crate) const ON_ONE_LINE: &str = "; ";
pub(crate) const ON_TWO_LINES: &str = "\n    ";

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
pub(crate) fn target(name: &str, clock: Clock, between: &str) -> Result<Target, Failure> {
    Target::named(name, clock).ok_or_else(|| {
        Failure::Input(format!(
            "--to \"{name}\": there is no such gate{between}accepted: {}, 1/8 mile, 1/4 mile",
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
    pub(crate) fn read(self, text: &str, between: &str) -> Result<f64, Failure> {
        let refused = |what: &str| {
            Failure::Input(format!(
                "--{} \"{text}\": {what}{between}accepted: a number with its unit ({}), such as \"{}\"",
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
