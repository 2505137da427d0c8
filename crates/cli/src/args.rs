//! What can be asked for on the command line.

use std::path::PathBuf;

use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_plot::format::Units;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};

/// Simulates a timed standing start in a manual-gearbox car. Without a command: runs a built-in example and writes its
/// report to the folder `reports`.
///
/// Closed course only; local law and the venue's rules come first. A prediction is not a permission.
#[derive(Debug, Parser)]
#[command(name = "bitepoint", version, max_term_width = 100)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// What time, what happened, what limited it
    Run(Run),
    /// What slope, wind, air and rollout are worth; what a measured time would be without them
    Conditions(Box<Conditions>),
    /// Is a file valid; what it gives and what is estimated, by which rule
    Check(Check),
    /// Write a commented sheet to fill in for your own car
    Sheet(Sheet),
}

/// What time, what happened, what limited it.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:\n  bitepoint run vehicles/ombrel-q4.toml scenarios/wet-flat.toml --out reports/wet")]
pub(crate) struct Run {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario file; a dry, flat day if there is none
    pub(crate) scenario: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: Output,
    /// Runs with moved estimates for the spread of the times; 0 for none
    #[arg(long, value_name = "N", default_value_t = 256, value_parser = clap::value_parser!(u32).range(0..=65_536))]
    pub(crate) band_runs: u32,
}

/// What slope, wind, air and rollout are worth; what a measured time would be without them.
///
/// The scenario states the conditions of the run; a value there may carry its spread, one standard deviation:
/// slope = { value = "-1 %", spread = "0.2 %" }. The launch is held as the scenario states or estimates it.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:
  bitepoint conditions vehicles/gravane-62.toml scenarios/road-test.toml --to \"60 mph\" --measured 4.86s --with-rollout --out reports/road-test
  bitepoint conditions vehicles/gravane-62.toml scenarios/slope-profile.toml --to \"1/4 mile\" --start-at \"40 m\" \\
                       --measured 12.9s --measured-back 13.1s --timing-error 0.01s")]
pub(crate) struct Conditions {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario file with the conditions of the run; a dry, flat day if there is none
    pub(crate) scenario: Option<PathBuf>,
    /// Gate: 60 ft, 1/8 mile, 1/4 mile, 60 mph, 100 km/h ... [default: 60 mph or 100 km/h]
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Change a key of the scenario or the vehicle: \"air.headwind=-3 m/s\"; say it again for another
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub(crate) changes: Vec<String>,
    /// Where on the scenario's slope profile the car starts: \"50 m\"
    #[arg(long, value_name = "DISTANCE")]
    pub(crate) start_at: Option<String>,
    #[command(flatten)]
    pub(crate) measured: Measured,
    #[command(flatten)]
    pub(crate) reference: ReferenceDay,
    /// Draws of the uncertain inputs for the bands; 0 for none
    #[arg(long, value_name = "N", default_value_t = 256, value_parser = clap::value_parser!(u32).range(0..=65_536))]
    pub(crate) band_runs: u32,
    #[command(flatten)]
    pub(crate) output: Output,
}

/// What was measured.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "What was measured")]
pub(crate) struct Measured {
    /// Time of the run: 5.31s
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub(crate) measured: Option<String>,
    /// Time of a second run in the opposite direction
    #[arg(long, value_name = "TIME", allow_hyphen_values = true, requires = "measured")]
    pub(crate) measured_back: Option<String>,
    /// Where on the slope profile the second run starts; where the first reaches the gate if nothing is said
    #[arg(long, value_name = "DISTANCE", requires = "measured_back")]
    pub(crate) back_start_at: Option<String>,
    /// The measured clock starts when the rollout (timing.rollout) is over, not at the first movement
    #[arg(long)]
    pub(crate) with_rollout: bool,
    /// Error of each measured time, one standard deviation
    #[arg(long, value_name = "TIME", allow_hyphen_values = true, requires = "measured")]
    pub(crate) timing_error: Option<String>,
}

/// What to correct to: level and still, in standard air, from the first movement, unless it is said otherwise.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "What to correct to")]
pub(crate) struct ReferenceDay {
    /// Standard air of the reference
    #[arg(long, value_enum, default_value_t = StandardAirArg::Iso2533)]
    pub(crate) standard_air: StandardAirArg,
    /// Scenario file whose slope, wind and air are the reference
    #[arg(long, value_name = "FILE", conflicts_with = "standard_air")]
    pub(crate) reference: Option<PathBuf>,
    /// The reference's clock starts when the rollout is over, too
    #[arg(long)]
    pub(crate) reference_with_rollout: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StandardAirArg {
    /// ISO 2533 at sea level: 15 °C, 1013.25 hPa, dry
    #[value(name = "iso-2533")]
    Iso2533,
    /// SAE J1349: 25 °C, 990 hPa, dry
    #[value(name = "sae-j1349")]
    SaeJ1349,
}

/// Is a file valid; what it gives and what is estimated, by which rule.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:\n  bitepoint check vehicles/tumbrill-14.toml scenarios/wet-flat.toml")]
pub(crate) struct Check {
    /// Vehicle and scenario files; a scenario's launch is estimated for the vehicle named before it
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    /// Print a document for machines instead
    #[arg(long)]
    pub(crate) json: bool,
    #[command(flatten)]
    pub(crate) reader: Reader,
}

/// Write a commented sheet to fill in for your own car.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:\n  bitepoint sheet mycar.toml")]
pub(crate) struct Sheet {
    /// File to write; one that exists is left alone
    pub(crate) file: PathBuf,
}

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
