//! A vehicle file with what is known of the car besides.

use std::path::Path;

use bitepoint_inputs::files::read_vehicle;
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_runner::known::{KnownResult, learn};

use crate::args::Known;
use crate::failure::Failure;

/// Reads a vehicle file and takes into account what its own line `known` and the command's options say of results.
pub(crate) fn read(path: &Path, known: &Known, system: UnitSystem) -> Result<VehicleFile, Failure> {
    let vehicle = read_vehicle(path)?;
    let of_file = vehicle.known().into_iter().flat_map(|known| known.split(';'));
    let of_file = of_file.map(|text| (format!("{}: known", path.display()), text.trim()));
    let of_options = known.known.iter().map(|text| ("--known".to_owned(), text.trim()));
    let results = of_file
        .chain(of_options)
        .filter(|(_, text)| !text.is_empty())
        .map(|(place, text)| KnownResult::parse(text).map_err(|what| Failure::Input(format!("{place}: {what}"))))
        .collect::<Result<Vec<_>, _>>()?;
    if results.is_empty() {
        return Ok(vehicle);
    }
    let learned = learn(&vehicle, &results, system).map_err(|error| Failure::Input(error.text(system)))?;
    Ok(learned.vehicle)
}

/// What is known of the car and what that changed, in sentences.
pub(crate) fn told(vehicle: &VehicleFile) -> Vec<String> {
    vehicle.belief().map_or_else(Vec::new, |belief| belief.told.clone())
}
