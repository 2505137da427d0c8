//! The same inputs give the same bytes, sampled or not, alone or beside others.

use bitepoint_checks::cars;
use bitepoint_physics::driver::{ClutchFeel, Trim, WheelspinResponse};
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use bitepoint_physics::vehicle::Scenario;

/// A start by somebody who feels slip and revs.
fn felt() -> Scenario {
    let mut scenario = cars::dry(4500.0);
    scenario.driver.kept_radps = 300.0;
    scenario.driver.clutch_feel = Some(ClutchFeel { lag_s: 0.1, damping_ratio: 0.8, foot_per_s: 4.0 });
    scenario.driver.wheelspin =
        WheelspinResponse::Trimmed(Trim { lag_s: 0.2, target_slip: 0.1, gain: 1.2, foot_per_s: 4.0 });
    scenario
}

fn all() -> Vec<Run> {
    let cars = [cars::rear_drive(), cars::front_drive(), cars::all_wheel_drive(), cars::solid_axle()];
    let scenarios = [cars::dry(4500.0), cars::wet(3500.0), felt()];
    let each = cars.iter().flat_map(|car| scenarios.iter().map(move |scenario| (car, scenario)));
    each.map(|(car, scenario)| simulate(car, scenario, &Tolerances::default()).expect("runs")).collect()
}

#[test]
fn a_sampled_run_is_the_same_run() {
    for car in [cars::rear_drive(), cars::front_drive(), cars::all_wheel_drive(), cars::solid_axle()] {
        for scenario in [cars::dry(4500.0), felt()] {
            let plain = simulate(&car, &scenario, &Tolerances::default()).expect("runs");
            for every_s in [0.001, 0.05, 3.0] {
                let (sampled, samples) =
                    simulate_sampled(&car, &scenario, &Tolerances::default(), every_s).expect("runs");
                assert_eq!(sampled, plain);
                assert!(samples.len() as f64 >= plain.duration_s / every_s, "{} samples", samples.len());
            }
        }
    }
}

#[test]
fn runs_on_many_threads_are_the_same_as_on_one() {
    let alone = all();
    std::thread::scope(|scope| {
        let beside: Vec<_> = (0..4).map(|_| scope.spawn(all)).collect();
        for thread in beside {
            assert_eq!(thread.join().expect("no panic"), alone);
        }
    });
}
