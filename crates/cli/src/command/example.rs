//! `bitepoint` with nothing else: a built-in example, so that the first thing to do is look at a report.

use std::path::Path;

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_plot::folder::write_folder;
use bitepoint_plot::format::Units;
use bitepoint_plot::run::files;
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::timed_run::timed_run;
use bitepoint_runner::watch::Nobody;

use crate::failure::Failure;
use crate::report::Told;
use crate::screen;

/// The example's vehicle, built in so that it runs from any folder.
pub(crate) const VEHICLE: (&str, &str) =
    ("vehicles/ombrel-20.toml", include_str!("../../../../vehicles/ombrel-20.toml"));
const SCENARIO: (&str, &str) = ("scenarios/dry-flat.toml", include_str!("../../../../scenarios/dry-flat.toml"));

/// Where the example's report goes.
const FOLDER: &str = "reports/first-run";
const BAND_RUNS: u32 = 256;

pub(crate) fn run() -> Result<(), Failure> {
    let vehicle = VehicleFile::parse(VEHICLE.0, VEHICLE.1)?;
    let scenario = ScenarioFile::parse(SCENARIO.0, SCENARIO.1, &|_| Err("it is not built in".to_owned()))?;
    let case = Case::new(vehicle, scenario).launched(&Wanted::usual(), &Nobody)?;
    let timed = timed_run(&case, BAND_RUNS)?;
    let told = Told::new(&case, &timed, "bitepoint".to_owned(), "bitepoint plan", Units::Us);
    let report = told.report(&timed);
    std::fs::create_dir_all("reports")
        .map_err(|e| Failure::Computation(format!("cannot make the folder `reports` here: {e}")))?;
    write_folder(Path::new(FOLDER), &files(&report))?;
    screen::print(&screen::summary(&report))?;
    screen::print(&format!(
        "\nReport: {FOLDER}/index.html\n\
         Next:   bitepoint sheet mycar.toml    (fill it in)\n        bitepoint run mycar.toml      (and see)\n"
    ))?;
    Ok(())
}
