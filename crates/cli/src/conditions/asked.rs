//! From the command line to what is asked of the model.

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_inputs::quantity::Dimension;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_physics::timing::GATES;
use bitepoint_plot::format::Units;
use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::{Conditions as Day, Measurement, Reference, Request, StandardAir};
use bitepoint_runner::target::{Clock, Target};

use crate::args::{Conditions, StandardAirArg};
use crate::failure::Failure;

/// Seed of the draws: any number would do, so long as it stays.
const SEED: u32 = 20;

/// Car and day.
pub(crate) fn case(args: &Conditions) -> Result<Case, Failure> {
    let vehicle = read_vehicle(&args.vehicle)?;
    let scenario = args.scenario.as_ref().map_or_else(|| Ok(ScenarioFile::default()), |path| read_scenario(path))?;
    let mut case = Case { vehicle, scenario };
    for change in &args.changes {
        let (key, value) = change.split_once('=').ok_or_else(|| {
            Failure::Input(format!(
                "--set \"{change}\": there is no = in it\n    accepted: a key and its value, such as \"air.headwind=-3 m/s\""
            ))
        })?;
        case = case.with(key.trim(), value.trim())?;
    }
    if let Some(start) = &args.start_at {
        case = case.with("road.start_at", start)?;
    }
    Ok(case)
}

/// What is asked of them.
pub(crate) fn request(args: &Conditions, case: &Case) -> Result<Request, Failure> {
    let clock = |rollout: bool| if rollout { Clock::Rollout } else { Clock::FirstMovement };
    let target = target(args.to.as_deref(), clock(args.measured.with_rollout), args.output.reader.units())?;
    let reference_clock = clock(args.reference.reference_with_rollout);
    let reference = match &args.reference.reference {
        None => {
            let standard = match args.reference.standard_air {
                StandardAirArg::Iso2533 => StandardAir::Iso2533,
                StandardAirArg::SaeJ1349 => StandardAir::SaeJ1349,
            };
            Reference::level_and_still(standard, reference_clock)
        }
        Some(path) => {
            let day = read_scenario(path)?.resolve(&case.vehicle.resolve().vehicle)?;
            Reference::day(&day.name, Day::of(&day.scenario, 0.0), reference_clock)
        }
    };
    Ok(Request {
        target,
        reference,
        measurement: measurement(args)?,
        draws: args.band_runs,
        seed: SEED,
        responses: true,
    })
}

fn measurement(args: &Conditions) -> Result<Option<Measurement>, Failure> {
    let asked = &args.measured;
    let Some(measured) = &asked.measured else { return Ok(None) };
    let optional = |option: &str, text: &Option<String>, dimension: Dimension, zero: bool, example: &str| {
        text.as_ref().map(|text| quantity(option, text, dimension, zero, example)).transpose()
    };
    Ok(Some(Measurement {
        time_s: quantity("measured", measured, Dimension::Time, false, "5.31 s")?,
        back_s: optional("measured-back", &asked.measured_back, Dimension::Time, false, "5.42 s")?,
        timing_sd_s: optional("timing-error", &asked.timing_error, Dimension::Time, true, "0.01 s")?.unwrap_or(0.0),
        back_start_m: optional("back-start-at", &asked.back_start_at, Dimension::Length, true, "420 m")?,
    }))
}

/// A quantity of an option, above nothing (or from nothing on, where `zero` may be).
fn quantity(option: &str, text: &str, dimension: Dimension, zero: bool, example: &str) -> Result<f64, Failure> {
    let refused = |what: String| {
        let taken = dimension.units_taken();
        Failure::Input(format!(
            "--{option} \"{text}\": {what}\n    accepted: a number with its unit ({taken}), such as \"{example}\""
        ))
    };
    match dimension.parse(text) {
        Ok(value) if value > 0.0 || (zero && value == 0.0) => Ok(value),
        Ok(_) => Err(refused(if zero { "is below zero" } else { "is not above zero" }.to_owned())),
        Err(error) => Err(refused(error.text())),
    }
}

/// The gate that was asked for; 60 mph or 100 km/h where none was.
fn target(gate: Option<&str>, clock: Clock, units: Units) -> Result<Target, Failure> {
    let name = gate.unwrap_or(match units {
        Units::Us => "60 mph",
        Units::Si => "100 km/h",
    });
    Target::named(name, clock).ok_or_else(|| {
        let names: Vec<&str> = GATES.iter().map(|gate| gate.name).collect();
        Failure::Input(format!(
            "--to \"{name}\": there is no such gate\n    accepted: {}, 1/8 mile, 1/4 mile",
            names.join(", ")
        ))
    })
}
