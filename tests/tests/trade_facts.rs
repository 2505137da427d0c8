//! Facts of the trade, as answers of the model. All of them: common practice, no source.

use bitepoint_checks::cars::{self, RPM};
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Layout};
use bitepoint_physics::road::Slope;
use bitepoint_physics::run::{Ending, Run, Story};
use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

fn run(car: &Vehicle, scenario: &Scenario) -> Run {
    simulate(car, scenario, &Tolerances::default()).expect("a plausible car runs")
}

/// Time to a gate, s; infinite if it is not reached.
fn time_s(car: &Vehicle, scenario: &Scenario, gate: &str) -> f64 {
    run(car, scenario).gate(gate).map_or(f64::INFINITY, |passed| passed.time_s)
}

/// Held revs (rpm) of the quickest start to 60 ft, each revs with its own best release.
fn best_held_rpm(car: &Vehicle, scenario: &Scenario) -> f64 {
    let mut scenario = scenario.clone();
    scenario.driver.throttle_ease_s = 0.6;
    scenario.finish = Finish::Distance { distance_m: 20.0 };
    let mut best = (0.0, f64::INFINITY);
    for held_rpm in (1000..=6500).step_by(250).map(f64::from) {
        scenario.driver.held_radps = held_rpm * RPM;
        for release_s in [0.2, 0.4, 0.7, 1.0, 1.5, 2.0, 2.6] {
            scenario.driver.release_s = release_s;
            let time_s = time_s(car, &scenario, "60 ft");
            if time_s < best.1 {
                best = (held_rpm, time_s);
            }
        }
    }
    assert!(best.1.is_finite(), "no start gets going");
    best.0
}

fn with_torque(car: &Vehicle, share: f64) -> Vehicle {
    let mut car = car.clone();
    let points: Vec<_> = car.engine.full_load_nm.points().into_iter().map(|(w, nm)| (w, share * nm)).collect();
    car.engine.full_load_nm = Curve::new(&points).expect("scaling keeps the points rising");
    car
}

fn two_wheel_drives() -> [Vehicle; 2] {
    [cars::rear_drive(), cars::front_drive()]
}

#[test]
fn more_grip_wants_more_revs_and_rain_fewer() {
    for car in two_wheel_drives() {
        let [wet, dry, strip] = [0.6, 1.0, 1.3].map(|friction_scale| {
            let mut scenario = cars::dry(3000.0);
            scenario.surface.friction_scale = friction_scale;
            best_held_rpm(&car, &scenario)
        });
        assert!(wet < dry && dry < strip, "{wet}, {dry}, {strip} rpm");
    }
}

#[test]
fn more_driven_wheels_want_more_revs() {
    for car in two_wheel_drives() {
        let mut all = car.clone();
        let centre = Differential::LimitedSlip { preload_nm: 80.0, bias_ratio: 2.5 };
        all.driveline.layout = Layout::All { front_share: 0.45, centre };
        let [two, four] = [&car, &all].map(|car| best_held_rpm(car, &cars::dry(3000.0)));
        assert!(two < four, "{two} rpm with two wheels, {four} with four");
    }
}

#[test]
fn more_engine_torque_wants_fewer_revs() {
    for car in two_wheel_drives() {
        let [weak, strong] = [0.8, 1.25].map(|share| best_held_rpm(&with_torque(&car, share), &cars::dry(3000.0)));
        assert!(strong < weak, "{strong} rpm with more torque, {weak} with less");
    }
}

