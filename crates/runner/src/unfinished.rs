//! Why a run did not reach its finish, as far as that can be told.

use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::run::{Ending, Run};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

/// What kept a car from its finish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unfinished {
    /// First gear at full load gives less force than slope and rolling resistance take, both N.
    TooLittleTorque {
        /// Largest driving force in first gear.
        force_n: f64,
        /// What slope and rolling resistance take.
        resistance_n: f64,
    },
    /// The clutch slips before it carries what it takes to move, both N·m at the clutch.
    ClutchTooWeak {
        /// What a cool, clamped clutch carries.
        capacity_nm: f64,
        /// What it takes to hold against slope and rolling resistance.
        needed_nm: f64,
    },
    /// The tyres give less than slope and rolling resistance take, both N.
    TooLittleGrip {
        /// Peak force of the driven tyres, standing.
        force_n: f64,
        /// What slope and rolling resistance take.
        resistance_n: f64,
    },
    /// The engine was dragged below its stall speed by a clutch that came in faster than it could pull.
    Stalled,
    /// The car rolled backwards.
    RolledBack,
    /// The finish lies beyond what the car reaches in the time.
    OutOfTime,
}

/// Why this run ended short of its finish; nothing if it did not.
#[must_use]
pub fn unfinished(vehicle: &Vehicle, scenario: &Scenario, run: &Run) -> Option<Unfinished> {
    if run.ending == Ending::Finished {
        return None;
    }
    let chassis = &vehicle.chassis;
    let sine = scenario.slope.sine(0.0);
    let cosine = (1.0 - sine * sine).sqrt();
    let weight_n = chassis.mass_kg * GRAVITY_MPS2;
    let (front_n, rear_n) = chassis.axle_loads(chassis.steady_transfer_n(0.0, GRAVITY_MPS2 * sine), 0.0, cosine);
    let rolling_n = scenario.surface.rolling_resistance_scale
        * (vehicle.front_tyre.rolling_constant * front_n + vehicle.rear_tyre.rolling_constant * rear_n);
    let resistance_n = weight_n * sine + rolling_n;
    let tyre = if vehicle.drives_rear() { &vehicle.rear_tyre } else { &vehicle.front_tyre };
    let leverage = vehicle.gearbox.overall_ratio(0) * vehicle.gearbox.overall_efficiency(0) / tyre.rolling_radius_m;
    let engine = &vehicle.engine;
    let air_factor = engine.rated_to.torque_factor(&scenario.air, engine.air_correction_share);
    let force_n = air_factor * engine.full_load_nm.largest(200, |_, torque| torque).1 * leverage;
    let capacity_nm = vehicle.clutch.full_capacity_nm();
    let grip = |driven: bool, tyre: &bitepoint_physics::tyre::Tyre, load: f64| {
        if driven { tyre.magic_formula.peak_friction(0.5 * load, &scenario.surface) * load } else { 0.0 }
    };
    let grip_n = grip(vehicle.drives_front(), &vehicle.front_tyre, front_n)
        + grip(vehicle.drives_rear(), &vehicle.rear_tyre, rear_n);
    Some(if force_n < resistance_n {
        Unfinished::TooLittleTorque { force_n, resistance_n }
    } else if grip_n < resistance_n {
        Unfinished::TooLittleGrip { force_n: grip_n, resistance_n }
    } else if capacity_nm * leverage < resistance_n {
        Unfinished::ClutchTooWeak { capacity_nm, needed_nm: resistance_n / leverage }
    } else {
        match run.ending {
            Ending::Stalled => Unfinished::Stalled,
            Ending::RolledBack => Unfinished::RolledBack,
            Ending::OutOfTime | Ending::Finished => Unfinished::OutOfTime,
        }
    })
}
