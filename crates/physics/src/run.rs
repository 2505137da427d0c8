//! What a run returns.

use serde::Serialize;

use crate::timing::{GateTime, RollingTime, Trap};

/// What limits the car at an instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// The driven tyres give all they have, or more is asked of them and they spin.
    Tyre,
    /// The slipping clutch carries less than engine and tyres could.
    Clutch,
    /// The driver's throttle is not wide open.
    Throttle,
    /// Boost has not built.
    Boost,
    /// The engine turns and pulls at full load, but this gear leaves it off its peak power.
    Engine,
    /// Fuel is cut by a limiter.
    Limiter,
    /// A shift is under way.
    Shift,
    /// Drag takes more than half of the driving force.
    Air,
}

impl Limit {
    /// All of them, in the order in which tables and ribbons show them; also the order of every array over causes.
    pub const ALL: [Self; 8] =
        [Self::Tyre, Self::Clutch, Self::Throttle, Self::Boost, Self::Engine, Self::Limiter, Self::Shift, Self::Air];

    /// Its name in running text.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Tyre => "tyre",
            Self::Clutch => "clutch",
            Self::Throttle => "throttle",
            Self::Engine => "engine",
            Self::Boost => "boost",
            Self::Limiter => "limiter",
            Self::Shift => "shift",
            Self::Air => "air",
        }
    }
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Ending {
    /// The finish was reached.
    Finished,
    /// The engine stalled.
    Stalled,
    /// The car rolled backwards after the start.
    RolledBack,
    /// The time limit passed first.
    OutOfTime,
}

/// How a start went, in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Story {
    /// Neither of the others.
    Clean,
    /// The driven tyres were well past their peak for long.
    Spin,
    /// The clutch was home early and the revs fell under the engine's useful range.
    Bog,
    /// The clutch slipped for long after the pedal was out, or carried the start for long.
    Slip,
    /// The engine stalled.
    Stall,
}

/// Everything about one run.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Run {
    /// How it ended.
    pub ending: Ending,
    /// Time from the pedal's first movement to the car's, s; nothing if it never moved.
    pub first_movement_s: Option<f64>,
    /// Every gate, in the order of `timing::GATES`.
    pub gates: Vec<GateTime>,
    /// Trap speeds at 660 and 1320 ft.
    pub traps: Vec<Trap>,
    /// Times between speeds.
    pub rolling: Vec<RollingTime>,
    /// The shifts.
    pub shifts: Vec<Shift>,
    /// The start.
    pub launch: Launch,
    /// Largest values.
    pub peaks: Peaks,
    /// Where the engine's work went.
    pub energy: EnergyAccount,
    /// Time from first movement to the end of the run, s.
    pub duration_s: f64,
    /// Distance covered, m.
    pub distance_m: f64,
    /// Speed at the end, m/s.
    pub final_speed_mps: f64,
    /// Time for which each cause limited the car, s, in the order of `Limit::ALL`, from first movement.
    pub limited_s: [f64; 8],
    /// Air of the run and what it does.
    pub air: AirEffect,
    /// What the solver did.
    pub work: Work,
}

/// One shift.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Shift {
    /// Gear that was left, 1 for first.
    pub from_gear: u8,
    /// When it began, s from first movement.
    pub time_s: f64,
    /// Engine speed when it began, rad/s.
    pub engine_radps: f64,
    /// Road speed when it began, m/s.
    pub speed_mps: f64,
    /// Time from its beginning until the clutch no longer slips, s; nothing if the run ended before.
    pub duration_s: Option<f64>,
    /// Time spent on the limiter in the gear that was left, s.
    pub on_limiter_s: f64,
}

/// How the start went.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Launch {
    /// In one word.
    pub story: Story,
    /// Engine speed held, rad/s.
    pub held_radps: f64,
    /// Engine speed when the clutch began to bite, rad/s.
    pub bite_radps: f64,
    /// Boost share when the clutch began to bite.
    pub bite_boost: f64,
    /// Lowest engine speed between the pedal's first movement and the first shift, rad/s.
    pub lowest_radps: f64,
    /// When the clutch stopped slipping, s from first movement; nothing if it never did.
    pub clutch_home_s: Option<f64>,
    /// Road speed when the clutch stopped slipping, m/s.
    pub clutch_home_mps: Option<f64>,
    /// Time for which driven tyres were past the slip of their peak, whole run, s.
    pub wheelspin_s: f64,
    /// Largest slip speed (tread over road) of a driven tyre, m/s.
    pub largest_slip_mps: f64,
    /// Time for which the front wheels carried nothing, s.
    pub front_lifted_s: f64,
    /// Time for which the driver held back some of the throttle for wheelspin, s.
    pub trimmed_s: f64,
}

