//! Worked examples of T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 2, through the whole simulator.
//! Inputs from memory, results recomputed; the figures are those that stand printed.

use bitepoint_checks::bare;
use bitepoint_checks::cars::RPM;
use bitepoint_checks::known::solid_axle::{self, INCH_M, LB_KG, LBF_N};
use bitepoint_checks::known::tractive_effort as effort;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, SolidAxle};
use bitepoint_physics::gearbox::Gear;
use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Finish, Vehicle};

const MPH_MPS: f64 = 0.44704;
const TIGHT: Tolerances = Tolerances { relative: 1e-7 };

/// The example's gears on a bare car, nothing that turns having any inertia to speak of.
fn example_gearbox(mut car: Vehicle) -> Vehicle {
    car.gearbox.gears = effort::RATIOS
        .into_iter()
        .zip(effort::EFFICIENCIES)
        .map(|(ratio, efficiency)| Gear { ratio, efficiency, inertia_kgm2: 0.0 })
        .collect();
    car.gearbox.final_drive.ratio = effort::FINAL_DRIVE;
    car.gearbox.final_drive.efficiency = effort::FINAL_DRIVE_EFFICIENCY;
    for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
        tyre.rolling_radius_m = effort::RADIUS_IN * INCH_M;
        // Stiff, but not so stiff that the force at an instant rings.
        tyre.magic_formula.pkx1 = 1e3;
    }
    car
}

/// Largest tractive effort and its road speed in first and fifth, losses to inertia left out as in the example.
#[test]
fn tractive_effort_by_gear_is_that_of_the_handbook() {
    // Torque falls to either side of its peak; only the peak enters the example. A heavy car gains speed slowly, so that next to
    // nothing goes into what little inertia turns.
    let peak_nm = effort::PEAK_TORQUE_FT_LB * effort::FT_LB_NM;
    let torque = [(0.0, 0.75), (2000.0, 0.9), (effort::PEAK_RPM, 1.0), (6000.0, 0.85)]
        .map(|(rpm, share): (f64, f64)| (rpm * RPM, share * peak_nm));
    let mut car = example_gearbox(bare::driven(12_000.0, Curve::new(&torque).expect("rising")));
    car.engine.inertia_kgm2 = 1e-4;
    for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
        // What is sampled lies on a cubic between two steps, and the slip of a tyre that answers within microseconds is noise there.
        tyre.magic_formula.pkx1 = 100.0;
        tyre.relaxation_length_m = 0.3;
        tyre.wheel_inertia_kgm2 = 0.1;
    }
    let mut scenario = bare::scenario(1e-3, Finish::Speed { speed_mps: 120.0 * MPH_MPS });
    scenario.driver.shift_at_radps = vec![5900.0 * RPM];
    let (_, samples) = simulate_sampled(&car, &scenario, &TIGHT, 0.02).expect("runs");
    for (gear, largest_lbf, mph) in effort::EFFORTS {
        let driven = || samples.iter().filter(|s| s.gear == gear && !s.clutch_slipping);
        let most_n = driven().map(|s| s.drive_n).fold(0.0, f64::max);
        let got_lbf = most_n / LBF_N;
        assert!((got_lbf - largest_lbf).abs() < 1.0, "gear {gear}: {got_lbf} lbf for {largest_lbf}");
        // The effort is so level about its peak, to some millionths over 1 mph, that the solver's last digits decide which sample is
        // largest. So it is looked up where the engine passes its torque peak, and held to be the largest there.
        let before = driven().rfind(|s| s.engine_radps <= effort::PEAK_RPM * RPM).expect("comes from below");
        let after = driven().find(|s| s.engine_radps > effort::PEAK_RPM * RPM).expect("passes its peak");
        assert!(
            before.drive_n.min(after.drive_n) > (1.0 - 1e-5) * most_n,
            "gear {gear}: {} N of {most_n}",
            before.drive_n
        );
        let share = (effort::PEAK_RPM * RPM - before.engine_radps) / (after.engine_radps - before.engine_radps);
        let got_mph = (before.speed_mps + share * (after.speed_mps - before.speed_mps)) / MPH_MPS;
        assert!((got_mph - mph).abs() < 0.1, "gear {gear}: {got_mph} mph for {mph}");
    }
}

