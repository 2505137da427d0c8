//! A car with one of its parts changed, to see what a residual comes from.

use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::best_launch::Tester;

/// What is changed.
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
    /// The driver answers wheelspin without delay ("ideal" in a scenario).
    WheelspinAnswer,
    /// The driver always lifts for wheelspin, as a scenario's default driver does.
    AlwaysLifts,
    /// The driver holds 2000 rpm at most, about where a torque converter stalls (common practice).
    LowRevs,
    /// Sliding friction is nine tenths of peak friction.
    Sliding,
    /// Tyres of the grade "track".
    TrackTyres,
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
    pub const ALL: [Self; 14] = [
        Self::None,
        Self::Shifts,
        Self::Grip,
        Self::AllWheels,
        Self::WheelspinAnswer,
        Self::AlwaysLifts,
        Self::LowRevs,
        Self::Sliding,
        Self::TrackTyres,
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
            Self::AlwaysLifts => "always lifts for wheelspin",
            Self::LowRevs => "holds 2000 rpm at most",
            Self::Sliding => "sliding 0.9 of peak",
            Self::TrackTyres => "track tyres",
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
            Self::Sliding => file.with("tyres.sliding_share", "0.9").expect("a share within its range"),
            Self::TrackTyres => file.with("tyres.grade", "track").expect("a grade"),
            _ => file.clone(),
        }
    }

    /// What the tester may try.
    #[must_use]
    pub fn tester(self) -> Tester {
        match self {
            Self::AlwaysLifts | Self::WheelspinAnswer => Tester { may_keep_foot_down: false, ..Tester::FREE },
            Self::LowRevs => Tester { most_held_radps: 2000.0 * core::f64::consts::TAU / 60.0, ..Tester::FREE },
            _ => Tester::FREE,
        }
    }

    /// The rest, in the resolved car and scenario.
    pub fn apply(self, vehicle: &mut Vehicle, scenario: &mut Scenario) {
        match self {
            Self::None | Self::AllWheels | Self::Sliding | Self::TrackTyres | Self::AlwaysLifts | Self::LowRevs => {}
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
