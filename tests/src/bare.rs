//! Cars with parts switched off, so that a closed form is all that is left of them.
//!
//! Nothing is left out of the simulator: a part is switched off by a value that makes its effect too small to see (a shaft a
//! thousand times too stiff, a clutch that takes no heat), or, for what turns, small and counted with the mass.

use bitepoint_physics::air::{Air, PowerStandard};
use bitepoint_physics::chassis::Chassis;
use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Driveline, Layout};
use bitepoint_physics::driver::{Driver, ReleaseShape, WheelspinResponse};
use bitepoint_physics::engine::{Engine, Limiter, Motoring};
use bitepoint_physics::gearbox::{FinalDrive, Gear, Gearbox, ShiftTiming};
use bitepoint_physics::road::{Slope, Surface};
use bitepoint_physics::tyre::{MagicFormula, Tyre};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

/// Engine speed over wheel speed of a bare car.
pub const RATIO: f64 = 10.0;
/// Its rolling radius, m.
pub const RADIUS_M: f64 = 0.3;
/// Inertia of a bare wheel and of a bare final drive, kg·m².
pub const SMALL_KGM2: f64 = 0.01;
/// Inertia of a bare gearbox input and engine, kg·m².
pub const SMALL_AT_INPUT_KGM2: f64 = 1e-4;
/// Density that the bare scenario's air is checked to have, kg/m³.
pub const DENSITY_KG_PER_M3: f64 = 1.2;

/// The same torque at every speed.
///
/// # Panics
/// If the torque is not a number.
#[must_use]
pub fn flat(torque_nm: f64) -> Curve {
    Curve::new(&[(0.0, torque_nm), (1e5, torque_nm)]).expect("two points make a curve")
}

/// A tyre that hardly slips and does not roll with resistance.
#[must_use]
pub fn grippy_tyre() -> Tyre {
    Tyre {
        rolling_radius_m: RADIUS_M,
        wheel_inertia_kgm2: SMALL_KGM2,
        magic_formula: MagicFormula {
            nominal_load_n: 4000.0,
            pcx1: 1.5,
            pdx1: 1e4,
            pdx2: 0.0,
            pex1: 0.0,
            pex2: 0.0,
            pex3: 0.0,
            pkx1: 1e6,
            pkx2: 0.0,
            pkx3: 0.0,
            sliding_fall_s_per_m: 0.0,
        },
        relaxation_length_m: 0.01,
        rolling_constant: 0.0,
        rolling_quadratic_s2_per_m2: 0.0,
    }
}

/// A tyre with one friction coefficient: its force rises with slip to `friction` times load and stays there.
#[must_use]
pub fn sliding_tyre(friction: f64) -> Tyre {
    let mut tyre = grippy_tyre();
    // Shape 1 makes the curve x/√(1 + x²): no peak, no fall.
    tyre.magic_formula.pcx1 = 1.0;
    tyre.magic_formula.pdx1 = friction;
    tyre.magic_formula.pkx1 = 1000.0 * friction;
    tyre
}

/// A rear-drive mass on rigid shafts in one gear. No drag, no rolling resistance, no losses, no friction in the engine.
#[must_use]
pub fn car(mass_kg: f64) -> Vehicle {
    Vehicle {
        engine: Engine {
            full_load_nm: flat(0.0),
            motoring: Motoring { constant_nm: 1e-9, linear_nm_s: 0.0, quadratic_nm_s2: 0.0 },
            boost: None,
            inertia_kgm2: SMALL_AT_INPUT_KGM2,
            idle_radps: 1e-3,
            stall_radps: -1e6,
            redline_radps: 1e6,
            limiter: Limiter { cut_radps: 1e6, resume_radps: 0.9e6 },
            launch_limiter: None,
            throttle_lag_s: 1e-3,
            rated_to: PowerStandard::Uncorrected,
            air_correction_share: 0.0,
        },
        clutch: Clutch {
            friction_coefficient: 0.5,
            effective_radius_m: 1.0,
            faces: 2.0,
            clamp_n: 1e6,
            bite_point: 0.0,
            working_band: 1.0,
            fade_start_c: 1e9,
            fade_span_k: 1.0,
            fade_floor: 1.0,
            harm_c: 1e9,
            face_capacity_j_per_k: 1e12,
            mass_capacity_j_per_k: 1e12,
            face_to_mass_w_per_k: 0.0,
            mass_to_air_w_per_k: 0.0,
        },
        gearbox: Gearbox {
            gears: vec![Gear { ratio: 2.5, efficiency: 1.0, inertia_kgm2: 0.0 }],
            input_inertia_kgm2: SMALL_AT_INPUT_KGM2,
            final_drive: FinalDrive { ratio: RATIO / 2.5, efficiency: 1.0, inertia_kgm2: SMALL_KGM2 },
            shift: ShiftTiming { clutch_out_s: 1e-3, change_s: 1e-3, clutch_in_s: 1e-3 },
        },
        driveline: Driveline {
            layout: Layout::Rear,
            stiffness_nm_per_rad: 1e7,
            damping_nm_s_per_rad: 2e3,
            lash_rad: 0.0,
            front_differential: Differential::Open,
            rear_differential: Differential::Open,
            solid_rear_axle: None,
        },
        front_tyre: grippy_tyre(),
        rear_tyre: grippy_tyre(),
        chassis: Chassis {
            mass_kg,
            wheelbase_m: 2.6,
            cg_height_m: 0.0,
            front_weight_share: 0.5,
            drag_area_m2: 0.0,
            front_lift_area_m2: 0.0,
            rear_lift_area_m2: 0.0,
            pitch_frequency_hz: 5.0,
            pitch_damping_ratio: 1.0,
        },
    }
}

