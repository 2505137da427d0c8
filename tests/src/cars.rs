//! Cars for checks: invented, complete, every value an ordinary one. No estimate enters here.

use bitepoint_physics::air::{Air, PowerStandard};
use bitepoint_physics::chassis::Chassis;
use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Driveline, Layout, SolidAxle};
use bitepoint_physics::driver::{Driver, ReleaseShape, WheelspinResponse};
use bitepoint_physics::engine::{Boost, Engine, Limiter, Motoring};
use bitepoint_physics::gearbox::{FinalDrive, Gear, Gearbox, ShiftTiming};
use bitepoint_physics::road::{Slope, Surface};
use bitepoint_physics::tyre::{MagicFormula, Tyre};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

/// One revolution per minute in rad/s.
pub const RPM: f64 = core::f64::consts::TAU / 60.0;

/// Torque curve from points in rpm and N·m.
///
/// # Panics
/// If the points do not make a curve.
#[must_use]
pub fn curve(points: &[(f64, f64)]) -> Curve {
    let points: Vec<(f64, f64)> = points.iter().map(|&(rpm, torque_nm)| (rpm * RPM, torque_nm)).collect();
    Curve::new(&points).expect("points of a check rise")
}

/// A tyre of ordinary size; friction as given.
#[must_use]
pub fn tyre(friction: f64) -> Tyre {
    Tyre {
        rolling_radius_m: 0.31,
        wheel_inertia_kgm2: 1.1,
        magic_formula: MagicFormula {
            nominal_load_n: 4000.0,
            pcx1: 1.5,
            pdx1: friction,
            pdx2: -0.06,
            pex1: 0.2,
            pex2: 0.05,
            pex3: -0.02,
            pkx1: 21.0,
            pkx2: -0.2,
            pkx3: 0.2,
            sliding_fall_s_per_m: 0.0,
        },
        relaxation_length_m: 0.22,
        rolling_constant: 0.012,
        rolling_quadratic_s2_per_m2: 2e-6,
    }
}

/// A rear-drive car with a naturally aspirated engine.
#[must_use]
pub fn rear_drive() -> Vehicle {
    Vehicle {
        engine: Engine {
            full_load_nm: curve(&[(800.0, 230.0), (2000.0, 320.0), (4400.0, 400.0), (6000.0, 370.0), (6800.0, 310.0)]),
            motoring: Motoring { constant_nm: 22.0, linear_nm_s: 0.02, quadratic_nm_s2: 5e-5 },
            boost: None,
            inertia_kgm2: 0.22,
            idle_radps: 750.0 * RPM,
            stall_radps: 350.0 * RPM,
            redline_radps: 6800.0 * RPM,
            limiter: Limiter { cut_radps: 6900.0 * RPM, resume_radps: 6800.0 * RPM },
            launch_limiter: None,
            throttle_lag_s: 0.06,
            rated_to: PowerStandard::SaeJ1349,
            air_correction_share: 1.0,
        },
        clutch: Clutch {
            friction_coefficient: 0.3,
            effective_radius_m: 0.1,
            faces: 2.0,
            clamp_n: 9500.0,
            bite_point: 0.35,
            working_band: 0.35,
            fade_start_c: 260.0,
            fade_span_k: 200.0,
            fade_floor: 0.35,
            harm_c: 370.0,
            face_capacity_j_per_k: 500.0,
            mass_capacity_j_per_k: 4500.0,
            face_to_mass_w_per_k: 1200.0,
            mass_to_air_w_per_k: 8.0,
        },
        gearbox: Gearbox {
            gears: [3.6, 2.2, 1.5, 1.15, 0.9, 0.72]
                .map(|ratio| Gear { ratio, efficiency: 0.965, inertia_kgm2: 0.004 })
                .to_vec(),
            input_inertia_kgm2: 0.012,
            final_drive: FinalDrive { ratio: 3.5, efficiency: 0.965, inertia_kgm2: 0.25 },
            shift: ShiftTiming { clutch_out_s: 0.1, change_s: 0.2, clutch_in_s: 0.15 },
        },
        driveline: Driveline {
            layout: Layout::Rear,
            stiffness_nm_per_rad: 9000.0,
            damping_nm_s_per_rad: 90.0,
            lash_rad: 0.03,
            front_differential: Differential::Open,
            rear_differential: Differential::LimitedSlip { preload_nm: 60.0, bias_ratio: 2.2 },
            solid_rear_axle: None,
        },
        front_tyre: tyre(1.02),
        rear_tyre: tyre(1.05),
        chassis: Chassis {
            mass_kg: 1620.0,
            wheelbase_m: 2.72,
            cg_height_m: 0.52,
            front_weight_share: 0.53,
            drag_area_m2: 0.68,
            front_lift_area_m2: 0.08,
            rear_lift_area_m2: 0.06,
            pitch_frequency_hz: 1.5,
            pitch_damping_ratio: 0.3,
        },
    }
}

