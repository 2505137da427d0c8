//! A car with one of its parts idealised, to see what a residual comes from.

use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

/// What is idealised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Nothing: the car as estimated.
    None,
    /// Shifts take next to no time.
    Shifts,
    /// The tyres grip three times as hard, at the same slip.
    Grip,
    /// All wheels are driven.
    AllWheels,
    /// The driver holds slip at its best without delay.
    WheelspinAnswer,
    /// Boost is there at once.
    Boost,
    /// No losses between gearbox and wheels.
    Driveline,
    /// Half of the engine's inertia.
    EngineInertia,
    /// No aerodynamic drag.
    Drag,
    /// No rolling resistance.
    Rolling,
}

impl Part {
    /// All of them, the car as estimated first.
    pub const ALL: [Self; 10] = [
        Self::None,
        Self::Shifts,
        Self::Grip,
        Self::AllWheels,
        Self::WheelspinAnswer,
        Self::Boost,
        Self::Driveline,
        Self::EngineInertia,
        Self::Drag,
        Self::Rolling,
    ];

    /// What it is called in tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "as estimated",
            Self::Shifts => "shifts in no time",
            Self::Grip => "three times the grip",
            Self::AllWheels => "all wheels driven",
            Self::WheelspinAnswer => "ideal answer to wheelspin",
            Self::Boost => "boost at once",
            Self::Driveline => "no driveline loss",
            Self::EngineInertia => "half the engine inertia",
            Self::Drag => "no air drag",
            Self::Rolling => "no rolling resistance",
        }
    }

    /// The file with what a file can say of it.
    ///
    /// # Panics
    /// If the file cannot take it.
    #[must_use]
    pub fn in_file(self, file: &VehicleFile) -> VehicleFile {
        match self {
            Self::AllWheels => file.with("driven_axle", "all").expect("every sheet can have all wheels driven"),
            _ => file.clone(),
        }
    }

    /// The rest, in the resolved car and scenario.
    pub fn apply(self, vehicle: &mut Vehicle, scenario: &mut Scenario) {
        match self {
            Self::None | Self::AllWheels => {}
            Self::Shifts => {
                let shift = &mut vehicle.gearbox.shift;
                (shift.clutch_out_s, shift.change_s, shift.clutch_in_s) = (0.01, 0.01, 0.01);
                scenario.driver.shift_reaction_s = 0.0;
            }
            Self::Grip => {
                scenario.surface.friction_scale *= 3.0;
                scenario.surface.slip_stiffness_scale *= 3.0;
            }
            Self::WheelspinAnswer => scenario.driver.wheelspin = WheelspinResponse::Ideal,
            Self::Boost => vehicle.engine.boost = None,
            Self::Driveline => {
                vehicle.gearbox.final_drive.efficiency = 1.0;
                vehicle.gearbox.gears.iter_mut().for_each(|gear| gear.efficiency = 1.0);
            }
            Self::EngineInertia => vehicle.engine.inertia_kgm2 *= 0.5,
            Self::Drag => vehicle.chassis.drag_area_m2 = 0.0,
            Self::Rolling => scenario.surface.rolling_resistance_scale = 0.0,
        }
    }
}
