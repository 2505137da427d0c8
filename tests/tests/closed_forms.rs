//! The whole simulator, parts switched off, against closed forms.

use bitepoint_checks::bare::{self, RADIUS_M, RATIO};
use bitepoint_checks::known::{clutch, motion, start, torsion};
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Layout};
use bitepoint_physics::gearbox::Gear;
use bitepoint_physics::road::{GRAVITY_MPS2, Slope};
use bitepoint_physics::run::{Ending, Run, Sample};
use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

const TIGHT: Tolerances = Tolerances { relative: 1e-8 };
const QUARTER_MILE: Finish = Finish::Distance { distance_m: 402.336 };

fn run(car: &Vehicle, scenario: &Scenario) -> Run {
    simulate(car, scenario, &TIGHT).expect("a bare car runs")
}

fn sampled(car: &Vehicle, scenario: &Scenario, every_s: f64) -> (Run, Vec<Sample>) {
    simulate_sampled(car, scenario, &TIGHT, every_s).expect("a bare car runs")
}

fn near(what: &str, got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{what}: {got} for {want}, {:+.2e} off", got - want);
}

fn stop_after(time_limit_s: f64, mut scenario: Scenario) -> Scenario {
    scenario.time_limit_s = time_limit_s;
    scenario
}

/// Inertia of the car's mass and `wheels_kgm2` at the gearbox input of a bare car, kg·m².
fn load_at_input(mass_kg: f64) -> f64 {
    mass_kg * RADIUS_M * RADIUS_M / (RATIO * RATIO)
}

#[test]
fn constant_force_against_drag_follows_the_hyperbolic_tangent() {
    let mut car = bare::pulled(1500.0, 5000.0);
    car.chassis.drag_area_m2 = 0.7;
    for headwind_mps in [0.0, 6.0, -6.0] {
        let mut scenario = stop_after(10.0, bare::scenario(1e4, QUARTER_MILE));
        scenario.headwind_mps = headwind_mps;
        for (tolerances, within) in [(TIGHT, 1e-5), (Tolerances::default(), 1e-4)] {
            let (run, samples) = simulate_sampled(&car, &scenario, &tolerances, 0.25).expect("runs");
            assert_eq!(run.ending, Ending::OutOfTime);
            if headwind_mps == 0.0 {
                // The figures as they stand printed (recomputed).
                near("speed after 10 s", run.final_speed_mps, 32.3336, 32.0 * within);
                near("distance after 10 s", run.distance_m, 164.1368, 164.0 * within);
            }
            let later: Vec<_> = samples.iter().filter(|s| s.time_s > 0.01).collect();
            assert!(later.len() > 35);
            for sample in later {
                let known = motion::constant_force_against_drag(5000.0, 1500.0, 0.42, headwind_mps, sample.time_s);
                // A tail wind pushes at first: the law with v² signed has another branch there.
                if known.speed_mps + headwind_mps > 0.0 && headwind_mps >= 0.0 {
                    near("speed", sample.speed_mps, known.speed_mps, 32.0 * within);
                    near("distance", sample.distance_m, known.distance_m, 164.0 * within);
                }
            }
        }
    }
}

