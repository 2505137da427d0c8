//! Limits from the command line.

use bitepoint_inputs::quantity::Dimension;
use bitepoint_runner::plan::Limits;

use crate::args::StartLimits;
use crate::failure::Failure;
use crate::option::{Least, ON_ONE_LINE, QuantityOption};

/// The limits; each must be a quantity above nothing.
pub(crate) fn limits(asked: &StartLimits) -> Result<Limits, Failure> {
    let read = |name: &str, text: &Option<String>, dimension: Dimension, example: &str| {
        let option = QuantityOption { name, dimension, least: Least::AboveZero, example };
        text.as_ref().map(|text| option.read(text, ON_ONE_LINE)).transpose()
    };
    Ok(Limits {
        clutch_face_c: read("clutch-face-max", &asked.clutch_face_max, Dimension::Temperature, "250 °C")?,
        clutch_energy_j: read("clutch-energy-max", &asked.clutch_energy_max, Dimension::Energy, "120 kJ")?,
        shaft_torque_nm: read("shaft-torque-max", &asked.shaft_torque_max, Dimension::Torque, "4000 N·m")?,
        slip_mps: read("slip-max", &asked.slip_max, Dimension::Speed, "5 m/s")?,
    })
}
