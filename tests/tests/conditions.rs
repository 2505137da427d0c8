//! What slope, wind, air and rollout are worth, through the whole simulator, against closed forms, standards and facts of the trade.

use bitepoint_checks::known::{air as table, motion};
use bitepoint_checks::{bare, cars};
use bitepoint_physics::air::{Air, PowerStandard};
use bitepoint_physics::road::{GRAVITY_MPS2, Slope};
use bitepoint_physics::simulate::Tolerances;
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};
use bitepoint_runner::conditions::{
    Condition, Conditions, Reference, Replacement, StandardAir, Timer, replace, sensitivities,
};
use bitepoint_runner::target::Clock;

const TIGHT: Tolerances = Tolerances { relative: 1e-8 };
const SIXTY_MPS: f64 = 60.0 * 0.44704;
const FOOT_M: f64 = 0.3048;

fn timer<'a>(vehicle: &'a Vehicle, scenario: &'a Scenario, gate: &'static str) -> Timer<'a> {
    Timer { vehicle, scenario, gate, tolerances: TIGHT }
}

/// The bare day with a head wind, so that the closed form of drag holds from the start.
fn bare_day(headwind_mps: f64) -> Scenario {
    let mut scenario = bare::scenario(1e4, Finish::Speed { speed_mps: SIXTY_MPS });
    scenario.headwind_mps = headwind_mps;
    scenario
}

fn seconds_per(timer: &Timer<'_>, day: &Conditions, condition: Condition) -> f64 {
    let all = sensitivities(timer, day, FOOT_M, 100.0).expect("the car reaches the gate");
    all.iter().find(|s| s.condition == condition).expect("each condition has one").s_per_si
}

/// Force 5000 N, 1500 kg, 0.42 N s²/m² of drag: the pulled car of the closed forms.
fn pulled() -> Vehicle {
    let mut car = bare::pulled(1500.0, 5000.0);
    car.chassis.drag_area_m2 = 0.7;
    car
}

fn known_time_s(car: &Vehicle, rise_per_run: f64, headwind_mps: f64) -> f64 {
    let sine = rise_per_run / (1.0 + rise_per_run * rise_per_run).sqrt();
    let force_n = 5000.0 - car.chassis.mass_kg * GRAVITY_MPS2 * sine;
    motion::time_to_speed_s(force_n, 1500.0, 0.42, headwind_mps, SIXTY_MPS)
}

#[test]
fn seconds_per_slope_and_wind_are_those_of_constant_force_against_drag() {
    let car = pulled();
    for headwind_mps in [3.0, 8.0] {
        let scenario = bare_day(headwind_mps);
        let timer = timer(&car, &scenario, "60 mph");
        let day = Conditions::of(&scenario, 0.0);
        // The derivative itself, by a step a thousand times smaller than the one under test.
        let slope = (known_time_s(&car, 5e-6, headwind_mps) - known_time_s(&car, -5e-6, headwind_mps)) / 1e-5;
        let wind = (known_time_s(&car, 0.0, headwind_mps + 1e-3) - known_time_s(&car, 0.0, headwind_mps - 1e-3)) / 2e-3;
        let got = [Condition::Slope, Condition::Wind].map(|condition| seconds_per(&timer, &day, condition));
        // What a step of that width leaves by its curvature is a few parts in ten thousand.
        for (got, known) in got.into_iter().zip([slope, wind]) {
            assert!((got / known - 1.0).abs() < 1e-3, "{got} s for {known} s");
        }
    }
}

#[test]
fn seconds_per_unit_do_not_hang_on_the_step() {
    real("1320 ft", |timer, day| {
        for (condition, half) in [
            (Condition::Slope, 0.001),
            (Condition::Wind, 0.5),
            (Condition::Temperature, 1.0),
            (Condition::Pressure, 250.0),
            (Condition::Humidity, 0.05),
        ] {
            let at = |by: f64| timer.time_s(&day.moved(condition, by)).expect("it gets there");
            let smaller = (at(half) - at(-half)) / (2.0 * half);
            let got = seconds_per(timer, day, condition);
            assert!((got / smaller - 1.0).abs() < 0.05, "{condition:?}: {got} against {smaller}");
        }
    });
}

