//! `bitepoint sheet`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

/// Write a commented sheet to fill in for your own car.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:\n  bitepoint sheet mycar.toml")]
pub(crate) struct Sheet {
    /// File to write; one that exists is left alone
    pub(crate) file: PathBuf,
}