/// Largest values of a run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Peaks {
    /// Clutch face, °C.
    pub clutch_face_c: f64,
    /// Clutch mass behind the face, °C.
    pub clutch_mass_c: f64,
    /// Friction heat made in the clutch over the run, J.
    pub clutch_energy_j: f64,
    /// Largest friction power in the clutch, W.
    pub clutch_power_w: f64,
    /// Time for which the clutch slipped under load, s.
    pub clutch_slipping_s: f64,
    /// Torque of all half-shafts together, at axle speed, N·m.
    pub shaft_torque_nm: f64,
    /// The largest torque that the engine can hold there in first gear at full load, N·m, to compare.
    pub steady_shaft_torque_nm: f64,
    /// Acceleration, m/s².
    pub acceleration_mps2: f64,
    /// Engine speed, rad/s.
    pub engine_radps: f64,
}

/// Where the engine's work went, J. `residual_j` is what the solver lost or made: it should be next to nothing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EnergyAccount {
    /// Work of the engine's torque.
    pub engine_work_j: f64,
    /// Kinetic energy that the turning engine had at the beginning.
    pub engine_kinetic_start_j: f64,
    /// Kinetic energy of translation at the end.
    pub translation_j: f64,
    /// Kinetic energy of engine and gearbox at the end.
    pub engine_and_gearbox_j: f64,
    /// Kinetic energy of wheels and final drive at the end.
    pub wheels_j: f64,
    /// Height gained.
    pub height_j: f64,
    /// Aerodynamic drag.
    pub aero_j: f64,
    /// Rolling resistance.
    pub rolling_j: f64,
    /// Tyre slip.
    pub tyre_slip_j: f64,
    /// Clutch slip.
    pub clutch_j: f64,
    /// Gearbox, final drive, synchronisers, damping and differentials.
    pub driveline_j: f64,
    /// Wound up in the shafts at the end.
    pub shafts_j: f64,
    /// Engine work and the engine's energy at the beginning, less all of the others.
    pub residual_j: f64,
}

impl EnergyAccount {
    /// Residual as a share of engine work.
    #[must_use]
    pub fn closure(&self) -> f64 {
        self.residual_j.abs() / self.engine_work_j.abs().max(1.0)
    }
}

/// What the air was and did.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct AirEffect {
    /// Density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Factor on the rated torque.
    pub torque_factor: f64,
    /// Whether the rating standard covers a correction this large.
    pub within_standard: bool,
}

/// What the solver did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Work {
    /// Accepted steps.
    pub steps: u32,
    /// Refused steps.
    pub refused: u32,
    /// Evaluations of the model's derivatives.
    pub evaluations: u32,
    /// Mode switches (each restarts the step).
    pub switches: u32,
}

/// The car at one instant, for charts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sample {
    /// Time from first movement, s; negative before it.
    pub time_s: f64,
    /// Distance, m.
    pub distance_m: f64,
    /// Road speed, m/s.
    pub speed_mps: f64,
    /// Acceleration, m/s².
    pub acceleration_mps2: f64,
    /// Engine speed, rad/s.
    pub engine_radps: f64,
    /// Gearbox input speed, rad/s.
    pub input_radps: f64,
    /// Engine brake torque, N·m.
    pub engine_nm: f64,
    /// Gear, 1 for first; 0 between gears.
    pub gear: u8,
    /// Throttle as the engine has it, 0 to 1.
    pub throttle: f64,
    /// Clutch pedal, 0 pressed to 1 released.
    pub pedal: f64,
    /// Whether the clutch slips.
    pub clutch_slipping: bool,
    /// Torque through the clutch, N·m.
    pub clutch_nm: f64,
    /// Torque of all half-shafts together, N·m.
    pub shaft_nm: f64,
    /// Force of the driven tyres on the road, N.
    pub drive_n: f64,
    /// Force at which the driven tyres would be at their peaks under the loads of this instant, N.
    pub traction_ceiling_n: f64,
    /// Aerodynamic drag, N.
    pub aero_n: f64,
    /// Rolling resistance, N.
    pub rolling_n: f64,
    /// Pull of the slope, N; uphill positive.
    pub slope_n: f64,
    /// Largest slip ratio of the driven tyres (tread over road speed, relative to road speed).
    pub slip: f64,
    /// Tread speed of the fastest driven tyre, m/s.
    pub tread_mps: f64,
    /// Slip at which the driven tyre that slips most has its peak.
    pub peak_slip: f64,
    /// Load on the front axle, N.
    pub front_load_n: f64,
    /// Load on the rear axle, N.
    pub rear_load_n: f64,
    /// Boost share, 0 to 1.
    pub boost: f64,
    /// Clutch face, °C.
    pub clutch_face_c: f64,
    /// Clutch mass, °C.
    pub clutch_mass_c: f64,
    /// What limits the car.
    pub limit: Limit,
}
