//! `bitepoint check`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Reader;

/// Is a file valid; what it gives and what is estimated, by which rule.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:\n  bitepoint check vehicles/tumbrill-14.toml scenarios/wet-flat.toml")]
pub(crate) struct Check {
    /// Vehicle and scenario files; a scenario's launch is estimated for the vehicle named before it
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    /// Show every value, not only those given and the ten estimates that matter most
    #[arg(long)]
    pub(crate) all: bool,
    /// Print a document for machines instead
    #[arg(long)]
    pub(crate) json: bool,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) reader: Reader,
}