#[test]
fn the_rollout_is_worth_the_time_of_the_first_foot() {
    let (force_n, moved_kg) = (5000.0, 1500.0);
    let car = bare::pulled(moved_kg, force_n);
    let scenario = bare_day(0.0);
    let timer = timer(&car, &scenario, "60 mph");
    let day = Conditions::of(&scenario, FOOT_M);
    let worth_s = -FOOT_M * seconds_per(&timer, &day, Condition::Rollout);
    let known_s = motion::time_to_distance_s(force_n / moved_kg, FOOT_M);
    assert!((worth_s - known_s).abs() < 2e-4 * known_s, "{worth_s} s for {known_s} s");
}

/// Constant torque in one gear without drag: the time goes as one over the torque, so as the standard's correction. The factors stand
/// in the table of `known::air` (formulas from memory, recomputed).
#[test]
fn a_time_that_only_the_engine_limits_goes_as_the_standards_factor() {
    for (celsius, pascal, humidity, _, sae, iso, din) in table::POWER_CORRECTION {
        for (standard, factor) in
            [(PowerStandard::SaeJ1349, sae), (PowerStandard::Iso1585, iso), (PowerStandard::Din70020, din)]
        {
            let mut car = bare::driven(1500.0, bare::flat(150.0));
            car.engine.rated_to = standard;
            car.engine.air_correction_share = 1.0;
            let scenario = bare::scenario(1.0, Finish::Speed { speed_mps: SIXTY_MPS });
            let timer = timer(&car, &scenario, "60 mph");
            let day = Conditions {
                air: Air { temperature_c: celsius, pressure_pa: pascal, relative_humidity: humidity },
                ..Conditions::of(&scenario, 0.0)
            };
            // The standard's own air, in which the factor is one.
            let reference = Conditions {
                air: match standard {
                    PowerStandard::Din70020 => {
                        Air { temperature_c: 20.0, pressure_pa: 101_300.0, relative_humidity: 0.0 }
                    }
                    _ => StandardAir::SaeJ1349.air(),
                },
                ..day.clone()
            };
            let model = replace(&timer, &day, &reference).expect("it gets there");
            let ratio = model.from_s / model.to_s;
            // The table has five digits.
            assert!((ratio / factor - 1.0).abs() < 2e-4, "{standard:?}: {ratio} for {factor}");
        }
    }
}

fn real(gate: &'static str, ask: impl Fn(&Timer<'_>, &Conditions)) {
    for (car, release_s) in [(cars::rear_drive(), 2.0), (cars::front_drive(), 2.0), (cars::all_wheel_drive(), 4.0)] {
        // A slow release on much grip: no wheelspin, to which the driver's answer would jump from one condition to the next.
        let mut scenario = cars::dry(5000.0);
        scenario.driver.release_s = release_s;
        scenario.surface.friction_scale = 2.0;
        scenario.headwind_mps = -3.0;
        scenario.slope = Slope::Constant { rise_per_run: -0.01 };
        scenario.air = Air { temperature_c: 5.0, pressure_pa: 99_500.0, relative_humidity: 0.6 };
        let timer = Timer { vehicle: &car, scenario: &scenario, gate, tolerances: Tolerances { relative: 1e-6 } };
        ask(&timer, &Conditions::of(&scenario, FOOT_M));
    }
}

fn reference() -> Conditions {
    Reference::level_and_still(StandardAir::Iso2533, Clock::FirstMovement).conditions
}

fn share(model: &Replacement, condition: Condition) -> f64 {
    model.shares_s[condition as usize]
}