/// Whichever the car allows: little grip spins, four gripping wheels bog or stall the engine, and shafts feel it anyway.
#[test]
fn a_clutch_dropped_too_fast_spins_or_bogs_and_spikes_shaft_torque() {
    let start = |car: &Vehicle, held_rpm: f64, release_s: f64| {
        let mut scenario = cars::dry(held_rpm);
        scenario.driver.release_s = release_s;
        run(car, &scenario)
    };
    let (rear, all) = (cars::rear_drive(), cars::all_wheel_drive());
    let (dropped, eased) = (start(&rear, 5500.0, 0.1), start(&rear, 5500.0, 1.5));
    assert_eq!(dropped.launch.story, Story::Spin);
    assert!(dropped.launch.largest_slip_mps > 5.0, "{} m/s", dropped.launch.largest_slip_mps);
    assert!(dropped.peaks.shaft_torque_nm > 1.15 * dropped.peaks.steady_shaft_torque_nm);
    assert!(dropped.peaks.shaft_torque_nm > 1.2 * eased.peaks.shaft_torque_nm);

    let (dropped, eased) = (start(&all, 5500.0, 0.2), start(&all, 5500.0, 3.0));
    assert!(matches!(dropped.launch.story, Story::Bog | Story::Stall), "{:?}", dropped.launch.story);
    assert!(dropped.launch.lowest_radps < 0.5 * eased.launch.lowest_radps);
    assert!(dropped.peaks.shaft_torque_nm > 1.25 * eased.peaks.shaft_torque_nm);
}

#[test]
fn a_clutch_let_in_too_slowly_heats_and_the_car_does_not_go() {
    let car = cars::all_wheel_drive();
    let start = |release_s: f64| {
        let mut scenario = cars::dry(5000.0);
        scenario.surface.friction_scale = 1.4;
        scenario.driver.release_s = release_s;
        run(&car, &scenario)
    };
    let (brisk, slow) = (start(3.0), start(7.0));
    assert_eq!(brisk.ending, Ending::Finished);
    assert_eq!(slow.launch.story, Story::Slip);
    assert!(slow.peaks.clutch_face_c > brisk.peaks.clutch_face_c + 50.0, "{} °C", slow.peaks.clutch_face_c);
    assert!(slow.peaks.clutch_energy_j > 1.5 * brisk.peaks.clutch_energy_j);
    let sixty_feet_s = |run: &Run| run.gate("60 ft").expect("reached").time_s;
    assert!(sixty_feet_s(&slow) > sixty_feet_s(&brisk) + 0.3, "{} s", sixty_feet_s(&slow));
}

#[test]
fn high_revs_with_little_speed_mean_a_slipping_clutch() {
    let car = cars::all_wheel_drive();
    let mut scenario = cars::dry(5000.0);
    scenario.surface.friction_scale = 1.4;
    scenario.driver.release_s = 4.0;
    let (_, samples) = simulate_sampled(&car, &scenario, &Tolerances::default(), 0.01).expect("runs");
    let per_speed = car.gearbox.overall_ratio(0) / car.rear_tyre.rolling_radius_m;
    // Revs a fifth over what the speed asks for, while the tyres hardly slip.
    let high = samples
        .iter()
        .filter(|s| s.time_s > 0.0 && s.gear == 1 && s.slip < 0.1)
        .filter(|s| s.engine_radps > 1.2 * per_speed * s.speed_mps)
        .collect::<Vec<_>>();
    assert!(high.len() > 20, "{} samples", high.len());
    assert!(high.iter().all(|s| s.clutch_slipping));
}

/// Time to 60 mph with first gear left at these revs, on a car whose torque at the limiter is `share_at_limiter` of that below.
fn with_first_left_at(rpm: f64, share_at_limiter: f64) -> f64 {
    let mut car = cars::all_wheel_drive();
    car.engine.boost = None;
    car.engine.full_load_nm =
        cars::curve(&[(800.0, 300.0), (4000.0, 300.0), (5000.0, 300.0), (6900.0, share_at_limiter * 300.0)]);
    car.gearbox.gears[1].ratio = car.gearbox.gears[0].ratio / 1.6;
    let mut scenario = cars::dry(4500.0);
    scenario.driver.release_s = 2.0;
    scenario.driver.shift_at_radps = vec![rpm * RPM, 6850.0 * RPM];
    time_s(&car, &scenario, "60 mph")
}

