//! `bitepoint plan`.

use std::path::PathBuf;

use bitepoint_runner::plan::Effort;
use clap::Args as ClapArgs;

use super::known::Known;
use super::output::Output;

/// How to launch and shift, how forgiving that is, what it costs the car, and a card to print.
///
/// Recommends the gentlest launch whose expected time is within 0.05 s of the quickest, for the driver that the scenario names
/// (driver = "owner", "keen" or "tester") and with what is not surely known of the car. Nothing is held or shifted above the redline.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  bitepoint plan vehicles/gravane-62.toml scenarios/dry-flat.toml scenarios/wet-flat.toml --out reports/plan
  bitepoint plan vehicles/ombrel-20.toml --to \"1/4 mile\" --clutch-face-max \"200 °C\" --shaft-torque-max \"4000 N·m\"")]
pub(crate) struct Plan {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario files or built-in days (dry, damp, wet, strip, gravel, snow, ice), one a surface; dry if there is none
    pub(crate) scenarios: Vec<PathBuf>,
    /// Mark to reach: 60 ft, 1/8 mile, 1/4 mile, 60 mph, 100 km/h ... [default: 60 mph or 100 km/h]
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Start the clock when the rollout is over instead of at the first movement
    #[arg(long)]
    pub(crate) rollout: bool,
    /// How hard the launch may be on the car
    #[arg(long, value_enum, default_value_t)]
    pub(crate) effort: EffortArg,
    /// Allow revs above the redline, up to just under the limiter
    #[arg(long)]
    pub(crate) above_redline: bool,
    /// Seed of the driver's errors
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u32,
    /// Write each plan to this folder as a scenario file that `run` takes; existing files are not overwritten
    #[arg(long, value_name = "DIR")]
    pub(crate) write_scenarios: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) known: Known,
    #[command(flatten)]
    pub(crate) output: Output,
    #[command(flatten)]
    pub(crate) limits: StartLimits,
}

/// How hard a start may be on the car.
#[derive(Debug, Clone, Copy, Default, clap::ValueEnum)]
pub(crate) enum EffortArg {
    /// The gentlest launch within 0.2 s of the quickest
    Easy,
    /// The gentlest within 0.05 s
    #[default]
    Normal,
    /// The quickest, with no limit on shaft torque and the clutch short of lasting harm
    AllOut,
}

impl EffortArg {
    pub(crate) fn effort(self) -> Effort {
        match self {
            Self::Easy => Effort::Easy,
            Self::Normal => Effort::Normal,
            Self::AllOut => Effort::AllOut,
        }
    }
}

/// What no start may exceed, each with its unit.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "Limits that a launch must keep")]
pub(crate) struct StartLimits {
    /// Temperature of the clutch face: "250 °C"
    #[arg(long, value_name = "TEMPERATURE")]
    pub(crate) clutch_face_max: Option<String>,
    /// Heat made in the clutch from start to gate: "120 kJ"
    #[arg(long, value_name = "ENERGY")]
    pub(crate) clutch_energy_max: Option<String>,
    /// Torque of all half-shafts together: "4000 N·m"
    #[arg(long, value_name = "TORQUE")]
    pub(crate) shaft_torque_max: Option<String>,
    /// How much faster than the road a driven tyre's tread may run: "5 m/s"
    #[arg(long, value_name = "SPEED")]
    pub(crate) slip_max: Option<String>,
}
