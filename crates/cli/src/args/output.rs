//! Where a result goes and for whom it is printed: the same for every command.

use std::path::PathBuf;

use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_plot::format::Units;
use clap::{Args as ClapArgs, ValueEnum};

/// Where the result goes, and how.
#[derive(Debug, Clone, ClapArgs)]
pub(crate) struct Output {
    /// Print a document for machines instead (the folder `schemas` describes it)
    #[arg(long)]
    pub(crate) json: bool,
    /// Write a report (one page and its charts) to this folder
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) reader: Reader,
}

/// For whom numbers are printed.
#[derive(Debug, Clone, Copy, ClapArgs)]
pub(crate) struct Reader {
    /// Units of what is printed
    #[arg(long, value_enum, default_value_t = UnitsArg::Us)]
    pub(crate) units: UnitsArg,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsArg {
    /// mph, feet, lbf·ft, °F
    Us,
    /// km/h, metres, N·m, °C
    Si,
}

impl Reader {
    pub(crate) fn units(self) -> Units {
        match self.units {
            UnitsArg::Us => Units::Us,
            UnitsArg::Si => Units::Si,
        }
    }

    pub(crate) fn system(self) -> UnitSystem {
        match self.units {
            UnitsArg::Us => UnitSystem::Us,
            UnitsArg::Si => UnitSystem::Si,
        }
    }
}
