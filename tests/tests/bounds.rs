//! No run is quicker than its bounds, and the time lost adds up to the distance from the first of them.
//!
//! The seed is fixed; `PROPTEST_RNG_SEED` and `PROPTEST_CASES` try others.

use bitepoint_checks::strategy::case;
use bitepoint_physics::bounds::standings;
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::timing::GATES;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn config() -> ProptestConfig {
    ProptestConfig { cases: 60, failure_persistence: None, rng_seed: RngSeed::Fixed(60), ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn no_run_is_quicker_than_its_bounds(case in case()) {
        let names = GATES.map(|gate| gate.name);
        let (run, samples) =
            simulate_sampled(&case.vehicle, &case.scenario, &Tolerances::default(), 0.01).expect("a plausible car runs");
        for standing in standings(&case.vehicle, &case.scenario, &run, &samples, &names) {
            // The run's own error is under a millisecond.
            let run_s = standing.run_s + 1e-3;
            prop_assert!(standing.traction_and_power_s <= run_s, "{standing:?}");
            prop_assert!(standing.with_shifts_s <= run_s, "{standing:?}");
            prop_assert!(standing.traction_and_power_s <= standing.with_shifts_s + 1e-9, "{standing:?}");
            let lost_s: f64 = standing.lost_s.iter().sum();
            prop_assert!((lost_s - (standing.run_s - standing.traction_and_power_s)).abs() < 1e-6, "{standing:?}");
        }
    }
}
