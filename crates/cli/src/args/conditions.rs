//! `bitepoint conditions`.

use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};

use super::known::Known;
use super::output::Output;

/// What slope, wind, air and rollout are worth; what a measured time would be without them.
///
/// The scenario states the conditions of the run; a value there may carry its spread, one standard deviation:
/// slope = { value = "-1 %", spread = "0.2 %" }. The launch is held as the scenario states or estimates it.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Example:
  bitepoint conditions vehicles/gravane-62.toml scenarios/road-test.toml --to \"60 mph\" --measured 4.86s --rollout --out reports/road-test
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
    /// Change a key of the scenario or the vehicle: "air.headwind=-3 m/s"; repeat for more
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub(crate) changes: Vec<String>,
    /// Where on the scenario's slope profile the car starts: "50 m"
    #[arg(long, value_name = "DISTANCE")]
    pub(crate) start_at: Option<String>,
    /// Draws of the uncertain inputs for the bands; 0 for none
    #[arg(long, value_name = "N", default_value_t = 256, value_parser = clap::value_parser!(u32).range(0..=65_536))]
    pub(crate) band_runs: u32,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
    #[command(flatten)]
    pub(crate) measured: Measured,
    #[command(flatten)]
    pub(crate) reference: ReferenceDay,
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
    pub(crate) rollout: bool,
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
    pub(crate) reference_rollout: bool,
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
