//! What holds for every plausible car, run and driver, tried on random ones.
//!
//! The seed is fixed, so that everybody tries the same cars; `PROPTEST_RNG_SEED` and `PROPTEST_CASES` try others.

use bitepoint_checks::bare;
use bitepoint_checks::strategy::{Case, case};
use bitepoint_physics::driveline::{Differential, Layout};
use bitepoint_physics::road::Slope;
use bitepoint_physics::run::{Ending, Run};
use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use bitepoint_physics::vehicle::Finish;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngSeed, TestRunner};

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(1320), ..ProptestConfig::default() }
}

fn run(case: &Case, tolerances: Tolerances) -> Run {
    simulate(&case.vehicle, &case.scenario, &tolerances).expect("a plausible car runs")
}

fn part_of_default(share: f64) -> Tolerances {
    Tolerances { relative: share * Tolerances::default().relative }
}

/// Largest difference of a gate's time that both runs have, s.
fn largest_difference_s(one: &Run, other: &Run) -> f64 {
    let both = one.gates.iter().zip(&other.gates).filter_map(|(a, b)| a.passed.zip(b.passed));
    both.map(|(a, b)| (a.time_s - b.time_s).abs()).fold(0.0, f64::max)
}

/// What a run may lose at the default tolerance however little work it did, J: a start that stalls within half a second does 0.2 to
/// 2 kJ of work, and one step is allowed an error of 5 J (1e-4 of 50 kJ) in each account.
const FLOOR_J: f64 = 10.0;
/// The same at a tenth of the default tolerance, J.
const FINE_FLOOR_J: f64 = 3.0;
/// What a car that crawls until time is up may lose at the default tolerance, J: 1.7 J was the most seen in some 2,600 runs.
const CRAWL_FLOOR_J: f64 = 3.0;

fn closes(run: &Run, share: f64, floor_j: f64) -> bool {
    run.energy.residual_j.abs() <= (share * run.energy.engine_work_j.abs()).max(floor_j)
}

proptest! {
    #![proptest_config(config(400))]

    /// To 0.02 % of engine work at the default tolerance whoever drives. To 0.01 % there too, but for two kinds of run, which take a
    /// tenth of it: those on a road with a height profile, whose slope has corners, and starts that stall or roll back. Cars that crawl on
    /// until time is up, whose engine's work sums to next to nothing, are allowed some joules.
    #[test]
    fn energy_closes(case in case()) {
        let at_default = run(&case, Tolerances::default());
        prop_assert!(closes(&at_default, 2e-4, FLOOR_J), "{:e}: {:?}", at_default.energy.closure(), at_default.energy);
        let short = matches!(at_default.ending, Ending::Stalled | Ending::RolledBack);
        if short || matches!(case.scenario.slope, Slope::Profile { .. }) {
            let fine = run(&case, part_of_default(0.1));
            prop_assert!(closes(&fine, 1e-4, FINE_FLOOR_J), "{:e}: {:?}", fine.energy.closure(), fine.energy);
        } else {
            let floor_j = if at_default.ending == Ending::OutOfTime { CRAWL_FLOOR_J } else { 0.0 };
            prop_assert!(closes(&at_default, 1e-4, floor_j), "{:e}: {:?}", at_default.energy.closure(), at_default.energy);
        }
    }

    /// Bit for bit: what is still to come does not reach back.
    #[test]
    fn a_longer_run_changes_no_earlier_gate(case in case(), short_m in 30.0..400.0) {
        let mut short = case.clone();
        short.scenario.finish = Finish::Distance { distance_m: short_m };
        let (short, long) = (run(&short, Tolerances::default()), run(&case, Tolerances::default()));
        prop_assert!(short.distance_m <= short_m * (1.0 + 1e-9));
        for (a, b) in short.gates.iter().zip(&long.gates) {
            if let Some(passed) = a.passed {
                prop_assert_eq!(Some(passed), b.passed, "{}", a.name);
            }
        }
    }

    #[test]
    fn sampling_leaves_the_run_as_it_is(case in case(), every_s in 0.003..0.5) {
        let plain = run(&case, Tolerances::default());
        let (sampled, samples) =
            simulate_sampled(&case.vehicle, &case.scenario, &Tolerances::default(), every_s).expect("runs");
        prop_assert_eq!(plain, sampled);
        prop_assert!(samples.windows(2).all(|w| w[1].time_s > w[0].time_s));
    }
}

