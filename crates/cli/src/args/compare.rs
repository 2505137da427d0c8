//! `bitepoint compare`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Output;

/// What a part or another change is worth, each with the launch that is recommended.
///
/// A change is written "label: key=value, key=+8 %, file=part.toml, price=450 EUR". A value that begins with a sign changes the car's
/// own value, whether that is given or estimated: in per cent (+8 %) or by a difference (-40 kg); any other value takes its place.
/// The folder `parts` holds examples of part files.
#[derive(Debug, ClapArgs)]
#[command(
    after_help = "Example:\n  bitepoint compare vehicles/ellisar-28.toml --with file=parts/sticky-tyres.toml \\\n                              --with \"lighter: mass=-40 kg, price=600 EUR\" --out reports/parts"
)]
pub(crate) struct Compare {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario file or built-in day (dry, damp, wet, strip, gravel, snow, ice); dry if there is none
    pub(crate) scenario: Option<PathBuf>,
    /// A change to judge, "label: key=value, file=part.toml, price=450 EUR"; repeat for more
    #[arg(long = "with", value_name = "CHANGE", required = true)]
    pub(crate) changes: Vec<String>,
    /// Judge all changes at once, too: gains do not add
    #[arg(long)]
    pub(crate) together: bool,
    /// Mark to reach: "60 mph", "100 km/h", "60 ft", "quarter mile"
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Draws of the uncertain values for the bands
    #[arg(long, value_name = "N", default_value_t = 256, value_parser = clap::value_parser!(u32).range(32..=65_536))]
    pub(crate) draws: u32,
    /// Seed of all draws: the same seed gives the same answer
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub(crate) seed: u32,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
}
