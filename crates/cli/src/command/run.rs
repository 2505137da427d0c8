//! `bitepoint run`: one timed run.

use bitepoint_plot::folder::write_folder;
use bitepoint_plot::run::files;
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::timed_run::timed_run;
use bitepoint_runner::unfinished::unfinished;
use bitepoint_runner::watch::Nobody;

use crate::args::Run;
use crate::car;
use crate::command_line::command_line;
use crate::document::{RunDocument, text};
use crate::failure::Failure;
use crate::notes::reason;
use crate::option;
use crate::report::Told;
use crate::screen;

pub(crate) fn run(args: &Run) -> Result<(), Failure> {
    let vehicle = car::read(&args.vehicle, &args.known, args.output.reader.system())?;
    let scenario = option::scenario(args.scenario.as_deref())?;
    let case = Case::new(vehicle, scenario).launched(&Wanted::usual(), &Nobody)?;
    let timed = timed_run(&case, args.band_runs)?;
    let units = args.output.reader.units();
    let plan = plan_command(args);
    let told = Told::new(&case, &timed, command_line(), &plan, units);
    // The folder comes first: what it holds is worth more than lines on a screen that say it is there.
    if let Some(folder) = &args.output.out {
        write_folder(folder, &files(&told.report(&timed)))?;
    }
    if args.output.json {
        screen::print(&text(&RunDocument::new(&case.vehicle, &case.scenario, &timed, &told)))?;
    } else {
        screen::print(&screen::summary(&told.report(&timed)))?;
        screen::print_place(args.output.out.as_deref())?;
    }
    match unfinished(&timed.vehicle.vehicle, &timed.scenario.scenario, &timed.run) {
        None => Ok(()),
        Some(why) => {
            let reason = reason(why, &timed.run, timed.scenario.scenario.time_limit_s, units);
            let helps = told.advice.map(|advice| format!("\nWhat would help: {advice}").replace('\u{a0}', " "));
            Err(Failure::Computation(reason + &helps.unwrap_or_default()))
        }
    }
}

/// The command that recommends a launch for the files of this run.
fn plan_command(args: &Run) -> String {
    let files = [Some(&args.vehicle), args.scenario.as_ref()].into_iter().flatten();
    files.fold("bitepoint plan".to_owned(), |command, file| format!("{command} {}", file.display()))
}
