//! Constants of a run by which the inner loop would otherwise divide or multiply at every evaluation.

use crate::driveline::Differential;
use crate::driver::WheelspinResponse;
use crate::road::Slope;
use crate::shape::Shape;
use crate::vehicle::{Scenario, Vehicle};

/// What one gear makes of ratios, losses and inertias.
#[derive(Debug, Clone, Copy)]
pub(crate) struct InGear {
    /// Engine speed over axle speed.
    pub ratio: f64,
    /// Share of power that passes: backwards, forwards.
    pub passed: [f64; 2],
    /// Inertia at the input: clutch slipping, clutch locked, kg·m².
    pub inertia_kgm2: [f64; 2],
    /// One over the inertia that turns with the final drive, 1/(kg·m²): by clutch locked, then by power forwards.
    pub per_axle_inertia: [[f64; 2]; 2],
    /// One over the inertia at the input in neutral, 1/(kg·m²).
    pub per_input_inertia: f64,
}

/// Speed difference at which the friction of a limited-slip differential is at 71 % of its capacity, rad/s:
/// its friction is rounded so that it has no jump at zero.
const ROUNDING_RADPS: f64 = 0.2;

/// Friction between the outputs of a limited-slip differential.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Friction {
    /// Capacity with no load, N·m.
    pub preload_nm: f64,
    /// Its growth with the torque that goes in.
    pub gain: f64,
}

impl Friction {
    /// Torque (N·m) at a speed difference, with its slope; it flows to the slower output.
    #[inline(always)]
    pub(crate) fn torque_and_slope(&self, input_nm: f64, difference_radps: f64) -> (f64, f64) {
        let half = 0.5 * (self.preload_nm + self.gain * input_nm.abs());
        let x = difference_radps * (1.0 / ROUNDING_RADPS);
        let per_root = 1.0 / (1.0 + x * x).sqrt();
        (half * x * per_root, half * (1.0 / ROUNDING_RADPS) * per_root * per_root * per_root)
    }
}

/// Constants of a run.
#[derive(Debug, Clone)]
pub(crate) struct Constants {
    pub gears: Vec<InGear>,
    /// 1/s.
    pub per_throttle_lag: f64,
    /// One over the lag of felt slip, 1/s; nothing for a driver who does not trim.
    pub per_slip_lag: f64,
    /// One over the lag of felt revs, 1/s; nothing for a driver who does not keep them.
    pub per_revs_lag: f64,
    /// Clutch torque that the driver adds per rad/s of felt revs over those kept, N·m·s.
    pub recovery_nm_s: f64,
    /// One over boost's reference speed and time constant, 1/rad; nothing without boost.
    pub per_boost_lag_rad: f64,
    /// One over the heat capacity of the clutch's face and mass, K/J.
    pub per_face_capacity: f64,
    pub per_mass_capacity: f64,
    /// 1/(kg·m²).
    pub per_engine_inertia: f64,
    /// 1/(kg·m²), of the final drive alone.
    pub per_axle_inertia: f64,
    /// Torque of a cool, fully clamped clutch, N·m.
    pub clutch_nm: f64,
    /// One over the mass of translation with the wheels that only roll, 1/kg.
    pub per_rolling_mass: f64,
    /// Load transfer over the acceleration that it balances, kg.
    pub transfer_kg: f64,
    /// Load that a solid rear axle moves from right to left over the torque on it, N per N·m.
    pub reaction_n_per_nm: f64,
    /// Friction of the differentials: centre, front, rear; nothing where they turn freely or not at all.
    pub friction: [Option<Friction>; 3],
    /// The tyres' outer function: front, rear.
    pub shapes: [Shape; 2],
    /// Sine and cosine of the road's angle where it is the same everywhere.
    pub slope: Option<(f64, f64)>,
}