/// A run can't begin at speed, so the car is pulled to 41 m/s and then coasts in neutral, in a shift that lasts for minutes.
#[test]
fn a_coast_down_follows_the_arctangent() {
    let mut car = bare::pulled(1500.0, 20_000.0);
    car.chassis.drag_area_m2 = 0.7;
    // In neutral the gearbox input does not turn with the wheels.
    car.chassis.mass_kg += bare::SMALL_AT_INPUT_KGM2 * RATIO * RATIO / (RADIUS_M * RADIUS_M);
    let coefficient = 200.0 / (car.chassis.mass_kg * GRAVITY_MPS2);
    car.front_tyre.rolling_constant = coefficient;
    car.rear_tyre.rolling_constant = coefficient;
    car.gearbox.gears.push(Gear { ratio: 1.0, efficiency: 1.0, inertia_kgm2: 0.0 });
    car.gearbox.shift.change_s = 500.0;
    let mut scenario = stop_after(190.0, bare::scenario(1e4, Finish::Distance { distance_m: 1e4 }));
    scenario.driver.shift_at_radps = vec![41.0 * RATIO / RADIUS_M];
    let (run, samples) = sampled(&car, &scenario, 0.05);
    assert_eq!(run.ending, Ending::OutOfTime);
    assert_eq!(run.final_speed_mps, 0.0);

    let coasting: Vec<_> = samples.iter().filter(|s| s.gear == 0).collect();
    let first = coasting[0];
    assert!(first.speed_mps > 40.5);
    for sample in coasting.iter().step_by(20).filter(|s| s.speed_mps > 0.0) {
        let known = motion::coast_down(first.speed_mps, 1500.0, 200.0, 0.42, sample.time_s - first.time_s);
        near("speed", sample.speed_mps, known.speed_mps, 2e-4);
        near("distance", sample.distance_m - first.distance_m, known.distance_m, 5e-3);
    }
    // The figures as they stand printed, from 40 m/s (recomputed). Between two samples 40 m/s is passed on a straight line.
    let after = coasting.iter().position(|s| s.speed_mps < 40.0).expect("it slows down");
    let (a, b) = (coasting[after - 1], coasting[after]);
    let share = (a.speed_mps - 40.0) / (a.speed_mps - b.speed_mps);
    let from_s = a.time_s + share * (b.time_s - a.time_s);
    let from_m = a.distance_m + share * (b.distance_m - a.distance_m);
    let last = coasting.iter().rfind(|s| s.speed_mps > 0.0).expect("it moves");
    let stop_s = last.time_s + last.speed_mps * 1500.0 / 200.0;
    near("time to stop", stop_s - from_s, 175.3457, 2e-3);
    near("time to stop", motion::coast_down_time_s(40.0, 1500.0, 200.0, 0.42), 175.3457, 5e-5);
    near("distance to stop", run.distance_m - from_m, 2629.414, 1e-2);
}

/// An engine's torque is not infinite at rest: its force is cut off at 200 kN, under 0.75 m/s. The throttle's lag of 0.1 ms
/// costs just itself.
#[test]
fn constant_power_follows_the_cube_root_laws() {
    let (power_w, most_n, mass_kg, lag_s) = (150e3, 200e3, 1500.0, 1e-4);
    let (time_s, speed_mps) = motion::constant_power(power_w, mass_kg, 402.336);
    near("the law's time as printed", time_s, 12.2117, 5e-5);
    near("the law's speed as printed", speed_mps, 49.4201, 5e-5);

    let from_radps = power_w / (most_n * RADIUS_M / RATIO);
    let points: Vec<(f64, f64)> =
        (0..=1200).map(|i| from_radps * 1.005_f64.powi(i)).map(|w| (w, power_w / w)).collect();
    let mut car = bare::driven(mass_kg, Curve::new(&points).expect("rising"));
    car.chassis.mass_kg -= car.engine.inertia_kgm2 * RATIO * RATIO / (RADIUS_M * RADIUS_M);
    car.engine.throttle_lag_s = lag_s;
    car.driveline.stiffness_nm_per_rad = 1e9;
    car.driveline.damping_nm_s_per_rad = 1e5;
    let run = run(&car, &bare::scenario(1e-3, QUARTER_MILE));
    for (name, distance_m) in
        [("60 ft", 18.288), ("330 ft", 100.584), ("660 ft", 201.168), ("1000 ft", 304.8), ("1320 ft", 402.336)]
    {
        let (time_s, speed_mps) = motion::constant_power_after_force(power_w, most_n, mass_kg, distance_m);
        let gate = run.gate(name).expect("reached");
        near(name, gate.time_s, time_s + lag_s, 1e-4);
        near(name, gate.speed_mps, speed_mps, 5e-4);
    }
    let gate = run.gate("1320 ft").expect("reached");
    near("time by the law itself", gate.time_s, time_s, 6e-3);
    near("speed by the law itself", gate.speed_mps, speed_mps, 1e-3);
}

/// The load of 2 kg·m² is a car's mass seen through its gears.
fn clutch_case(engine_nm: f64) -> (Run, clutch::LockUp) {
    let mut car = bare::driven(2.0 * (RATIO * RATIO) / (RADIUS_M * RADIUS_M), bare::flat(engine_nm));
    car.engine.inertia_kgm2 = 0.25;
    car.engine.throttle_lag_s = 1e-5;
    car.clutch.clamp_n = 300.0;
    let run = run(&car, &stop_after(1.5, bare::scenario(400.0, QUARTER_MILE)));
    (run, clutch::lock_up(0.25, 400.0, engine_nm, 2.0, 300.0))
}

