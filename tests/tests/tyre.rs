//! The tyre against a published set of coefficients.

use bitepoint_checks::bare;
use bitepoint_checks::known::tyre::{ROWS, SLIPS, TABLE_A3_1};
use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::Finish;

/// To the last digit of the table.
#[test]
fn force_at_stated_slips_and_loads_is_that_of_the_table() {
    for row in ROWS {
        let curve = TABLE_A3_1.at(row.load_n, 1.0, 1.0);
        for (slip, known_n) in SLIPS.into_iter().zip(row.force_n) {
            let (force_n, _) = curve.force_and_slope(slip);
            assert!((force_n - known_n).abs() < 0.06, "{} N, slip {slip}: {force_n} for {known_n}", row.load_n);
            let (braking_n, _) = curve.force_and_slope(-slip);
            assert_eq!(braking_n, -force_n, "without shifts the curve is odd");
        }
    }
}

#[test]
fn peak_and_slip_stiffness_are_those_of_the_table() {
    for row in ROWS {
        let curve = TABLE_A3_1.at(row.load_n, 1.0, 1.0);
        assert!((curve.peak_slip() - row.peak_slip).abs() < 6e-5, "{}", curve.peak_slip());
        let (peak_n, slope_n) = curve.force_and_slope(curve.peak_slip());
        assert!((peak_n - row.peak_n).abs() < 0.06, "{peak_n}");
        assert!(slope_n.abs() < 1e-6 * row.stiffness_n, "the curve is level at its peak: {slope_n}");
        let (_, stiffness_n) = curve.force_and_slope(0.0);
        assert!((stiffness_n - row.stiffness_n).abs() < 0.06, "{stiffness_n} for {}", row.stiffness_n);
    }
}

/// Published direction of load dependence: friction falls with load, stiffness grows faster than load.
#[test]
fn friction_falls_and_stiffness_per_load_rises_with_load() {
    for pair in ROWS.windows(2) {
        let [light, heavy] = [0, 1].map(|i| TABLE_A3_1.at(pair[i].load_n, 1.0, 1.0));
        assert!(heavy.d_n / pair[1].load_n < light.d_n / pair[0].load_n);
        let per_load = |i: usize| [light, heavy][i].force_and_slope(0.0).1 / pair[i].load_n;
        assert!(per_load(1) > per_load(0));
    }
}

/// Pulled with just the table's force at a slip, on axles that carry just its load, the tyre settles at that slip.
#[test]
fn in_a_run_the_tyre_settles_at_the_slip_that_gives_the_force() {
    for row in ROWS {
        // Slips on the rising side: past the peak nothing settles.
        for (slip, force_n) in SLIPS.into_iter().zip(row.force_n).take(3) {
            let mut car = bare::pulled(4.0 * row.load_n / GRAVITY_MPS2, 2.0 * force_n);
            car.chassis.mass_kg = 4.0 * row.load_n / GRAVITY_MPS2;
            // Wheels ahead of the car by the slip take more to turn than wheels that roll: next to nothing may turn here.
            car.gearbox.input_inertia_kgm2 = 1e-6;
            car.gearbox.final_drive.inertia_kgm2 = 1e-4;
            car.rear_tyre.wheel_inertia_kgm2 = 1e-4;
            car.rear_tyre.magic_formula = TABLE_A3_1;
            let mut scenario = bare::scenario(1e5, Finish::Distance { distance_m: 1e4 });
            scenario.time_limit_s = 3.0;
            let (_, samples) = simulate_sampled(&car, &scenario, &Tolerances { relative: 1e-7 }, 0.1).expect("runs");
            let last = samples[samples.len() - 1];
            assert!((last.drive_n - 2.0 * force_n).abs() < 1e-4 * force_n, "{} for {force_n}", last.drive_n);
            assert!((last.slip / slip - 1.0).abs() < 1e-3, "{} N: {} for {slip}", row.load_n, last.slip);
        }
    }
}
