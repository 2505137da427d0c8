//! A run allocates for its beginning and its result, never for a step.

use bitepoint_checks::cars;
use bitepoint_physics::driver::{ClutchFeel, Trim, WheelspinResponse};
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

/// Allocations of a run, and its steps.
fn allocations(car: &Vehicle, scenario: &Scenario, tolerances: &Tolerances) -> (u64, u32) {
    let mut steps = 0;
    let counted = allocation_counter::measure(|| {
        steps = simulate(car, scenario, tolerances).expect("the cars of the checks run").work.steps;
    });
    (counted.count_total, steps)
}

#[test]
fn a_run_of_many_steps_allocates_no_more_than_one_of_few() {
    for car in [cars::rear_drive(), cars::front_drive(), cars::all_wheel_drive(), cars::solid_axle()] {
        for mut scenario in [cars::dry(4500.0), cars::wet(3500.0)] {
            scenario.driver.release_s = 2.0;
            scenario.driver.wheelspin =
                WheelspinResponse::Trimmed(Trim { lag_s: 0.2, target_slip: 0.2, gain: 1.2, foot_per_s: 4.0 });
            scenario.driver.clutch_feel = Some(ClutchFeel { lag_s: 0.1, damping_ratio: 0.8, foot_per_s: 4.0 });
            let tight = Tolerances { relative: 1e-7 };
            let (many, of_steps) = allocations(&car, &scenario, &tight);
            scenario.finish = Finish::Distance { distance_m: 1.0 };
            let (few, of_few_steps) = allocations(&car, &scenario, &Tolerances::default());
            assert!(of_steps > 4 * of_few_steps, "{of_steps} and {of_few_steps} steps");
            assert_eq!(many, few, "allocations in {of_steps} and in {of_few_steps} steps");
            assert!(few > 0, "the result itself is allocated, so the counter counts");
        }
    }
}