/// Mass that a force at the tread moves: the car's and that of what turns with the gearbox input in first gear, kg.
///
/// The engine is not in it: it turns with the input only once the clutch has locked.
#[must_use]
pub fn moved_mass_kg(car: &Vehicle) -> f64 {
    let gearbox = &car.gearbox;
    let input_kgm2 = gearbox.input_inertia_kgm2 + gearbox.gears[0].inertia_kgm2;
    let ratio = gearbox.overall_ratio(0);
    let wheels = |tyre: &Tyre| 2.0 * tyre.wheel_inertia_kgm2 / (tyre.rolling_radius_m * tyre.rolling_radius_m);
    let radius_m = car.rear_tyre.rolling_radius_m;
    car.chassis.mass_kg
        + wheels(&car.front_tyre)
        + wheels(&car.rear_tyre)
        + (gearbox.final_drive.inertia_kgm2 + input_kgm2 * ratio * ratio) / (radius_m * radius_m)
}

/// The bare car at whose mass [`moved_mass_kg`] is `moved_kg`.
#[must_use]
pub fn car_that_moves(moved_kg: f64) -> Vehicle {
    let mut car = car(moved_kg);
    car.chassis.mass_kg -= moved_mass_kg(&car) - moved_kg;
    car
}

/// A car of this [`moved_mass_kg`] pulled by a constant force: a flywheel far too heavy to slow down behind a clutch that slips all the way.
#[must_use]
pub fn pulled(moved_kg: f64, force_n: f64) -> Vehicle {
    let mut car = car_that_moves(moved_kg);
    car.engine.inertia_kgm2 = 1e6;
    // Friction 0.5, radius 1 m and two faces: clamp in N is capacity in N·m.
    car.clutch.clamp_n = force_n * RADIUS_M / RATIO;
    car
}

/// A car of this [`moved_mass_kg`] with a clutch that locks at once, on an engine with this full-load torque.
#[must_use]
pub fn driven(moved_kg: f64, full_load_nm: Curve) -> Vehicle {
    let mut car = car_that_moves(moved_kg);
    car.engine.full_load_nm = full_load_nm;
    car
}

/// Level road, still air of [`DENSITY_KG_PER_M3`], clutch dropped in no time at `held_radps`, floored at once.
#[must_use]
pub fn scenario(held_radps: f64, finish: Finish) -> Scenario {
    Scenario {
        slope: Slope::Constant { rise_per_run: 0.0 },
        surface: Surface {
            friction_scale: 1.0,
            slip_stiffness_scale: 1.0,
            rolling_resistance_scale: 1.0,
            right_to_left_friction: 1.0,
        },
        air: air_of_density(DENSITY_KG_PER_M3),
        headwind_mps: 0.0,
        clutch_start_c: 20.0,
        driver: Driver {
            held_radps,
            kept_radps: held_radps,
            release_s: 1e-6,
            release_shape: ReleaseShape::Straight,
            throttle_ease_s: 0.0,
            part_throttle: None,
            throttle_lead_s: 0.0,
            wheelspin: WheelspinResponse::None,
            clutch_feel: None,
            shift_at_radps: vec![1e6],
            shift_reaction_s: 0.0,
            shift_time_factor: 1.0,
            lifts_to_shift: true,
        },
        rollout_m: 0.3048,
        finish,
        time_limit_s: 600.0,
    }
}

/// Dry air at 20 °C with the pressure that gives it this density.
#[must_use]
pub fn air_of_density(density_kg_per_m3: f64) -> Air {
    let at = |pressure_pa: f64| Air { temperature_c: 20.0, pressure_pa, relative_humidity: 0.0 };
    let mut pressure_pa = 1e5;
    for _ in 0..8 {
        pressure_pa *= density_kg_per_m3 / at(pressure_pa).density_kg_per_m3();
    }
    at(pressure_pa)
}
