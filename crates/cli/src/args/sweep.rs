//! `bitepoint sweep`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Output;

/// One or two inputs varied: where the best lies, how much room there is, what goes wrong beyond.
///
/// KEY is any input of vehicle or scenario that is a number with a unit, by its dotted name (`bitepoint check` prints them). All values are run
/// under every scenario. What is not varied stays as the files say; what they leave open of the launch is as `plan` recommends it
/// for the car as it is, and kept revs follow held revs in the recommended ratio. Times are the driver's expected ones. A start that stalls,
/// cannot move or cannot be is a result: it is counted and drawn.
#[derive(Debug, ClapArgs)]
#[command(group(clap::ArgGroup::new("what").required(true).multiple(true).args(["vary", "shifts"])))]
#[command(after_help = "How values are written (the unit once or on every number; items of a list are counted from 1):
  --vary \"launch.revs=2000..7000/100 rpm\"          from, to, step
  --vary \"launch.release_time=0.3,0.5,0.9 s\"       a list
  --vary \"shifting.shift_at[2]=5000..7000/100 rpm\" where second gear is left

Examples:
  bitepoint sweep vehicles/gravane-62.toml scenarios/dry-flat.toml scenarios/wet-flat.toml \\
      --vary \"launch.revs=1500..6500/100 rpm\" --out reports/revs
  bitepoint sweep vehicles/gravane-62.toml scenarios/dry-flat.toml scenarios/wet-flat.toml \\
      --vary \"launch.revs=1500..6500/100 rpm\" --vary \"launch.release_time=0.2..4.2/0.1 s\" --out reports/map
  bitepoint sweep vehicles/gravane-62.toml --shifts --out reports/shifts")]
pub(crate) struct Sweep {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario files or built-in days (dry, damp, wet, strip, gravel, snow, ice); dry if there is none
    pub(crate) scenarios: Vec<PathBuf>,
    /// Input to vary, and its values; once or twice
    #[arg(long, value_name = "KEY=FROM..TO/STEP")]
    pub(crate) vary: Vec<String>,
    /// Vary the engine speed at which each gear is left, one gear after the other, and compare it with the tractive effort of the gears
    #[arg(long, conflicts_with = "vary")]
    pub(crate) shifts: bool,
    /// Gate that ends each run: 60 ft, 1/8 mile, 1/4 mile, 60 mph, 100 km/h ... [default: 60 mph or 100 km/h; with --shifts 1/4 mile or 400 m]
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Start the clock when the rollout is over instead of at the first movement
    #[arg(long)]
    pub(crate) rollout: bool,
    /// Time each start by one run done exactly instead of by what the driver may expect: a seventeenth of the work, and less smooth
    #[arg(long)]
    pub(crate) exact: bool,
    /// Write every start as a row of a table to this file
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Make as many starts as it takes, without asking
    #[arg(long)]
    pub(crate) yes: bool,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
}
