//! `bitepoint plan`: how to launch and shift.

use std::path::PathBuf;

use bitepoint_inputs::files::read_scenario;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_plot::folder::write_folder;
use bitepoint_plot::plan::{PlanDay, PlanReport, files};
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{self, RUNS, Wanted};

use crate::args::Plan;
use crate::car;
use crate::command_line::command_line;
use crate::document::{PlanDocument, text};
use crate::failure::Failure;
use crate::option::{clock, target, usual_gate};
use crate::plan::{limits, none, notes, scenario, screen};
use crate::progress::Progress;
use crate::screen::{print, print_place};

pub(crate) fn run(args: &Plan) -> Result<(), Failure> {
    let units = args.output.reader.units();
    let gate = args.to.as_deref().unwrap_or(usual_gate(units));
    let target = target(gate, clock(args.rollout))?;
    let wanted = Wanted {
        target,
        effort: args.effort.effort(),
        limits: limits::limits(&args.limits)?,
        above_redline: args.above_redline,
    };
    let vehicle = car::read(&args.vehicle, &args.known, args.output.reader.system())?;
    let mut scenarios = args.scenarios.iter().map(|path| read_scenario(path)).collect::<Result<Vec<_>, _>>()?;
    if scenarios.is_empty() {
        scenarios.push(ScenarioFile::default());
    }
    let cases: Vec<Case> = scenarios.into_iter().map(|scenario| Case::new(vehicle.clone(), scenario)).collect();
    // Wrong files are reported at once, not after the first day is planned.
    for case in &cases {
        case.resolve()?;
    }
    let places = match &args.write_scenarios {
        Some(folder) => scenario::places(folder, &args.scenarios)?,
        None => Vec::new(),
    };
    let progress = Progress::new(RUNS * cases.len() as u64, "runs");
    let plans = cases
        .iter()
        .map(|case| {
            plan::plan(case, &wanted, args.seed, &progress)
                .map_err(|error| none::failure(&case.scenario, error, target, units, progress.runs()))
        })
        .collect::<Result<Vec<_>, _>>()?;
    drop(progress);

    let notes: Vec<Vec<String>> =
        plans.iter().map(|plan| [car::told(&vehicle), notes::notes(plan, units)].concat()).collect();
    let days: Vec<PlanDay<'_>> = plans
        .iter()
        .zip(&notes)
        .map(|(plan, notes)| PlanDay { name: &plan.resolved.scenario.name, plan, notes })
        .collect();
    let vehicle_name = &plans[0].resolved.vehicle.name;
    let title = format!("Plan: {vehicle_name}");
    let command = command_line();
    let report = PlanReport { title: &title, vehicle_name, target, days: &days, command: &command, units };
    if let Some(folder) = &args.output.out {
        write_folder(folder, &files(&report))?;
    }
    for (i, (place, plan)) in places.iter().zip(&plans).enumerate() {
        scenario::write(place, args.scenarios.get(i).map(PathBuf::as_path), &plan.driver.launch)?;
    }
    if args.output.json {
        print(&text(&PlanDocument::new(&cases, &plans, &notes, units)))?;
    } else {
        print(&screen::screen(&report))?;
        print_place(args.output.out.as_deref())?;
        for place in &places {
            print(&format!("Scenario: {}\n", place.display()))?;
        }
    }
    Ok(())
}