#[test]
fn a_slipping_clutch_locks_when_and_where_two_inertias_say() {
    // Time, common speed and heat as they stand printed (recomputed).
    for (engine_nm, printed) in [(0.0, [0.296_296, 44.4444, 17_777.8]), (250.0, [1.142_857, 171.4286, 68_571.4])] {
        let (run, known) = clutch_case(engine_nm);
        near("the law's time", known.time_s, printed[0], 5e-7);
        near("the law's speed", known.speed_radps, printed[1], 5e-5);
        near("the law's heat", known.heat_j, printed[2], 0.05);
        near("time", run.launch.clutch_home_s.expect("locks"), known.time_s, 1e-4);
        let speed_radps = run.launch.clutch_home_mps.expect("locks") * RATIO / RADIUS_M;
        near("speed", speed_radps, known.speed_radps, 1e-4 * known.speed_radps);
        near("heat", run.peaks.clutch_energy_j, known.heat_j, 1e-4 * known.heat_j);
    }
}

#[test]
fn a_dropped_clutch_shares_momentum_whatever_its_capacity() {
    let mass_kg = 900.0;
    let mut car = bare::driven(mass_kg, bare::flat(0.0));
    car.engine.inertia_kgm2 = 0.25;
    let known_radps = clutch::bog_radps(0.25, 400.0, load_at_input(mass_kg));
    for capacity_nm in [500.0, 2000.0, 8000.0] {
        car.clutch.clamp_n = capacity_nm;
        let run = run(&car, &stop_after(1.0, bare::scenario(400.0, QUARTER_MILE)));
        let home_radps = run.launch.clutch_home_mps.expect("locks") * RATIO / RADIUS_M;
        near("speed at lock-up", home_radps, known_radps, 1e-3 * known_radps);
        near("speed after", run.final_speed_mps * RATIO / RADIUS_M, known_radps, 1e-4 * known_radps);
    }
}

/// Times at which `value` rises through `level`, on straight lines between samples.
fn rising(samples: &[Sample], level: f64, value: impl Fn(&Sample) -> f64) -> Vec<f64> {
    samples
        .windows(2)
        .filter(|w| value(&w[0]) < level && value(&w[1]) >= level)
        .map(|w| w[0].time_s + (level - value(&w[0])) / (value(&w[1]) - value(&w[0])) * (w[1].time_s - w[0].time_s))
        .collect()
}

#[test]
fn the_driveline_swings_at_the_frequency_of_its_inertias_and_spring() {
    // Light enough that the engine never swings back to a standstill.
    let (mass_kg, stiffness) = (650.0, 9000.0);
    let mut car = bare::driven(mass_kg, bare::flat(200.0));
    car.engine.inertia_kgm2 = 0.2;
    car.gearbox.input_inertia_kgm2 = 0.012;
    car.gearbox.final_drive.inertia_kgm2 = 0.25;
    car.driveline.stiffness_nm_per_rad = stiffness;
    car.driveline.damping_nm_s_per_rad = 0.0;
    // A little rolling resistance, or the car would roll back by a hair as the clutch takes up.
    car.front_tyre.rolling_constant = 0.001;
    car.rear_tyre.rolling_constant = 0.001;
    let rolling_nm = 0.001 * car.chassis.mass_kg * GRAVITY_MPS2 * RADIUS_M;
    // Body and wheels are one end of the spring.
    let body_kgm2 = car.chassis.mass_kg * RADIUS_M * RADIUS_M + 4.0 * bare::SMALL_KGM2;
    let input_kgm2 = |turning_with_input: f64| turning_with_input * RATIO * RATIO + 0.25;
    let mut slipping = car.clone();
    slipping.engine.inertia_kgm2 = 1e6;
    slipping.clutch.clamp_n = 200.0;
    // Engine and gearbox swing together while the clutch is locked, the gearbox alone while it slips.
    for (car, held_radps, one_kgm2) in [(car, 1e-3, input_kgm2(0.212)), (slipping, 1e4, input_kgm2(0.012))] {
        let (run, samples) = sampled(&car, &stop_after(3.0, bare::scenario(held_radps, QUARTER_MILE)), 1e-3);
        let steady_nm = torsion::steady_nm(200.0 * RATIO, one_kgm2, body_kgm2)
            + torsion::steady_nm(rolling_nm, body_kgm2, one_kgm2);
        let swings = rising(&samples, steady_nm, |s| s.shaft_nm);

        assert!(swings.len() > 8, "{} swings", swings.len());
        let period_s = (swings[swings.len() - 1] - swings[0]) / (swings.len() - 1) as f64;
        let known_radps = torsion::natural_radps(stiffness, one_kgm2, body_kgm2);
        near("frequency", core::f64::consts::TAU / period_s, known_radps, 2e-4 * known_radps);
        near("peak shaft torque", run.peaks.shaft_torque_nm, 2.0 * steady_nm, 2e-3 * steady_nm);
    }
}

