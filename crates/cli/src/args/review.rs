//! `bitepoint review`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Output;

/// What happened in measured starts, what it cost, and what to change next.
///
/// Finds the standing starts of a log (CSV, GPX or NMEA), times them with their errors, and holds each against the recommended launch of this
/// car on this day. Columns of a CSV are found by their names and units, or named with --map.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  bitepoint review logs/gravane-62-wet.csv vehicles/gravane-62.toml scenarios/wet-flat.toml --out reports/review
  bitepoint review today.csv car.toml --map \"time=0,speed=GPS_kph:km/h\" --before lastweek.csv")]
pub(crate) struct Review {
    /// Log of the runs
    pub(crate) log: PathBuf,
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario file or built-in day (dry, damp, wet, strip, gravel, snow, ice); dry if there is none
    pub(crate) scenario: Option<PathBuf>,
    /// Columns by name or place from 0, with a unit if the log gives none: "time=0,speed=GPS_kph:km/h"
    #[arg(long, value_name = "COLUMNS")]
    pub(crate) map: Option<String>,
    /// Log of earlier runs to compare with, read the same way; say it again for another
    #[arg(long, value_name = "LOG")]
    pub(crate) before: Vec<PathBuf>,
    /// Gate to reach: 60 ft, 1/8 mile, 1/4 mile, 60 mph, 100 km/h ... [default: 60 mph or 100 km/h; half of it if no start gets there]
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Start the clock when the rollout is over instead of at the first movement
    #[arg(long)]
    pub(crate) rollout: bool,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
}
