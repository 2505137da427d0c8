//! From the command line to what is asked of the model.

use bitepoint_inputs::files::read_scenario;
use bitepoint_inputs::quantity::Dimension;
use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::{Conditions as Day, Measurement, Reference, Request, StandardAir};

use crate::args::{Conditions, StandardAirArg};
use crate::car;
use crate::failure::Failure;
use crate::option::{self, Least, QuantityOption, clock, target, usual_gate};

/// Seed of the draws: any number would do, so long as it stays.
const SEED: u32 = 20;

/// Car and day.
pub(crate) fn case(args: &Conditions) -> Result<Case, Failure> {
    let vehicle = car::read(&args.vehicle, &args.known, args.output.reader.system())?;
    let scenario = option::scenario(args.scenario.as_deref())?;
    let mut case = Case::new(vehicle, scenario);
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
    let gate = args.to.as_deref().unwrap_or(usual_gate(args.output.reader.units()));
    let target = target(gate, clock(args.measured.rollout))?;
    let reference_clock = clock(args.reference.reference_rollout);
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
    let time = |name, least, example| QuantityOption { name, dimension: Dimension::Time, least, example };
    let back_start =
        QuantityOption { name: "back-start-at", dimension: Dimension::Length, least: Least::Zero, example: "420 m" };
    let optional =
        |option: QuantityOption<'_>, text: &Option<String>| text.as_ref().map(|text| option.read(text)).transpose();
    Ok(Some(Measurement {
        time_s: time("measured", Least::AboveZero, "5.31 s").read(measured)?,
        back_s: optional(time("measured-back", Least::AboveZero, "5.42 s"), &asked.measured_back)?,
        timing_sd_s: optional(time("timing-error", Least::Zero, "0.01 s"), &asked.timing_error)?.unwrap_or(0.0),
        back_start_m: optional(back_start, &asked.back_start_at)?,
    }))
}
