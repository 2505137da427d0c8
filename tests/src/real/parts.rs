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
    /// The tyres grip harder by so many tenths.
    GripByTenths(u8),
    /// All wheels are driven.
    AllWheels,
    /// The driver answers wheelspin without delay ("ideal" in a scenario).
    WheelspinAnswer,
    /// The driver always lifts for wheelspin, as a scenario's default driver does.
    AlwaysLifts,
    /// The driver goes straight to the floor instead of holding a part throttle first.
    NoPartThrottle,
    /// The driver spares the driveline: no start that loads the shafts by over a fifth more than full throttle in first gear does.
    SparesShafts,
    /// The driver holds 2000 rpm at most, about where a torque converter stalls (common practice).
    LowRevs,
    /// Sliding friction is nine tenths of peak friction.
    Sliding,
    /// Tyres of the grade "track".
    TrackTyres,
    /// The same, and half of the weight in front.
    SportsCar,
    /// Boost is there at once.
    Boost,
    /// No losses between gearbox and wheels.
    Driveline,
    /// Half of the engine's inertia.
    EngineInertia,
    /// A clutch of 1.2 times peak torque, the least that is common.
    Clutch,
    /// No aerodynamic drag.
    Drag,
    /// No rolling resistance.
    Rolling,
}

impl Part {
    /// All of them but the graded one, the car as estimated first.
    pub const ALL: [Self; 18] = [
        Self::None,
        Self::Shifts,
        Self::Grip,
        Self::AllWheels,
        Self::WheelspinAnswer,
        Self::AlwaysLifts,
        Self::NoPartThrottle,
        Self::SparesShafts,
        Self::LowRevs,
        Self::Sliding,
        Self::TrackTyres,
        Self::SportsCar,
        Self::Boost,
        Self::Driveline,
        Self::EngineInertia,
        Self::Clutch,
        Self::Drag,
        Self::Rolling,
    ];

    /// What it is called in tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "as estimated",
            Self::Shifts => "shifts in no time",
            Self::GripByTenths(_) => "more grip",
            Self::Grip => "three times the grip",
            Self::AllWheels => "all wheels driven",
            Self::WheelspinAnswer => "ideal answer to wheelspin",
            Self::AlwaysLifts => "always lifts for wheelspin",
            Self::NoPartThrottle => "no part throttle",
            Self::SparesShafts => "spares the driveline",
            Self::LowRevs => "holds 2000 rpm at most",
            Self::Sliding => "sliding 0.9 of peak",
            Self::TrackTyres => "track tyres",
            Self::SportsCar => "track tyres, half in front",
            Self::Boost => "boost at once",
            Self::Driveline => "no driveline loss",
            Self::EngineInertia => "half the engine inertia",
            Self::Clutch => "clutch of 1.2 times torque",
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
            Self::SportsCar => file
                .with("tyres.grade", "track")
                .and_then(|file| file.with("chassis.front_weight_share", "0.5"))
                .expect("a grade and a share within its range"),
            _ => file.clone(),
        }
    }

    /// What the tester may try.
    #[must_use]
    pub fn tester(self) -> Tester {
        match self {
            Self::AlwaysLifts | Self::WheelspinAnswer => Tester { may_keep_foot_down: false, ..Tester::FREE },
            Self::NoPartThrottle => Tester { may_hold_part_throttle: false, ..Tester::FREE },
            Self::SparesShafts => Tester { most_shaft_share: 1.2, ..Tester::FREE },
            Self::LowRevs => Tester { most_held_radps: 2000.0 * core::f64::consts::TAU / 60.0, ..Tester::FREE },
            _ => Tester::FREE,
        }
    }

    /// The rest, in the resolved car and scenario.
    pub fn apply(self, vehicle: &mut Vehicle, scenario: &mut Scenario) {
        match self {
            Self::None
            | Self::AllWheels
            | Self::Sliding
            | Self::TrackTyres
            | Self::SportsCar
            | Self::AlwaysLifts
            | Self::NoPartThrottle
            | Self::SparesShafts
            | Self::LowRevs => {}
            Self::Shifts => {
                let shift = &mut vehicle.gearbox.shift;
                (shift.clutch_out_s, shift.change_s, shift.clutch_in_s) = (0.01, 0.01, 0.01);
                scenario.driver.shift_reaction_s = 0.0;
            }
            Self::Grip => {
                scenario.surface.friction_scale *= 3.0;
                scenario.surface.slip_stiffness_scale *= 3.0;
            }
            Self::GripByTenths(tenths) => scenario.surface.friction_scale *= 1.0 + 0.1 * f64::from(tenths),
            Self::WheelspinAnswer => scenario.driver.wheelspin = WheelspinResponse::Ideal,
            Self::Boost => vehicle.engine.boost = None,
            Self::Driveline => {
                vehicle.gearbox.final_drive.efficiency = 1.0;
                vehicle.gearbox.gears.iter_mut().for_each(|gear| gear.efficiency = 1.0);
            }
            Self::EngineInertia => vehicle.engine.inertia_kgm2 *= 0.5,
            // The estimate is 1.4 times.
            Self::Clutch => vehicle.clutch.clamp_n *= 1.2 / 1.4,
            Self::Drag => vehicle.chassis.drag_area_m2 = 0.0,
            Self::Rolling => scenario.surface.rolling_resistance_scale = 0.0,
        }
    }
}