/// Inertia of engine, gearbox and final drive as the wheels feel it in first gear: what acceleration is short of force over mass.
///
/// The handbook puts losses on the torque alone; the model lets the parts' inertia torque pass through the same losses, so the two
/// agree where there are none.
#[test]
fn inertia_by_gear_is_that_of_the_handbook() {
    let torque_nm = 100.0;
    let mut car = example_gearbox(bare::driven(1500.0, bare::flat(torque_nm)));
    car.gearbox.gears[0].efficiency = 1.0;
    car.gearbox.final_drive.efficiency = 1.0;
    let unit = effort::IN_LB_S2_KGM2;
    car.engine.inertia_kgm2 = effort::ENGINE_INERTIA * unit;
    car.gearbox.input_inertia_kgm2 = 0.5 * effort::FIRST_GEAR_INERTIA * unit;
    car.gearbox.gears[0].inertia_kgm2 = 0.5 * effort::FIRST_GEAR_INERTIA * unit;
    // Stated at its input; here it counts at axle speed.
    car.gearbox.final_drive.inertia_kgm2 =
        effort::FINAL_DRIVE_INERTIA * unit * effort::FINAL_DRIVE * effort::FINAL_DRIVE;
    car.rear_tyre.wheel_inertia_kgm2 = effort::WHEEL_INERTIA * unit;
    car.front_tyre.wheel_inertia_kgm2 = 1e-6;
    let mut scenario = bare::scenario(1e-3, Finish::Distance { distance_m: 1e4 });
    scenario.time_limit_s = 4.0;
    let (_, samples) = simulate_sampled(&car, &scenario, &TIGHT, 0.1).expect("runs");
    let (late, later) = (samples[samples.len() - 20], samples[samples.len() - 1]);
    let acceleration = (later.speed_mps - late.speed_mps) / (later.time_s - late.time_s);
    let radius_m = car.rear_tyre.rolling_radius_m;
    let force_n = torque_nm * effort::RATIOS[0] * effort::FINAL_DRIVE / radius_m;
    let turning_kg = force_n / acceleration - car.chassis.mass_kg;
    let weight_lb = turning_kg / LB_KG;
    assert!((weight_lb - effort::FIRST_GEAR_AS_WEIGHT_LB).abs() < 1.0, "{weight_lb} lb");
    let at_wheels = turning_kg * radius_m * radius_m / unit - 2.0 * effort::WHEEL_INERTIA;
    assert!((at_wheels - effort::FIRST_GEAR_AT_WHEELS).abs() < 0.3, "{at_wheels} in·lb·s²");
}

/// The example's car on its solid axle. An engine with a steep governor finds the torque that the tyres can just bear.
fn solid_axle_car(differential: Differential) -> Vehicle {
    let governed_radps = 200.0;
    let mut car = bare::driven(solid_axle::WEIGHT_LB * LB_KG, bare::flat(0.0));
    car.chassis.mass_kg = solid_axle::WEIGHT_LB * LB_KG;
    car.engine.full_load_nm =
        Curve::new(&[(0.0, 300.0), (governed_radps, 300.0), (1.1 * governed_radps, 0.0)]).expect("rising");
    car.engine.inertia_kgm2 = 0.02;
    car.gearbox.gears[0].ratio = 3.5;
    car.gearbox.final_drive.ratio = solid_axle::FINAL_DRIVE;
    car.driveline.rear_differential = differential;
    car.driveline.solid_rear_axle = Some(SolidAxle {
        track_m: solid_axle::TRACK_IN * INCH_M,
        front_roll_stiffness_share: solid_axle::FRONT_ROLL / (solid_axle::FRONT_ROLL + solid_axle::REAR_ROLL),
    });
    for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
        *tyre = bare::sliding_tyre(solid_axle::FRICTION);
        tyre.rolling_radius_m = solid_axle::RADIUS_IN * INCH_M;
        tyre.wheel_inertia_kgm2 = 1e-3;
    }
    car.chassis.front_weight_share = 1.0 - solid_axle::REAR_LB / solid_axle::WEIGHT_LB;
    car.chassis.cg_height_m = solid_axle::HEIGHT_IN * INCH_M;
    car.chassis.wheelbase_m = solid_axle::WHEELBASE_IN * INCH_M;
    car
}

#[test]
fn a_solid_axle_has_the_traction_limit_of_the_handbook_open_and_locked() {
    for (differential, locked, lbf, g) in [
        (Differential::Open, false, solid_axle::OPEN_LBF, solid_axle::OPEN_G),
        (Differential::Locked, true, solid_axle::LOCKED_LBF, solid_axle::LOCKED_G),
    ] {
        let formula_lbf = solid_axle::traction_limit_lbf(locked);
        assert!((formula_lbf - lbf).abs() < 0.6, "the formula gives {formula_lbf} lbf for {lbf}");
        let mut scenario = bare::scenario(20.0, Finish::Distance { distance_m: 1e4 });
        scenario.time_limit_s = 1.5;
        let (_, samples) = simulate_sampled(&solid_axle_car(differential), &scenario, &TIGHT, 0.1).expect("runs");
        let last = samples[samples.len() - 1];
        assert!(last.slip > 0.3, "{differential:?}: slip {}", last.slip);
        let got_lbf = last.drive_n / LBF_N;
        assert!((got_lbf - lbf).abs() < 1.0, "{differential:?}: {got_lbf} lbf for {lbf}");
        let got_g = last.acceleration_mps2 / GRAVITY_MPS2;
        assert!((got_g - g).abs() < 5e-4, "{differential:?}: {got_g} g for {g}");
    }
}
