//! How feet answer to what is felt: the damping of both loops against their closed forms, dying revs, dumps, and how well it is solved.

use bitepoint_checks::bare::{self, RADIUS_M, RATIO};
use bitepoint_checks::cars::{self, RPM};
use bitepoint_checks::known::feedback::{Swing, extremes};
use bitepoint_physics::driver::{ClutchFeel, ReleaseShape, Trim, WheelspinResponse};
use bitepoint_physics::road::Slope;
use bitepoint_physics::run::{Ending, Run, Story};
use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

const TIGHT: Tolerances = Tolerances { relative: 1e-8 };
const FAR: Finish = Finish::Distance { distance_m: 1e5 };
/// A foot so quick that its own lag does not count.
const QUICK_FOOT_PER_S: f64 = 3000.0;

fn near(what: &str, got: f64, want: f64, share: f64) {
    assert!((got / want - 1.0).abs() <= share, "{what}: {got} for {want}, {:+.2e} of it off", got / want - 1.0);
}

/// Engine speed over the kept revs (rad/s), every millisecond, behind a clutch whose far side practically stands: 10⁷ kg. The engine
/// gives the same torque at all speeds and is let down from 300 rad/s to 250 by feel.
fn revs_by_feel(feel: ClutchFeel, time_limit_s: f64) -> Vec<(f64, f64)> {
    let mut car = bare::driven(1e7, bare::flat(200.0));
    car.engine.inertia_kgm2 = 0.2;
    car.clutch.clamp_n = 2000.0;
    car.clutch.bite_point = 0.3;
    car.clutch.working_band = 0.4;
    let mut scenario = bare::scenario(300.0, FAR);
    scenario.time_limit_s = time_limit_s;
    let driver = &mut scenario.driver;
    // As quick as a pedal is that is still felt: what comes up sooner is dropped.
    driver.release_s = feel.lag_s / (1.0 - 0.3) + 1e-6;
    driver.kept_radps = 250.0;
    driver.clutch_feel = Some(feel);
    let samples = simulate_sampled(&car, &scenario, &TIGHT, 1e-3).expect("a bare car runs").1;
    assert!(samples.iter().all(|sample| sample.clutch_slipping), "the far side stands");
    samples.iter().map(|sample| (sample.time_s, sample.engine_radps - 250.0)).collect()
}

/// Compares the extremes of a size within `sizes`, after the first of all, with a closed form.
fn swings_like(what: &str, known: Swing, points: &[(f64, f64)], sizes: core::ops::Range<f64>, share: f64) -> usize {
    let found: Vec<_> = extremes(points).into_iter().skip(1).filter(|(_, size)| sizes.contains(&size.abs())).collect();
    assert!(found.len() > 1, "{what}: {found:?}");
    for pair in found.windows(2) {
        println!("{what}: {:?}, ratio {:.5} for {:.5}", pair[1], -pair[1].1 / pair[0].1, known.half_swing_ratio());
        near(&format!("{what}: half a swing"), pair[1].0 - pair[0].0, known.half_swing_s(), share);
        // The logarithm of the ratio is what damping is in.
        near(&format!("{what}: decrement"), (-pair[1].1 / pair[0].1).ln(), known.half_swing_ratio().ln(), share);
    }
    found.len()
}

#[test]
fn revs_kept_by_feel_settle_with_the_damping_that_the_recovery_time_gives() {
    for (damping_ratio, least) in [(0.4, 1e-2), (0.8, 3e-3)] {
        for lag_s in [0.06, 0.15] {
            let feel = ClutchFeel { lag_s, damping_ratio, foot_per_s: QUICK_FOOT_PER_S };
            let known = Swing::of_felt(1.0 / feel.recovery_s(0.4), lag_s);
            near("damping ratio", known.damping_ratio, damping_ratio, 3e-3);
            let points = revs_by_feel(feel, 30.0 * lag_s);
            swings_like(&format!("ζ {damping_ratio}, lag {lag_s} s"), known, &points, least..50.0, 0.02);
            assert!(points[points.len() - 1].1.abs() < 0.01, "{:?}", points.last());
        }
    }
}

