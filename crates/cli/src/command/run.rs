//! `bitepoint run`: one timed run.

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_plot::folder::write_folder;
use bitepoint_plot::page::files;
use bitepoint_runner::timed_run::timed_run;
use bitepoint_runner::unfinished::unfinished;

use crate::args::Run;
use crate::document::RunDocument;
use crate::failure::Failure;
use crate::notes::{notes, reason};
use crate::report::Told;
use crate::screen;

pub(crate) fn run(args: &Run) -> Result<(), Failure> {
    let vehicle = read_vehicle(&args.vehicle)?;
    let scenario = match &args.scenario {
        Some(path) => read_scenario(path)?,
        None => ScenarioFile::default(),
    };
    let timed = timed_run(&vehicle, &scenario, args.band_runs)?;
    let units = args.reader.units();
    let told = Told::new(&timed, notes(&timed, units), command_line(args), units);
    // The folder comes first: what it holds is worth more than lines on a screen that say it is there.
    if let Some(folder) = &args.out {
        write_folder(folder, &files(&told.report(&timed)))?;
    }
    if args.json {
        screen::print(&RunDocument::new(&vehicle, &scenario, &timed, &told.notes).text());
    } else {
        screen::print(&screen::summary(&told.report(&timed)));
        if let Some(folder) = &args.out {
            screen::print(&format!("\nReport: {}\n", folder.join("index.html").display()));
        }
    }
    match unfinished(&timed.vehicle.vehicle, &timed.scenario.scenario, &timed.run) {
        None => Ok(()),
        Some(why) => Err(Failure::Computation(reason(why, units))),
    }
}

fn command_line(args: &Run) -> String {
    let scenario = args.scenario.as_ref().map(|s| format!(" {}", s.display())).unwrap_or_default();
    format!("bitepoint run {}{scenario} --out DIR", args.vehicle.display())
}