/// A car whose driven wheels slide from the start on `friction`.
fn sliding(stance: start::Stance, layout: Layout, friction: f64) -> Vehicle {
    let mut car = bare::pulled(1500.0, 30_000.0);
    car.driveline.layout = layout;
    for tyre in [&mut car.front_tyre, &mut car.rear_tyre] {
        *tyre = bare::sliding_tyre(friction);
        tyre.wheel_inertia_kgm2 = 1e-6;
    }
    // The wheels that slide may have any inertia: their force is that of friction.
    if layout != Layout::Rear {
        car.front_tyre.wheel_inertia_kgm2 = 2.0;
    }
    if layout != Layout::Front {
        car.rear_tyre.wheel_inertia_kgm2 = 2.0;
    }
    car.chassis.front_weight_share = stance.front_share;
    car.chassis.cg_height_m = stance.height_m;
    car.chassis.wheelbase_m = stance.wheelbase_m;
    car
}

/// Acceleration over gravity two seconds after the start, when pitch has settled.
fn settled_g(car: &Vehicle, scenario: &Scenario) -> f64 {
    let (_, samples) = sampled(car, &stop_after(2.5, scenario.clone()), 0.1);
    let at = samples.iter().find(|s| s.time_s > 2.0).expect("runs for 2.5 s");
    at.acceleration_mps2 / GRAVITY_MPS2
}

#[test]
fn friction_limits_a_start_as_statics_says() {
    let all = Layout::All { front_share: 0.5, centre: Differential::Open };
    let level = bare::scenario(1e5, Finish::Distance { distance_m: 1e4 });
    // Share of weight on the front axle; front and rear drive as they stand printed (recomputed).
    for (front_share, front, rear) in [(0.60, 0.498, 0.502), (0.50, 0.415, 0.628)] {
        let stance = start::Stance { front_share, height_m: 0.53, wheelbase_m: 2.60 };
        near("front drive as printed", stance.front_drive(1.0), front, 5e-4);
        near("rear drive as printed", stance.rear_drive(1.0), rear, 5e-4);
        for friction in [0.4, 1.0] {
            let got = |layout| settled_g(&sliding(stance, layout, friction), &level);
            near("front drive", got(Layout::Front), stance.front_drive(friction), 1e-5);
            near("rear drive", got(Layout::Rear), stance.rear_drive(friction), 1e-5);
            near("all-wheel drive", got(all), start::all_wheel_drive(friction, 0.0), 1e-5);
        }
    }
}

#[test]
fn friction_limits_a_start_on_a_hill_and_past_it_there_is_none() {
    let stance = start::Stance { front_share: 0.55, height_m: 0.5, wheelbase_m: 2.6 };
    let car = sliding(stance, Layout::All { front_share: 0.5, centre: Differential::Open }, 0.5);
    let mut hill = bare::scenario(1e5, Finish::Distance { distance_m: 1e4 });
    for rise_per_run in [-0.1, 0.1, 0.3] {
        hill.slope = Slope::Constant { rise_per_run };
        near("all-wheel drive", settled_g(&car, &hill), start::all_wheel_drive(0.5, rise_per_run), 1e-5);
    }
    // tan α = μ is the steepest hill; a hair under and over it.
    for (rise_per_run, moves) in [(0.499, true), (0.501, false)] {
        hill.slope = Slope::Constant { rise_per_run };
        assert_eq!(run(&car, &stop_after(2.0, hill.clone())).first_movement_s.is_some(), moves, "{rise_per_run}");
    }
}