/// Who wants the revs back sooner than they can feel them makes the engine hunt.
#[test]
fn a_recovery_too_short_for_the_lag_oscillates() {
    let feel = ClutchFeel { lag_s: 0.15, damping_ratio: 0.12, foot_per_s: QUICK_FOOT_PER_S };
    let known = Swing::of_felt(1.0 / feel.recovery_s(0.4), 0.15);
    // The clutch can't pull, so that the first swings are cut off.
    let points = revs_by_feel(feel, 3.0);
    let count = swings_like("hunting", known, &points, 1e-2..10.0, 0.02);
    assert!(count > 5, "{count} extremes");
}

/// A foot that takes as long to cross the band as the revs take to be felt: the lag of both together is what counts.
#[test]
fn a_slow_foot_counts_as_lag() {
    let foot_per_s = 0.4 / (1.5 * 0.1);
    let feel = ClutchFeel { lag_s: 0.1, damping_ratio: 0.8, foot_per_s };
    near("recovery time", feel.recovery_s(0.4), 4.0 * 0.64 * 0.2, 1e-12);
    let points = revs_by_feel(feel, 6.0);
    let lowest = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    assert!(lowest > -0.25 * 50.0, "{lowest} rad/s under the kept revs");
    assert!(points[points.len() - 1].1.abs() < 0.1, "{:?}", points.last());
}

/// Force of the spinning wheels, as a fraction of what full throttle would give them.
const HELD_FRACTION: f64 = 0.8;

/// Slip beyond its last value (relative to 4 m/s), every millisecond, and the closed form: wheels that spin under a car too heavy to move, on tyres
/// whose force does not change with slip, with rigid shafts.
fn slip_by_trim(trim: Trim, time_limit_s: f64) -> (Swing, Vec<(f64, f64)>) {
    let (mass_kg, friction, engine_kgm2) = (1e6, 1e-4, 0.05);
    let mut car = bare::driven(mass_kg, bare::flat(1.0));
    car.rear_tyre = bare::sliding_tyre(friction);
    car.rear_tyre.wheel_inertia_kgm2 = 0.3;
    car.engine.inertia_kgm2 = engine_kgm2;
    let force_n = friction * 0.5 * car.chassis.mass_kg * bitepoint_physics::road::GRAVITY_MPS2;
    let full_nm = force_n * RADIUS_M / RATIO / HELD_FRACTION;
    car.engine.full_load_nm = bare::flat(full_nm);
    // A lag of its own beside the foot's, to be too short to count.
    car.engine.throttle_lag_s = 1e-5;
    let input_kgm2 = car.gearbox.input_inertia_kgm2 + engine_kgm2;
    let turning_kgm2 = 0.6 + car.gearbox.final_drive.inertia_kgm2 + RATIO * RATIO * input_kgm2;
    let slip_per_s = full_nm * RATIO / turning_kgm2 * RADIUS_M / 4.0;
    // The fall of the throttle flattens with distance from the target.
    let slope = ((HELD_FRACTION - 0.1) / 0.9_f64).sqrt();
    let here = Trim { gain: trim.gain * slope, ..trim };
    let known = Swing::of_felt(here.gain * slip_per_s, trim.lag_s);
    near("damping ratio", here.damping_ratio(slip_per_s), known.damping_ratio, 1e-12);

    let mut scenario = bare::scenario(20.0, FAR);
    scenario.time_limit_s = time_limit_s;
    scenario.driver.wheelspin = WheelspinResponse::Trimmed(trim);
    let samples = simulate_sampled(&car, &scenario, &TIGHT, 1e-3).expect("a bare car runs").1;
    let slip = |n: usize| (samples[n].tread_mps - samples[n].speed_mps) / samples[n].speed_mps.hypot(4.0);
    let settled = slip(samples.len() - 1);
    near("throttle in the end", samples[samples.len() - 1].throttle, HELD_FRACTION, 1e-3);
    near("slip in the end", trim.left(settled), HELD_FRACTION, 1e-3);
    (known, (0..samples.len()).map(|n| (samples[n].time_s, slip(n) - settled)).collect())
}