/// A small front-drive car.
#[must_use]
pub fn front_drive() -> Vehicle {
    let mut car = rear_drive();
    car.engine.full_load_nm =
        curve(&[(800.0, 95.0), (2000.0, 135.0), (4200.0, 160.0), (6200.0, 145.0), (6900.0, 120.0)]);
    car.engine.inertia_kgm2 = 0.13;
    car.engine.motoring = Motoring { constant_nm: 12.0, linear_nm_s: 0.012, quadratic_nm_s2: 2e-5 };
    car.clutch.clamp_n = 4000.0;
    car.gearbox.gears =
        [3.5, 1.95, 1.35, 1.03, 0.82].map(|ratio| Gear { ratio, efficiency: 0.97, inertia_kgm2: 0.002 }).to_vec();
    car.gearbox.input_inertia_kgm2 = 0.006;
    car.gearbox.final_drive = FinalDrive { ratio: 4.1, efficiency: 0.975, inertia_kgm2: 0.1 };
    car.driveline.layout = Layout::Front;
    car.driveline.rear_differential = Differential::Open;
    car.chassis.mass_kg = 1180.0;
    car.chassis.front_weight_share = 0.62;
    car.chassis.wheelbase_m = 2.5;
    for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
        tyre.rolling_radius_m = 0.29;
        tyre.wheel_inertia_kgm2 = 0.8;
        tyre.magic_formula.nominal_load_n = 3000.0;
        tyre.magic_formula.pdx1 = 0.95;
    }
    car
}

/// An all-wheel-drive car with a turbocharged engine.
#[must_use]
pub fn all_wheel_drive() -> Vehicle {
    let mut car = rear_drive();
    car.engine.full_load_nm =
        curve(&[(800.0, 150.0), (1800.0, 280.0), (2800.0, 400.0), (4800.0, 400.0), (6000.0, 360.0), (6800.0, 290.0)]);
    car.engine.boost = Some(Boost {
        off_boost_nm: curve(&[(800.0, 140.0), (2000.0, 190.0), (4500.0, 210.0), (6800.0, 160.0)]),
        time_constant_s: 0.45,
        reference_radps: 3500.0 * RPM,
    });
    car.engine.inertia_kgm2 = 0.17;
    car.engine.air_correction_share = 0.4;
    car.driveline.layout =
        Layout::All { front_share: 0.45, centre: Differential::LimitedSlip { preload_nm: 80.0, bias_ratio: 2.5 } };
    car.driveline.rear_differential = Differential::Open;
    car.driveline.stiffness_nm_per_rad = 13_000.0;
    car.chassis.mass_kg = 1560.0;
    car.chassis.front_weight_share = 0.59;
    car.gearbox.final_drive.inertia_kgm2 = 0.4;
    car
}

/// The rear-drive car on a solid axle with an open differential.
#[must_use]
pub fn solid_axle() -> Vehicle {
    let mut car = rear_drive();
    car.driveline.rear_differential = Differential::Open;
    car.driveline.solid_rear_axle = Some(SolidAxle { track_m: 1.5, front_roll_stiffness_share: 0.8 });
    car
}

/// A level dry road in standard air, driven at `held_rpm` without an answer to wheelspin.
#[must_use]
pub fn dry(held_rpm: f64) -> Scenario {
    Scenario {
        slope: Slope::Constant { rise_per_run: 0.0 },
        surface: Surface {
            friction_scale: 1.0,
            slip_stiffness_scale: 1.0,
            rolling_resistance_scale: 1.0,
            right_to_left_friction: 1.0,
        },
        air: Air { temperature_c: 25.0, pressure_pa: 99_000.0, relative_humidity: 0.0 },
        headwind_mps: 0.0,
        clutch_start_c: 60.0,
        driver: Driver {
            held_radps: held_rpm * RPM,
            kept_radps: 1500.0 * RPM,
            release_s: 0.7,
            release_shape: ReleaseShape::Straight,
            throttle_ease_s: 0.5,
            part_throttle: None,
            throttle_lead_s: 0.0,
            wheelspin: WheelspinResponse::None,
            clutch_feel: None,
            shift_at_radps: vec![6700.0 * RPM],
            shift_reaction_s: 0.0,
            shift_time_factor: 1.0,
            lifts_to_shift: true,
        },
        rollout_m: 0.3048,
        finish: Finish::Distance { distance_m: 402.336 },
        time_limit_s: 60.0,
    }
}

/// The same on a wet road.
#[must_use]
pub fn wet(held_rpm: f64) -> Scenario {
    let mut scenario = dry(held_rpm);
    scenario.surface.friction_scale = 0.6;
    scenario.surface.slip_stiffness_scale = 0.8;
    scenario
}
