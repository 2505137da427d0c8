//! `bitepoint run`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Output;

/// What time, what happened, what limited it.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:\n  bitepoint run vehicles/ombrel-20.toml scenarios/wet-flat.toml --out reports/wet")]
pub(crate) struct Run {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario file or built-in day (dry, damp, wet, strip, gravel, snow, ice); dry if there is none
    pub(crate) scenario: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
    /// Runs with moved estimates for the spread of the times; 0 for none
    #[arg(long, value_name = "N", default_value_t = 256, value_parser = clap::value_parser!(u32).range(0..=65_536))]
    pub(crate) band_runs: u32,
}
