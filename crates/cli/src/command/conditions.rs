//! `bitepoint conditions`: what slope, wind, air and rollout are worth.

use bitepoint_plot::conditions::{ConditionsReport, files};
use bitepoint_plot::folder::write_folder;
use bitepoint_runner::conditions::{steps, study};
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::watch::Nobody;

use crate::args::Conditions;
use crate::car;
use crate::command_line::command_line;
use crate::conditions::{asked, none, notes, screen};
use crate::document::{ConditionsDocument, text};
use crate::failure::Failure;
use crate::progress::Progress;
use crate::screen::{print, print_place};

pub(crate) fn run(args: &Conditions) -> Result<(), Failure> {
    let units = args.output.reader.units();
    let case = asked::case(args)?;
    let request = asked::request(args, &case)?;
    // The same start in all conditions: the one that suits the measured day.
    let case = case.launched(&Wanted::to(request.target), &Nobody)?;
    let progress = Progress::new(steps(request.draws), "draws");
    let study = study(&case, &request, &progress)
        .map_err(|error| none::failure(error, &case, units, (progress.runs(), steps(request.draws))))?;
    drop(progress);

    let notes = [car::told(&case.vehicle), notes::notes(&study, units)].concat();
    let title = format!("Conditions: {}, {}", study.resolved.vehicle.name, study.resolved.scenario.name);
    let command = command_line();
    let report = ConditionsReport { title: &title, command: &command, study: &study, notes: &notes, units };
    if let Some(folder) = &args.output.out {
        write_folder(folder, &files(&report))?;
    }
    if args.output.json {
        print(&text(&ConditionsDocument::new(&case, &report)))?;
    } else {
        print(&screen::screen(&report))?;
        print_place(args.output.out.as_deref())?;
    }
    Ok(())
}
