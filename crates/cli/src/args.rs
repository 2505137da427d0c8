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
    /// How to launch and shift, how forgiving that is, and a card to print for each surface
    Plan(Plan),
    /// One or two inputs varied: where the best lies, how much room there is, what goes wrong beyond
    Sweep(Sweep),
    /// The car's unknowns from logs of its starts and coast-downs, with standard errors
    Fit(Fit),
    /// Is a file valid; what it gives and what is estimated, by which rule
    Check(Check),
    /// Write a commented sheet to fill in for your own car
    Sheet(Sheet),
    /// What a part or another change is worth, each with its own best launch
    Compare(Compare),
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

/// One or two inputs varied: where the best lies, how much room there is, what goes wrong beyond.
///
/// KEY is any input of vehicle or scenario that is a number with a unit, by its dotted name (`bitepoint check` prints them). All values are run
/// under every scenario; what is not varied stays as the files say or as it is estimated. A start that stalls, cannot move or
/// cannot be is a result: it is counted and drawn.
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
    /// Scenario files; a dry, flat day if there is none
    pub(crate) scenarios: Vec<PathBuf>,
    /// Input to vary, and its values; once or twice
    #[arg(long, value_name = "KEY=FROM..TO/STEP")]
    pub(crate) vary: Vec<String>,
    /// Vary the engine speed at which each gear is left, one gear after the other, and hold it against the tractive effort of the gears
    #[arg(long, conflicts_with = "vary")]
    pub(crate) shifts: bool,
    /// Gate that ends each run: 60 ft, 1/8 mile, 1/4 mile, 60 mph, 100 km/h ... [default: 60 mph or 100 km/h; with --shifts 1/4 mile or 400 m]
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Start the clock when the rollout is over instead of at the first movement
    #[arg(long)]
    pub(crate) rollout: bool,
    /// Write every run as a row of a table to this file
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Make as many runs as it takes, without asking
    #[arg(long)]
    pub(crate) yes: bool,
    #[command(flatten)]
    pub(crate) output: Output,
}

/// How to launch and shift, how forgiving that is, and a card to print for each surface.
///
/// Looks for the launch and shift points with the shortest time to a gate: done exactly, and in the hands of a driver who strays as the
/// scenario says (driver_scatter). Wheelspin is answered as the scenario says.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  bitepoint plan vehicles/gravane-62.toml scenarios/dry-flat.toml scenarios/wet-flat.toml --out reports/plan
  bitepoint plan vehicles/ombrel-q4.toml --to \"1/4 mile\" --clutch-face-max \"200 °C\" --shaft-torque-max \"4000 N·m\"")]
pub(crate) struct Plan {
    /// Vehicle file (TOML, or JSON by extension)
    pub(crate) vehicle: PathBuf,
    /// Scenario files, one a surface; a dry, flat day if there is none
    pub(crate) scenarios: Vec<PathBuf>,
    /// Gate to reach: 60 ft, 1/8 mile, 1/4 mile, 60 mph, 100 km/h ... [default: 60 mph or 100 km/h]
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Start the clock when the rollout is over instead of at the first movement
    #[arg(long)]
    pub(crate) rollout: bool,
    #[command(flatten)]
    pub(crate) limits: StartLimits,
    /// Seed of the driver's errors
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u32,
    /// Write each plan as a scenario file that `run` takes to this folder; files that exist are left alone
    #[arg(long, value_name = "DIR")]
    pub(crate) write_scenarios: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: Output,
}

/// What no start may exceed, each with its unit.
#[derive(Debug, Clone, ClapArgs)]
#[command(next_help_heading = "Limits that a start must keep")]
pub(crate) struct StartLimits {
    /// Temperature of the clutch face: \"250 °C\"
    #[arg(long, value_name = "TEMPERATURE")]
    pub(crate) clutch_face_max: Option<String>,
    /// Heat made in the clutch from start to gate: \"120 kJ\"
    #[arg(long, value_name = "ENERGY")]
    pub(crate) clutch_energy_max: Option<String>,
    /// Torque of all half-shafts together: \"4000 N·m\"
    #[arg(long, value_name = "TORQUE")]
    pub(crate) shaft_torque_max: Option<String>,
    /// How much faster than the road a driven tyre's tread may run: \"5 m/s\"
    #[arg(long, value_name = "SPEED")]
    pub(crate) slip_max: Option<String>,
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

/// What a part or another change is worth, each with its own best launch.
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
    /// Scenario file; a dry, flat day if there is none
    pub(crate) scenario: Option<PathBuf>,
    /// A change to judge; say it again for another
    #[arg(long = "with", value_name = "CHANGE", required = true)]
    pub(crate) changes: Vec<String>,
    /// Judge all changes at once, too: gains do not add
    #[arg(long)]
    pub(crate) together: bool,
    /// Gate to reach: "60 mph", "100 km/h", "60 ft", "quarter mile"
    #[arg(long, value_name = "GATE")]
    pub(crate) to: Option<String>,
    /// Draws of the uncertain values for the bands
    #[arg(long, value_name = "N", default_value_t = 256, value_parser = clap::value_parser!(u32).range(32..=65_536))]
    pub(crate) draws: u32,
    /// Seed of all draws: the same seed gives the same answer
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub(crate) seed: u32,
    #[command(flatten)]
    pub(crate) output: Output,
}

/// The car's unknowns from logs of its starts and coast-downs, with standard errors.
///
/// Every value of car and day that has a spread (`bitepoint check` prints them) is looked for at once, with its spread as what was known
/// before. Starts have to be at full throttle; coast-downs in neutral, for 12 s or more from over 12 m/s (27 mph). What the logs cannot tell is said.
#[derive(Debug, ClapArgs)]
#[command(after_help = "Examples:
  bitepoint fit evening.csv vehicles/ellisar-28.toml --out reports/fit
  bitepoint fit starts.csv rolling-out.csv vehicles/ellisar-28.toml --scenario scenarios/dry-flat.toml --there-and-back \\
      --write vehicles/ellisar-28-fitted.toml")]
pub(crate) struct Fit {
    /// Logs (CSV, GPX, NMEA 0183), then the vehicle file (TOML, or JSON by extension)
    #[arg(required = true, num_args = 2.., value_names = ["LOG", "VEHICLE"])]
    pub(crate) files: Vec<PathBuf>,
    /// Scenario file of the day: air, wind, slope, surface, and how the car was launched as far as known; a dry, flat day if there is none
    #[arg(long, value_name = "FILE")]
    pub(crate) scenario: Option<PathBuf>,
    /// Columns of the logs by hand: time=0,speed=GPS_kph:km/h
    #[arg(long, value_name = "CHANNEL=COLUMN,...")]
    pub(crate) map: Option<String>,
    /// Coast-downs go there and back in turn (where the logs have positions, those say it)
    #[arg(long)]
    pub(crate) there_and_back: bool,
    /// Write a vehicle file with the fitted values, their spreads and the date; one that exists is left alone
    #[arg(long, value_name = "FILE")]
    pub(crate) write: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: Output,
}

impl Fit {
    /// The last file.
    pub(crate) fn vehicle(&self) -> &PathBuf {
        &self.files[self.files.len() - 1]
    }

    /// All before it.
    pub(crate) fn logs(&self) -> &[PathBuf] {
        &self.files[..self.files.len() - 1]
    }
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
