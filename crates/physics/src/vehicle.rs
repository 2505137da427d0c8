//! The whole car, and the conditions of a run.

use crate::air::Air;
use crate::chassis::Chassis;
use crate::clutch::Clutch;
use crate::driveline::{Differential, Driveline, Layout};
use crate::driver::Driver;
use crate::engine::Engine;
use crate::gearbox::Gearbox;
use crate::road::{Slope, Surface};
use crate::tyre::Tyre;

/// A car, every value known.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    /// Engine.
    pub engine: Engine,
    /// Clutch.
    pub clutch: Clutch,
    /// Gearbox and final drive.
    pub gearbox: Gearbox,
    /// Driveline and differentials.
    pub driveline: Driveline,
    /// A front tyre.
    pub front_tyre: Tyre,
    /// A rear tyre.
    pub rear_tyre: Tyre,
    /// Body.
    pub chassis: Chassis,
}

/// What a run meets and how it is driven.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Slope along the path.
    pub slope: Slope,
    /// Surface.
    pub surface: Surface,
    /// Air.
    pub air: Air,
    /// Wind against the car, m/s; a tail wind is negative.
    pub headwind_mps: f64,
    /// Clutch temperature at the start, °C.
    pub clutch_start_c: f64,
    /// Driver.
    pub driver: Driver,
    /// Distance that the car rolls before the clock starts, m, for the times "with rollout".
    pub rollout_m: f64,
    /// What ends the run.
    pub finish: Finish,
    /// The run is given up after this long, s.
    pub time_limit_s: f64,
}

/// What ends a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Finish {
    /// Distance from the start, m.
    Distance {
        /// m.
        distance_m: f64,
    },
    /// Road speed, m/s.
    Speed {
        /// m/s.
        speed_mps: f64,
    },
}

impl Vehicle {
    /// Whether the front axle is driven.
    #[must_use]
    pub fn drives_front(&self) -> bool {
        !matches!(self.driveline.layout, Layout::Rear)
    }

    /// Whether the rear axle is driven.
    #[must_use]
    pub fn drives_rear(&self) -> bool {
        !matches!(self.driveline.layout, Layout::Front)
    }

    /// Share of the driving torque that goes to the front axle while the centre differential turns freely.
    #[must_use]
    pub fn front_torque_share(&self) -> f64 {
        match self.driveline.layout {
            Layout::Front => 1.0,
            Layout::Rear => 0.0,
            Layout::All { front_share, .. } => front_share,
        }
    }

    /// Differential between the axles; open where only one is driven.
    #[must_use]
    pub fn centre_differential(&self) -> Differential {
        match self.driveline.layout {
            Layout::All { centre, .. } => centre,
            Layout::Front | Layout::Rear => Differential::Open,
        }
    }
}