fn trim(gain: f64) -> Trim {
    Trim { lag_s: 0.2, target_slip: 0.2, gain, foot_per_s: QUICK_FOOT_PER_S }
}

#[test]
fn a_trimmed_throttle_has_the_damping_of_its_gain_and_lag() {
    for (gain, dampings) in [(1.2, 0.6..0.8), (4.0, 0.3..0.5)] {
        let (known, points) = slip_by_trim(trim(gain), 8.0);
        assert!(dampings.contains(&known.damping_ratio), "{}", known.damping_ratio);
        // Small beside the slip over the target, where the throttle's fall is straight.
        let sizes = 1e-5..0.02 / gain;
        swings_like(&format!("gain {gain}, ζ {:.3}", known.damping_ratio), known, &points, sizes, 0.02);
    }
}

/// As a clumsy driver does.
#[test]
fn too_much_gain_for_the_lag_oscillates() {
    let (known, points) = slip_by_trim(trim(40.0), 8.0);
    assert!(known.damping_ratio < 0.15, "{}", known.damping_ratio);
    let count = swings_like("clumsy", known, &points, 1e-6..2e-4, 0.02);
    assert!(count > 8, "{count} extremes");
}

/// Starts of drivers who feel, of all layouts, dry and wet.
fn felt_starts() -> Vec<(Vehicle, Scenario)> {
    let mut all = Vec::new();
    for (n, car) in
        [cars::rear_drive(), cars::front_drive(), cars::all_wheel_drive(), cars::solid_axle()].into_iter().enumerate()
    {
        for (wet, friction_scale) in [(false, 1.0), (true, 0.6)] {
            let mut car = car.clone();
            for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
                tyre.magic_formula.sliding_fall_s_per_m = 0.006;
            }
            let mut scenario = if wet { cars::wet(3000.0) } else { cars::dry(4000.0) };
            scenario.surface.friction_scale = friction_scale;
            let driver = &mut scenario.driver;
            driver.kept_radps = if wet { 2000.0 } else { 2800.0 } * RPM;
            driver.release_s = 0.4 + 0.2 * n as f64;
            driver.throttle_ease_s = 0.3;
            driver.throttle_lead_s = if n == 2 { 0.3 } else { -0.1 };
            driver.clutch_feel = Some(ClutchFeel { lag_s: 0.1, damping_ratio: 0.8, foot_per_s: 4.0 });
            driver.wheelspin =
                WheelspinResponse::Trimmed(Trim { lag_s: 0.18, target_slip: 0.12, gain: 1.2, foot_per_s: 4.0 });
            all.push((car, scenario));
        }
    }
    all
}

/// The largest difference between two runs' gates, s.
fn apart_s(one: &Run, other: &Run) -> f64 {
    assert_eq!(one.ending, other.ending);
    let both = one.gates.iter().zip(&other.gates).filter_map(|(a, b)| a.passed.zip(b.passed));
    both.map(|(a, b)| (a.time_s - b.time_s).abs()).fold(0.0, f64::max)
}

