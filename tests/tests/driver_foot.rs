//! What the driver's foot does: the part throttle, the second lift, the shift that waits for the road.
//!
//! Common practice, no source: a strong rear-drive car is launched on a held part throttle, a lift that does not stop the spin is
//! followed by another, and engine speed of spinning tyres is no reason to shift.

use bitepoint_checks::cars::{self, RPM};
use bitepoint_checks::real::best_launch::gate;
use bitepoint_physics::driver::{PartThrottle, Trim, WheelspinResponse};
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::simulate::{Tolerances, simulate, simulate_sampled};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

const LIFTING: WheelspinResponse =
    WheelspinResponse::Trimmed(Trim { lag_s: 0.2, target_slip: 0.2, gain: 1.2, foot_per_s: 4.0 });

/// Twice the engine of the sample car.
fn strong() -> Vehicle {
    let mut car = cars::rear_drive();
    let doubled: Vec<_> = car.engine.full_load_nm.points().into_iter().map(|(x, y)| (x, 2.0 * y)).collect();
    car.engine.full_load_nm = cars::curve(&doubled.iter().map(|(x, y)| (x / RPM, *y)).collect::<Vec<_>>());
    car.clutch.clamp_n *= 2.0;
    car
}

fn start(part: Option<PartThrottle>, wheelspin: WheelspinResponse) -> Scenario {
    let mut scenario = cars::dry(2500.0);
    scenario.driver.part_throttle = part;
    scenario.driver.wheelspin = wheelspin;
    scenario
}

fn run(scenario: &Scenario) -> Run {
    simulate(&strong(), scenario, &Tolerances::default()).expect("a start of the sample car")
}

fn sampled(scenario: &Scenario) -> Vec<Sample> {
    simulate_sampled(&strong(), scenario, &Tolerances::default(), 0.01).expect("a start of the sample car").1
}

fn sixty_s(run: &Run) -> f64 {
    gate(run, "60 mph").expect("the car reaches it").time_s
}

#[test]
fn a_held_part_throttle_is_quicker_and_spins_less_than_the_floor() {
    let floor = run(&start(None, WheelspinResponse::None));
    let part = PartThrottle { held: 0.5, until_mps: 14.0, open_s: 1.0 };
    let held = run(&start(Some(part), WheelspinResponse::None));
    assert!(sixty_s(&held) < sixty_s(&floor) - 0.1, "{} {}", sixty_s(&held), sixty_s(&floor));
    // By what the tyres turn to heat: the time past the peak would count a tyre just past it like one that races.
    assert!(held.energy.tyre_slip_j < floor.energy.tyre_slip_j, "{:?} {:?}", held.energy, floor.energy);
}

#[test]
fn a_part_throttle_of_all_is_none() {
    let all = PartThrottle { held: 1.0, until_mps: 9.0, open_s: 0.5 };
    let (all, none) = (run(&start(Some(all), LIFTING)), run(&start(None, LIFTING)));
    assert!((sixty_s(&all) - sixty_s(&none)).abs() < 1e-3, "{} {}", sixty_s(&all), sixty_s(&none));
}

#[test]
fn the_part_throttle_is_held_to_its_road_speed_and_then_opens_in_its_time() {
    let part = PartThrottle { held: 0.4, until_mps: 8.0, open_s: 0.8 };
    let samples = sampled(&start(Some(part), WheelspinResponse::None));
    // Past the ease, and past the lag of the throttle.
    let held = samples.iter().filter(|s| s.time_s > 1.2 && s.speed_mps < 8.0).collect::<Vec<_>>();
    assert!(held.len() > 20);
    assert!(
        held.iter().all(|s| (s.throttle - 0.4).abs() < 0.01),
        "{:?}",
        held.iter().map(|s| s.throttle).collect::<Vec<_>>()
    );
    let opens_s = samples.iter().find(|s| s.speed_mps >= 8.0).expect("it gets there").time_s;
    let open = samples.iter().find(|s| s.time_s >= opens_s + 0.8 + 0.4).expect("it goes on");
    assert!(open.throttle > 0.98 || open.gear != 1, "{}", open.throttle);
}

#[test]
fn after_a_shift_a_part_throttle_gives_the_wheels_as_much_again() {
    let part = PartThrottle { held: 0.35, until_mps: 60.0, open_s: 1.0 };
    let car = strong();
    let samples = sampled(&start(Some(part), WheelspinResponse::None));
    let given = car.gearbox.overall_ratio(0) / car.gearbox.overall_ratio(1);
    let in_second: Vec<f64> = samples.iter().filter(|s| s.gear == 2 && s.pedal == 1.0).map(|s| s.throttle).collect();
    let middle = in_second[in_second.len() / 2];
    assert!((middle - 0.35 * given).abs() < 0.01, "{middle} {given}");
}

#[test]
fn a_lift_that_does_not_help_is_followed_by_another() {
    let mut scenario = start(None, LIFTING);
    scenario.surface.friction_scale = 0.4;
    let run = run(&scenario);
    assert!(run.launch.lifts > 1, "{}", run.launch.lifts);
    let least =
        sampled(&scenario).iter().filter(|s| s.gear == 1 && s.speed_mps > 0.5).map(|s| s.throttle).fold(1.0, f64::min);
    assert!(least < 0.65 * 0.65 + 0.02, "{least}");
}

#[test]
fn spinning_tyres_are_no_road_speed_to_shift_at() {
    let mut scenario = start(None, LIFTING);
    scenario.surface.friction_scale = 0.5;
    let car = strong();
    let per_mps = car.gearbox.overall_ratio(0) / car.rear_tyre.rolling_radius_m;
    let first_shift = |scenario: &Scenario| run(scenario).shifts.first().expect("it shifts").speed_mps * per_mps;
    let shift_radps = scenario.driver.shift_radps(0);
    let lifting = first_shift(&scenario);
    assert!(lifting > shift_radps / 1.25 - 1.0, "{lifting} {shift_radps}");
    // Who keeps the foot down shifts because the engine asks for it.
    scenario.driver.wheelspin = WheelspinResponse::None;
    let foot_down = first_shift(&scenario);
    assert!(foot_down < 0.75 * lifting, "{foot_down} {lifting}");
}