#[test]
fn shares_add_up_to_the_correction() {
    real("60 mph", |timer, day| {
        let model = replace(timer, day, &reference()).expect("it gets there");
        let sum: f64 = model.shares_s.iter().sum();
        assert!((sum - (model.to_s - model.from_s)).abs() < 1e-12, "{model:?}");
        assert!(model.shares_s.iter().all(|share| *share != 0.0), "every condition differs: {model:?}");
        // Their order is not told to them: the way back has the same shares with the other sign.
        let back = replace(timer, &reference(), day).expect("it gets there");
        for (there, back) in model.shares_s.iter().zip(back.shares_s) {
            assert!((there + back).abs() < 1e-9, "{there} and {back}");
        }
    });
}

#[test]
fn a_share_is_the_mean_of_a_change_made_first_and_made_last() {
    real("60 mph", |timer, day| {
        let only_road = Conditions { slope: reference().slope, headwind_mps: 0.0, ..day.clone() };
        let model = replace(timer, day, &only_road).expect("it gets there");
        let time_s = |conditions: &Conditions| timer.time_s(conditions).expect("it gets there");
        let level = day.with(Condition::Slope, &only_road);
        let still = day.with(Condition::Wind, &only_road);
        let (first, last) = (time_s(&level) - time_s(day), time_s(&only_road) - time_s(&still));
        assert!((share(&model, Condition::Slope) - 0.5 * (first + last)).abs() < 1e-12);
    });
}

/// By how much the mean of a run there and back differs from a run on the level without wind, as slope and wind alone.
fn left_by_the_mean(timer: &Timer<'_>, day: &Conditions, part: f64) -> (f64, f64) {
    let day =
        Conditions { slope: Slope::Constant { rise_per_run: -0.02 * part }, headwind_mps: -4.0 * part, ..day.clone() };
    let level = Conditions { slope: reference().slope, headwind_mps: 0.0, ..day.clone() };
    let out = replace(timer, &day, &level).expect("it gets there");
    let back = replace(timer, &day.the_other_way(0.0), &level).expect("it gets there");
    (0.5 * (out.from_s + back.from_s) - out.to_s, out.to_s - out.from_s)
}

/// Slope and steady wind cancel to first order: what is left goes as their square.
#[test]
fn a_run_there_and_back_leaves_the_square_of_slope_and_wind() {
    real("1320 ft", |timer, day| {
        let (whole, flattered) = left_by_the_mean(timer, day, 1.0);
        let (half, _) = left_by_the_mean(timer, day, 0.5);
        assert!(whole > 0.0 && whole < 0.12 * flattered, "{whole} s of {flattered} s");
        assert!((3.0..5.5).contains(&(whole / half)), "{whole} s whole, {half} s half");
    });
}

// Facts of the trade. Common practice, no source.

#[test]
fn a_downhill_and_a_tail_wind_flatter_a_time() {
    real("1320 ft", |timer, day| {
        let model = replace(timer, day, &reference()).expect("it gets there");
        for condition in [Condition::Slope, Condition::Wind, Condition::Rollout] {
            assert!(share(&model, condition) > 0.01, "{condition:?}: {model:?}");
        }
    });
}

#[test]
fn cold_dense_air_helps_the_engine_and_hurts_by_drag() {
    real("1320 ft", |timer, day| {
        let warm = day.moved(Condition::Temperature, 25.0);
        let gain_s = |car: &Vehicle| {
            let timer = Timer { vehicle: car, ..*timer };
            timer.time_s(&warm).expect("it gets there") - timer.time_s(day).expect("it gets there")
        };
        let mut engine_alone = timer.vehicle.clone();
        engine_alone.engine.air_correction_share = 1.0;
        engine_alone.engine.rated_to = PowerStandard::SaeJ1349;
        engine_alone.chassis.drag_area_m2 = 0.0;
        let mut drag_alone = timer.vehicle.clone();
        drag_alone.engine.air_correction_share = 0.0;
        assert!(drag_alone.chassis.drag_area_m2 > 0.3);
        let (engine_s, drag_s) = (gain_s(&engine_alone), gain_s(&drag_alone));
        assert!(engine_s > 0.03, "the engine gains {engine_s} s by the cold");
        assert!(drag_s < -0.01, "drag costs {drag_s} s by the cold");
    });
}