#[test]
fn with_flat_torque_and_a_wide_step_the_limiter_is_the_shift_point() {
    let times: Vec<f64> =
        [4500.0, 5000.0, 5500.0, 6000.0, 6500.0, 6850.0].into_iter().map(|rpm| with_first_left_at(rpm, 1.0)).collect();
    assert!(times.windows(2).all(|pair| pair[1] < pair[0]), "later is quicker: {times:?}");
}

/// For a step of 1.6 wheel force after the change is 62.5 % of that before it at equal engine torque: only an engine whose
/// torque has fallen further than that gains by an earlier shift.
#[test]
fn an_early_shift_pays_once_torque_has_fallen_by_more_than_the_step() {
    let gain_s = |share: f64| with_first_left_at(6850.0, share) - with_first_left_at(6300.0, share);
    assert!(gain_s(0.9) < 0.0, "{} s", gain_s(0.9));
    assert!(gain_s(0.25) > 0.0, "{} s", gain_s(0.25));
}

#[test]
fn a_final_drive_too_short_for_sixty_in_second_costs_a_shift() {
    let mut car = cars::rear_drive();
    car.gearbox.gears[1].ratio = 2.2;
    let limit_radps = 6800.0 * RPM;
    let just_enough = limit_radps * car.rear_tyre.rolling_radius_m / (car.gearbox.gears[1].ratio * 28.5);
    let mut scenario = cars::dry(4500.0);
    scenario.surface.friction_scale = 1.2;
    let mut with = |final_drive: f64, second_to: f64| {
        car.gearbox.final_drive.ratio = final_drive;
        car.engine.limiter.cut_radps = second_to + 100.0 * RPM;
        car.engine.limiter.resume_radps = second_to;
        scenario.driver.shift_at_radps = vec![limit_radps, second_to, limit_radps];
        let run = run(&car, &scenario);
        let at = run.gate("60 mph").expect("reached").time_s;
        (at, run.shifts.iter().filter(|shift| shift.time_s < at).count())
    };
    let short = 1.1 * just_enough;
    let ((long_s, once), (short_s, twice)) = (with(just_enough, limit_radps), with(short, limit_radps));
    assert_eq!((once, twice), (1, 2));
    // Though the short one pulls a tenth harder until then.
    assert!(short_s > long_s + 0.1, "{long_s} s and {short_s} s");
    // The shift by itself: the short one, were its engine to rev as far as second has to go.
    let (revving_s, still_once) = with(short, 1.12 * limit_radps);
    assert_eq!(still_once, 1);
    let shift = cars::rear_drive().gearbox.shift;
    let shift_s = shift.clutch_out_s + shift.change_s + shift.clutch_in_s;
    let lost_s = short_s - revving_s;
    assert!((0.6 * shift_s..1.4 * shift_s).contains(&lost_s), "{lost_s} s for a shift of {shift_s} s");
}

#[test]
fn holding_revs_builds_next_to_no_boost_and_flooring_before_release_some() {
    let car = cars::all_wheel_drive();
    let bite_boost = |throttle_lead_s: f64| {
        let mut scenario = cars::dry(4500.0);
        scenario.driver.release_s = 2.0;
        scenario.driver.throttle_ease_s = 0.2;
        scenario.driver.throttle_lead_s = throttle_lead_s;
        run(&car, &scenario).launch.bite_boost
    };
    let (held, floored) = (bite_boost(0.0), bite_boost(0.5));
    assert!(held < 0.03, "{held}");
    assert!(floored > held + 0.1, "{floored}");
}

#[test]
fn a_few_percent_of_downhill_flatter_a_time_by_tenths() {
    for car in two_wheel_drives() {
        let quarter_s = |rise_per_run: f64| {
            let mut scenario = cars::dry(3000.0);
            scenario.slope = Slope::Constant { rise_per_run };
            time_s(&car, &scenario, "1320 ft")
        };
        for (rise_per_run, tenths) in [(-0.02, 2.0..8.0), (-0.03, 3.0..12.0)] {
            let flattered = 10.0 * (quarter_s(0.0) - quarter_s(rise_per_run));
            assert!(tenths.contains(&flattered), "{rise_per_run}: {flattered} tenths");
        }
    }
}
