//! `bitepoint fit`: the car's unknowns from logs.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use bitepoint_plot::fit::{FitReport, files};
use bitepoint_plot::folder::write_folder;
use bitepoint_runlog::log::Log;
use bitepoint_runner::case::Case;
use bitepoint_runner::fit::{Asked, FitError, fit, read_for_fit, vehicle_text};
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::watch::Nobody;
use chrono::DateTime;

use crate::args::Fit;
use crate::car;
use crate::command_line::command_line;
use crate::document::{FitDocument, text};
use crate::failure::Failure;
use crate::fit_screen;
use crate::new_file::{in_the_way, write_new};
use crate::option;
use crate::progress::Progress;
use crate::screen::{print, print_place};

/// Runs of a fit of usual size, for the bar.
const SOME_RUNS: u64 = 7500;

pub(crate) fn run(args: &Fit) -> Result<(), Failure> {
    let vehicle_path = args.vehicle();
    let vehicle = car::read(vehicle_path, &args.known, args.output.reader.system())?;
    let scenario = option::scenario(args.scenario.as_deref())?;
    let map = option::columns(args.map.as_deref())?;
    if let Some(path) = &args.write {
        may_create(path)?;
    }
    let logs = args.logs().iter().map(|p| read_for_fit(p, &map)).collect::<Result<Vec<Log>, _>>()?;
    let case = Case::new(vehicle.clone(), scenario.clone()).launched(&Wanted::usual(), &Nobody)?;
    let asked = Asked {
        logs: &logs,
        launch: case.launch.as_ref(),
        vehicle: &vehicle,
        scenario: &scenario,
        leave_out: true,
        there_and_back: args.there_and_back,
    };
    let progress = Progress::new(SOME_RUNS, "runs");
    let found = fit(&asked, &progress).map_err(failed)?;
    drop(progress);

    if let Some(path) = &args.write {
        write(path, vehicle_path, &found, args.logs())?;
    }
    let units = args.output.reader.units();
    let command = command_line();
    let resolved = vehicle.resolve();
    let notes = car::told(&vehicle);
    let report = FitReport { vehicle_name: &resolved.name, fit: &found, notes: &notes, command: &command, units };
    if let Some(folder) = &args.output.out {
        write_folder(folder, &files(&report))?;
    }
    if args.output.json {
        return print(&text(&FitDocument::new(&vehicle, &resolved, &scenario, &found)));
    }
    print(&fit_screen::screen(&report))?;
    if let Some(path) = &args.write {
        print(&format!("\nWrote:  {}\n", path.display()))?;
    }
    print_place(args.output.out.as_deref())?;
    Ok(())
}

fn failed(error: FitError) -> Failure {
    match error {
        FitError::Files(problems) => problems.into(),
        FitError::NothingToFit(_) | FitError::OtherCar(..) => Failure::Input(error.to_string()),
        FitError::NotFound | FitError::CalledOff => Failure::Computation(error.to_string()),
    }
}

/// Said before the work, not after it.
fn may_create(path: &Path) -> Result<(), Failure> {
    if path.symlink_metadata().is_ok() { Err(in_the_way(path)) } else { Ok(()) }
}

/// Writes the new vehicle file; one that exists stays.
fn write(path: &Path, old: &Path, fit: &bitepoint_runner::fit::Fit, logs: &[PathBuf]) -> Result<(), Failure> {
    let old_text = std::fs::read_to_string(old)
        .map_err(|e| Failure::Input(format!("{}: it cannot be read any more: {e}", old.display())))?;
    let names: Vec<String> = logs.iter().filter_map(|p| Some(p.file_name()?.to_string_lossy().into_owned())).collect();
    let new = vehicle_text(&old_text, fit, &today(), &names).map_err(|e| Failure::Input(e.to_string()))?;
    write_new(path, "vehicle file", &new)
}

/// Today in UTC, as in 2030-05-17.
fn today() -> String {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    date((seconds / 86_400) as i64)
}

/// Date of a day counted from 1970-01-01.
fn date(day: i64) -> String {
    DateTime::from_timestamp(86_400 * day, 0).unwrap_or_default().date_naive().to_string()
}

#[cfg(test)]
mod tests {
    use super::date;

    #[test]
    fn days_have_their_dates() {
        let told = [0, 59, 11_016, 19_782, 20_088].map(date);
        assert_eq!(told, ["1970-01-01", "1970-03-01", "2000-02-29", "2024-02-29", "2024-12-31"]);
    }
}
