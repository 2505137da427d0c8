//! The command itself.

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_plot::format::Units;
use bitepoint_runner::case::Case;
use bitepoint_runner::compare::{Asked, CompareError, compare, runs_asked};
use bitepoint_runner::plan::Limits;
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Watch as _;

use super::changes::{changed, read};
use crate::args::Compare;
use crate::document::text;
use crate::failure::Failure;
use crate::progress::Progress;
use crate::screen;

pub(crate) fn run(args: &Compare) -> Result<(), Failure> {
    let units = args.output.reader.units();
    let target = target(args.to.as_deref(), units)?;
    let with = read(&args.changes)?;
    let scenario = match &args.scenario {
        Some(path) => read_scenario(path)?,
        None => ScenarioFile::default(),
    };
    let base = Case { vehicle: read_vehicle(&args.vehicle)?, scenario };
    let variants = with.iter().map(|with| with.variant(&base)).collect::<Result<Vec<_>, _>>()?;
    let together =
        if args.together { Some(changed(&base, &with.iter().collect::<Vec<_>>())?) } else { None };
    let asked = Asked {
        base,
        variants,
        together,
        target,
        limits: Limits::default(),
        draws: args.draws,
        rows: args.rows,
        seed: args.seed,
    };
    let progress = Progress::new(runs_asked(&asked), "runs");
    let comparison = compare(&asked, &progress).map_err(|error| told(error, progress.runs()))?;
    drop(progress);
    screen::print(&text(&comparison))?;
    Ok(())
}

fn target(name: Option<&str>, units: Units) -> Result<Target, Failure> {
    let name = name.unwrap_or(match units {
        Units::Us => "60 mph",
        Units::Si => "100 km/h",
    });
    Target::named(name, Clock::FirstMovement).ok_or_else(|| {
        let gates: Vec<&str> = bitepoint_physics::timing::GATES.iter().map(|gate| gate.name).collect();
        Failure::Input(format!("--to: there is no gate {name:?}\n    accepted: {}", gates.join(", ")))
    })
}

fn told(error: CompareError, runs: u64) -> Failure {
    match error {
        CompareError::Files(..) => Failure::Input(error.to_string()),
        CompareError::BaseDoesNotArrive => Failure::Computation(format!("{error}.")),
        CompareError::CalledOff => {
            Failure::Computation(format!("Called off after {runs} runs; nothing was written."))
        }
    }
}