#[test]
fn front_wheels_lift_at_the_acceleration_that_statics_says() {
    let stance = start::Stance { front_share: 0.3, height_m: 0.6, wheelbase_m: 2.5 };
    for (share_of_limit, lifts) in [(0.999, false), (1.001, true)] {
        let mut car = bare::pulled(1500.0, share_of_limit * stance.wheel_lift() * 1500.0 * GRAVITY_MPS2);
        car.chassis.front_weight_share = stance.front_share;
        car.chassis.cg_height_m = stance.height_m;
        car.chassis.wheelbase_m = stance.wheelbase_m;
        let (run, samples) = sampled(&car, &stop_after(2.0, bare::scenario(1e5, QUARTER_MILE)), 0.1);
        assert_eq!(run.launch.front_lifted_s > 0.0, lifts, "{share_of_limit}: {} s", run.launch.front_lifted_s);
        let standing_n = stance.front_share * 1500.0 * GRAVITY_MPS2;
        let left_n = samples[samples.len() - 1].front_load_n;
        near("front load", left_n, (1.0 - share_of_limit).max(0.0) * standing_n, 1e-5 * standing_n);
    }
}

#[test]
fn a_slope_takes_its_share_of_gravity_and_rolling_its_share_of_load() {
    let mut car = bare::pulled(1500.0, 6000.0);
    car.front_tyre.rolling_constant = 0.012;
    car.rear_tyre.rolling_constant = 0.012;
    for rise_per_run in [0.0, 0.02, -0.02, 0.15] {
        let angle = f64::atan(rise_per_run);
        let weight_n = car.chassis.mass_kg * GRAVITY_MPS2;
        let acceleration = (6000.0 - weight_n * (angle.sin() + 0.012 * angle.cos())) / 1500.0;
        let mut scenario = bare::scenario(1e5, QUARTER_MILE);
        let height_m = Curve::new(&[(0.0, 50.0), (900.0, 50.0 + 900.0 * angle.sin())]).expect("rising");
        for slope in [Slope::Constant { rise_per_run }, Slope::Profile { height_m, start_m: 100.0 }] {
            scenario.slope = slope;
            let gate = run(&car, &scenario).gate("1320 ft").expect("reached");
            near("time", gate.time_s, motion::time_to_distance_s(acceleration, 402.336), 5e-5);
            near("speed", gate.speed_mps, (2.0 * acceleration * 402.336).sqrt(), 5e-4);
        }
    }
}

/// 1 ft of rollout, and the trap over the last 66 ft: common practice, no source.
#[test]
fn rollout_and_trap_are_those_of_constant_acceleration() {
    let acceleration = 5.0;
    let known = |distance_m: f64| motion::time_to_distance_s(acceleration, distance_m);
    let run = run(&bare::pulled(1500.0, 1500.0 * acceleration), &bare::scenario(1e5, QUARTER_MILE));
    for (name, distance_m) in [("60 ft", 18.288), ("660 ft", 201.168), ("1320 ft", 402.336), ("100 m", 100.0)] {
        let gate = run.gate(name).expect("reached");
        near(name, gate.time_s, known(distance_m), 2e-5);
        near(name, gate.with_rollout_s.expect("past the rollout"), known(distance_m) - known(0.3048), 2e-5);
        near(name, gate.speed_mps, acceleration * known(distance_m), 2e-4);
    }
    for (name, speed_mps) in [("60 mph", 26.8224), ("100 km/h", 100.0 / 3.6)] {
        let gate = run.gate(name).expect("reached");
        near(name, gate.time_s, speed_mps / acceleration, 2e-5);
        near(name, gate.with_rollout_s.expect("past the rollout"), speed_mps / acceleration - known(0.3048), 2e-5);
    }
    for (name, end_m) in [("660 ft", 201.168), ("1320 ft", 402.336)] {
        let mean = 20.1168 / (known(end_m) - known(end_m - 20.1168));
        near(name, run.trap_mps(name).expect("reached"), mean, 2e-4);
    }
}