/// Every gate within a millisecond at the default tolerance, as for other drivers. A hundredth of the tolerance has to leave less than a tenth of
/// the error: the step is of third order and its error per step goes with the tolerance, so that the sum over the run goes with its 2/3rd power (1/21),
/// less what the kinks of feet and tyres take.
#[test]
fn drivers_who_feel_are_solved_as_well_as_others() {
    let (mut coarse_s, mut fine_s) = (0.0, 0.0);
    for (car, scenario) in felt_starts() {
        let run = |relative: f64| simulate(&car, &scenario, &Tolerances { relative }).expect("runs");
        let exact = run(1e-9);
        assert_eq!(exact.ending, Ending::Finished);
        let at_default_s = apart_s(&run(Tolerances::default().relative), &exact);
        println!("{:.4} ms at the default tolerance", 1e3 * at_default_s);
        assert!(at_default_s < 1e-3, "{at_default_s} s");
        coarse_s += apart_s(&run(1e-4), &exact);
        fine_s += apart_s(&run(1e-6), &exact);
    }
    println!("{coarse_s:e} s in all at 1e-4, {fine_s:e} s at 1e-6");
    assert!(fine_s < 0.1 * coarse_s, "{fine_s} {coarse_s}");
}

/// Closing the throttle for wheelspin on a road like ice must not kill the engine: dying revs come first.
#[test]
fn a_trimmed_driver_never_stalls_on_ice_by_closing_the_throttle() {
    let mut held_back = 0;
    for mut car in [cars::rear_drive(), cars::front_drive(), cars::all_wheel_drive()] {
        // As little flywheel as any road car has (common practice, no source).
        car.engine.inertia_kgm2 *= 0.6;
        for friction_scale in [0.1, 0.2, 0.3] {
            for gain in [1.0, 3.0, 8.0] {
                for kept_rpm in [1200.0, 1800.0, 2500.0] {
                    let mut scenario = cars::dry(kept_rpm + 300.0);
                    scenario.surface.friction_scale = friction_scale;
                    scenario.driver.release_s = 0.6;
                    scenario.driver.kept_radps = kept_rpm * RPM;
                    scenario.driver.clutch_feel = Some(ClutchFeel { lag_s: 0.15, damping_ratio: 0.7, foot_per_s: 4.0 });
                    scenario.driver.wheelspin =
                        WheelspinResponse::Trimmed(Trim { lag_s: 0.25, target_slip: 0.1, gain, foot_per_s: 4.0 });
                    scenario.finish = Finish::Distance { distance_m: 30.0 };
                    let run = simulate(&car, &scenario, &Tolerances::default()).expect("runs");
                    assert_eq!(run.ending, Ending::Finished, "{friction_scale} {gain} {kept_rpm}");
                    held_back += usize::from(run.launch.trimmed_s > 0.5);
                }
            }
        }
    }
    assert!(held_back > 40, "{held_back} starts with a trimmed throttle");
}

/// A pedal that is up within a twentieth of a second stalls an engine on four wheels that grip; so does one that a driver lets up by feel but with
/// poor feel, down to few revs (common practice, no source). The same road and revs start well with some revs kept.
#[test]
fn a_dump_faster_than_anyone_can_react_bogs_or_stalls() {
    let start = |release_s: f64, kept_rpm: f64, clutch_feel: Option<ClutchFeel>| {
        let mut scenario = cars::dry(2200.0);
        scenario.surface.friction_scale = 1.3;
        scenario.driver.release_s = release_s;
        scenario.driver.kept_radps = kept_rpm * RPM;
        scenario.driver.throttle_lead_s = -0.1;
        scenario.driver.clutch_feel = clutch_feel;
        simulate(&cars::all_wheel_drive(), &scenario, &Tolerances::default()).expect("runs")
    };
    let feel = |lag_s: f64, damping_ratio: f64| Some(ClutchFeel { lag_s, damping_ratio, foot_per_s: 4.0 });
    let let_up = start(0.6, 1800.0, feel(0.08, 0.8));
    assert_eq!(let_up.ending, Ending::Finished);
    assert!(let_up.launch.lowest_radps > 1600.0 * RPM, "{} rpm", let_up.launch.lowest_radps / RPM);
    let dumped = start(0.05, 1800.0, None);
    assert_eq!(dumped.launch.story, Story::Stall);
    let late = start(0.05, 800.0, feel(0.3, 0.3));
    println!("{:?}, {} rpm", late.launch.story, late.launch.lowest_radps / RPM);
    assert!(matches!(late.launch.story, Story::Bog | Story::Stall), "{:?}", late.launch.story);
    assert!(late.launch.lowest_radps < 800.0 * RPM, "{} rpm", late.launch.lowest_radps / RPM);
}

