//! Limits and gate from the command line.

use bitepoint_inputs::quantity::Dimension;
use bitepoint_physics::timing::GATES;
use bitepoint_plot::format::Units;
use bitepoint_runner::plan::Limits;
use bitepoint_runner::target::{Clock, Target};

use crate::args::StartLimits;
use crate::failure::Failure;

/// The limits; each must be a quantity above nothing.
pub(crate) fn limits(asked: &StartLimits) -> Result<Limits, Failure> {
    let read = |option: &str, text: &Option<String>, dimension: Dimension, example: &str| {
        let Some(text) = text else { return Ok(None) };
        let refused = |what: String| {
            let taken = dimension.units_taken();
            Failure::Input(format!(
                "--{option} \"{text}\": {what}; accepted: a number with its unit ({taken}), such as \"{example}\""
            ))
        };
        match dimension.parse(text) {
            Ok(value) if value > 0.0 => Ok(Some(value)),
            Ok(_) => Err(refused("is not above zero".to_owned())),
            Err(error) => Err(refused(error.text())),
        }
    };
    Ok(Limits {
        clutch_face_c: read("clutch-face-max", &asked.clutch_face_max, Dimension::Temperature, "250 °C")?,
        clutch_energy_j: read("clutch-energy-max", &asked.clutch_energy_max, Dimension::Energy, "120 kJ")?,
        shaft_torque_nm: read("shaft-torque-max", &asked.shaft_torque_max, Dimension::Torque, "4000 N·m")?,
        slip_mps: read("slip-max", &asked.slip_max, Dimension::Speed, "5 m/s")?,
    })
}

/// The gate that was asked for; 60 mph or 100 km/h where none was.
pub(crate) fn target(gate: Option<&str>, rollout: bool, units: Units) -> Result<Target, Failure> {
    let clock = if rollout { Clock::Rollout } else { Clock::FirstMovement };
    let name = gate.unwrap_or(match units {
        Units::Us => "60 mph",
        Units::Si => "100 km/h",
    });
    Target::named(name, clock).ok_or_else(|| {
        let names: Vec<&str> = GATES.iter().map(|gate| gate.name).collect();
        Failure::Input(format!(
            "--to \"{name}\": there is no such gate; accepted: {}, 1/8 mile, 1/4 mile",
            names.join(", ")
        ))
    })
}