impl Constants {
    pub(crate) fn new(vehicle: &Vehicle, scenario: &Scenario, rolling_mass_kg: f64) -> Self {
        let gearbox = &vehicle.gearbox;
        let axle = gearbox.final_drive.inertia_kgm2;
        let engine = vehicle.engine.inertia_kgm2;
        let in_gear = |gear: usize| {
            let ratio = gearbox.overall_ratio(gear);
            let efficiency = gearbox.overall_efficiency(gear);
            let input = gearbox.input_inertia_kgm2 + gearbox.gears[gear].inertia_kgm2;
            let passed = [1.0 / efficiency, efficiency];
            let inertia_kgm2 = [input, engine + input];
            InGear {
                ratio,
                passed,
                inertia_kgm2,
                per_axle_inertia: inertia_kgm2
                    .map(|inertia| passed.map(|p| 1.0 / (axle + p * ratio * ratio * inertia))),
                per_input_inertia: 1.0 / input,
            }
        };
        Self {
            gears: (0..gearbox.gears.len()).map(in_gear).collect(),
            per_slip_lag: match scenario.driver.wheelspin {
                WheelspinResponse::Trimmed(trim) => 1.0 / trim.lag_s,
                WheelspinResponse::None | WheelspinResponse::Ideal => 0.0,
            },
            per_revs_lag: scenario.driver.clutch_feel.map_or(0.0, |feel| 1.0 / feel.lag_s),
            recovery_nm_s: scenario
                .driver
                .clutch_feel
                .map_or(0.0, |feel| engine / feel.recovery_s(vehicle.clutch.working_band)),
            per_throttle_lag: 1.0 / vehicle.engine.throttle_lag_s,
            per_boost_lag_rad: vehicle
                .engine
                .boost
                .as_ref()
                .map_or(0.0, |boost| 1.0 / (boost.reference_radps * boost.time_constant_s)),
            per_face_capacity: 1.0 / vehicle.clutch.face_capacity_j_per_k,
            per_mass_capacity: 1.0 / vehicle.clutch.mass_capacity_j_per_k,
            per_engine_inertia: 1.0 / engine,
            per_axle_inertia: 1.0 / axle,
            clutch_nm: vehicle.clutch.full_capacity_nm(),
            per_rolling_mass: 1.0 / rolling_mass_kg,
            transfer_kg: vehicle.chassis.steady_transfer_n(1.0, 0.0),
            reaction_n_per_nm: vehicle
                .driveline
                .solid_rear_axle
                .map_or(0.0, |axle| axle.front_roll_stiffness_share / (gearbox.final_drive.ratio * axle.track_m)),
            friction: [
                vehicle.centre_differential(),
                vehicle.driveline.front_differential,
                vehicle.driveline.rear_differential,
            ]
            .map(|differential| {
                let limited = matches!(differential, Differential::LimitedSlip { .. });
                let preload_nm = differential.friction_capacity_nm(0.0);
                limited.then(|| Friction { preload_nm, gain: differential.friction_capacity_nm(1.0) - preload_nm })
            }),
            shapes: shapes(vehicle),
            slope: match scenario.slope {
                Slope::Constant { .. } => Some(angle(&scenario.slope, 0.0)),
                Slope::Profile { .. } => None,
            },
        }
    }
}

/// Tables of the driven axles' tyres: one where one does, since a table costs as much as some steps.
fn shapes(vehicle: &Vehicle) -> [Shape; 2] {
    let (front, rear) = (vehicle.front_tyre.magic_formula.pcx1, vehicle.rear_tyre.magic_formula.pcx1);
    if vehicle.drives_front() && vehicle.drives_rear() && front != rear {
        return [Shape::new(front), Shape::new(rear)];
    }
    let shape = Shape::new(if vehicle.drives_front() { front } else { rear });
    [shape.clone(), shape]
}

/// Sine and cosine of the road's angle at a distance from the start, m.
#[inline]
pub(crate) fn angle(slope: &Slope, distance_m: f64) -> (f64, f64) {
    let sine = slope.sine(distance_m);
    (sine, (1.0 - sine * sine).sqrt())
}