/// Wherever the bite is and however the throttle leads it, the pedal begins to move at time 0.
#[test]
fn the_pedal_comes_up_whatever_leads_it() {
    for bite_point in [0.0, 0.35, 0.649] {
        for release_shape in [ReleaseShape::Straight, ReleaseShape::QuickToBite] {
            for release_s in [1e-10, 0.7, 0.1 + 0.2] {
                let mut car = cars::rear_drive();
                car.clutch.bite_point = bite_point;
                let mut scenario = cars::dry(4000.0);
                let to_bite_s = release_s * release_shape.time_to_bite(bite_point);
                scenario.driver.release_s = release_s;
                scenario.driver.release_shape = release_shape;
                scenario.finish = Finish::Distance { distance_m: 5.0 };
                // All of the time to the bite as lead, give or take a rounding error, and more or less than that.
                for lead_s in [to_bite_s, to_bite_s * (1.0 + 1e-15), to_bite_s * (1.0 - 1e-15), 0.0, 0.5, -0.2] {
                    scenario.driver.throttle_lead_s = lead_s;
                    let run = simulate(&car, &scenario, &Tolerances::default()).expect("runs");
                    let moves_s = run.first_movement_s.expect("it moves");
                    assert!((to_bite_s - 1e-9..to_bite_s + 0.3).contains(&moves_s), "{moves_s} s for {to_bite_s} s");
                }
            }
        }
    }
}

/// The car moves off at the very bite where the road falls or the wind pushes: two things at one time, of which neither may be lost.
#[test]
fn the_pedal_goes_on_through_a_bite_at_which_the_car_moves_off() {
    let mut car = cars::rear_drive();
    // No shift may take the pedal down again.
    car.gearbox.gears.truncate(1);
    for (rise_per_run, headwind_mps) in [(0.0, 0.0), (-0.03, 0.0), (0.0, -12.0), (-0.03, -12.0)] {
        for release_s in [0.3, 0.7, 1.9] {
            let mut scenario = cars::dry(3000.0);
            scenario.slope = Slope::Constant { rise_per_run };
            scenario.headwind_mps = headwind_mps;
            scenario.driver.release_s = release_s;
            scenario.finish = Finish::Distance { distance_m: 4.0 };
            let samples = simulate_sampled(&car, &scenario, &Tolerances::default(), 5e-3).expect("runs").1;
            for sample in &samples {
                let straight = ((sample.time_s - samples[0].time_s) / release_s).min(1.0);
                assert!((sample.pedal - straight).abs() < 1e-6, "{} for {straight}", sample.pedal);
            }
        }
    }
}

/// Slip has no end under wheels that spin while the car stands on a hill too steep for them.
#[test]
fn wheels_may_spin_for_long_under_a_car_that_stands() {
    for wheelspin in [WheelspinResponse::None, WheelspinResponse::Ideal, WheelspinResponse::Trimmed(trim(1.0))] {
        let mut scenario = cars::dry(3500.0);
        scenario.surface.friction_scale = 0.2;
        scenario.slope = Slope::Constant { rise_per_run: 0.3 };
        scenario.driver.wheelspin = wheelspin;
        scenario.time_limit_s = 12.0;
        let run = simulate(&cars::rear_drive(), &scenario, &Tolerances::default()).expect("it is followed");
        assert!(run.first_movement_s.is_none(), "{:?}", run.first_movement_s);
    }
}
