//! `bitepoint fit`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Output;

/// The car's unknowns from logs of its starts and coast-downs, with standard errors.
///
/// Every value of car and day that has a spread (`bitepoint check` prints them) is looked for at once, with its spread as what was known
/// before. Starts have to be at full throttle; coast-downs in neutral, for 12 s or more from over 12 m/s (27 mph). What the logs cannot tell is said.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  bitepoint fit evening.csv vehicles/ellisar-28.toml --out reports/fit
  bitepoint fit starts.csv rolling-out.csv vehicles/ellisar-28.toml --scenario scenarios/dry-flat.toml --there-and-back \\
      --write vehicles/ellisar-28-fitted.toml")]
pub(crate) struct Fit {
    /// Logs (CSV, GPX, NMEA 0183), then the vehicle file (TOML, or JSON by extension)
    #[arg(required = true, num_args = 2.., value_names = ["LOG", "VEHICLE"])]
    pub(crate) files: Vec<PathBuf>,
    /// Scenario file of the day: air, wind, slope, surface, and how the car was launched as far as known; a dry, flat day if there is none
    #[arg(long, value_name = "FILE")]
    pub(crate) scenario: Option<PathBuf>,
    /// Columns of the logs by hand: time=0,speed=GPS_kph:km/h
    #[arg(long, value_name = "CHANNEL=COLUMN,...")]
    pub(crate) map: Option<String>,
    /// Coast-downs go there and back in turn (where the logs have positions, those say it)
    #[arg(long)]
    pub(crate) there_and_back: bool,
    /// Write a vehicle file with the fitted values, their spreads and the date; one that exists is left alone
    #[arg(long, value_name = "FILE")]
    pub(crate) write: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
}

impl Fit {
    /// The last file.
    pub(crate) fn vehicle(&self) -> &PathBuf {
        &self.files[self.files.len() - 1]
    }

    /// All before it.
    pub(crate) fn logs(&self) -> &[PathBuf] {
        &self.files[..self.files.len() - 1]
    }
}