proptest! {
    #![proptest_config(config(48))]

    /// Once solved finely, a hundred times finer moves no gate by a millisecond.
    #[test]
    fn solved_finely_every_gate_stays_where_it_is(case in case()) {
        let (fine, finer) = (run(&case, part_of_default(0.01)), run(&case, part_of_default(0.0001)));
        prop_assert_eq!(fine.ending, finer.ending);
        let moved_s = largest_difference_s(&fine, &finer);
        prop_assert!(moved_s < 1e-3, "a gate moves by {} ms", 1e3 * moved_s);
    }

    /// All wheels sliding: the mass cancels and friction alone counts.
    #[test]
    fn at_the_traction_bound_mass_changes_nothing_and_friction_is_quicker(
        mass_kg in 700.0..2500.0, other_kg in 700.0..2500.0, friction in 0.2..1.2_f64, more in 1.02..1.5_f64,
    ) {
        let time_s = |mass_kg: f64, friction: f64| {
            let mut car = bare::pulled(mass_kg, 45.0 * mass_kg);
            car.driveline.layout = Layout::All { front_share: 0.5, centre: Differential::Locked };
            car.chassis.cg_height_m = 0.5;
            for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
                *tyre = bare::sliding_tyre(friction);
                tyre.wheel_inertia_kgm2 = 1e-3 * mass_kg;
            }
            let scenario = bare::scenario(1e6, Finish::Distance { distance_m: 101.0 });
            let run = simulate(&car, &scenario, &Tolerances { relative: 1e-7 }).expect("runs");
            run.gate("330 ft").expect("reached").time_s
        };
        let base_s = time_s(mass_kg, friction);
        prop_assert!((time_s(other_kg, friction) / base_s - 1.0).abs() < 1e-5);
        let quicker = time_s(mass_kg, friction * more) / base_s;
        prop_assert!((quicker * more.sqrt() - 1.0).abs() < 1e-4, "as one over the root of friction: {quicker}");
    }
}

proptest! {
    #![proptest_config(config(1500))]

    /// Half of the change passes in neutral, and the synchroniser is sized to take the other half. Wheels that find grip again while it
    /// works make it longer, by some tenths of a second in one run of two hundred; never does a shift hang.
    #[test]
    fn no_shift_hangs_between_gears(case in case()) {
        let (_, samples) =
            simulate_sampled(&case.vehicle, &case.scenario, &Tolerances::default(), 0.01).expect("runs");
        let longest_s = samples
            .chunk_by(|a, b| (a.gear == 0) == (b.gear == 0))
            .filter(|stretch| stretch[0].gear == 0)
            .map(|stretch| stretch[stretch.len() - 1].time_s - stretch[0].time_s)
            .fold(0.0, f64::max);
        let change_s = case.vehicle.gearbox.shift.change_s * case.scenario.driver.shift_time_factor;
        prop_assert!(longest_s <= 5.0 * change_s, "{longest_s} s for a change of {change_s} s");
    }
}

fn some_cases(count: usize) -> Vec<Case> {
    let mut runner = TestRunner::new(config(1));
    (0..count).map(|_| case().new_tree(&mut runner).expect("a case").current()).collect()
}

/// The aim is every run. It is met by nine of ten: limiter chatter, a speed gate that is passed just before a shift, and revs
/// that only just ask for a shift account for the rest, and `solved_finely_every_gate_stays_where_it_is` shows that they converge.
#[test]
fn at_the_default_tolerance_nine_runs_of_ten_have_every_gate_within_a_millisecond() {
    let cases = some_cases(400);
    let moved_s: Vec<f64> = cases
        .iter()
        .map(|case| largest_difference_s(&run(case, Tolerances::default()), &run(case, part_of_default(0.01))))
        .collect();
    let over = moved_s.iter().filter(|&&s| s > 1e-3).count();
    assert!(moved_s.len() > 200);
    assert!(10 * over <= moved_s.len(), "{over} of {} runs move a gate by over 1 ms", moved_s.len());
}

#[test]
fn the_same_bytes_come_out_on_one_thread_and_on_two() {
    let cases = some_cases(120);
    let bytes = |case: &Case| serde_json::to_vec(&run(case, Tolerances::default())).expect("a run serialises");
    let alone: Vec<Vec<u8>> = cases.iter().map(bytes).collect();
    let (front, back) = cases.split_at(cases.len() / 2);
    let together: Vec<Vec<u8>> = std::thread::scope(|scope| {
        let halves = [front, back].map(|half| scope.spawn(move || half.iter().map(bytes).collect::<Vec<_>>()));
        halves.into_iter().flat_map(|half| half.join().expect("no thread panics")).collect()
    });
    assert!(alone == together, "a run depends on its thread");
}
