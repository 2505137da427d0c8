//! What the driver's foot does: the part throttle, the throttle trimmed for wheelspin, the shift that waits for the road.
//!
//! Common practice, no source: a strong rear-drive car is launched on a held part throttle, the longer the tyres spin the further the foot goes
//! back, and engine speed of spinning tyres is no reason to shift.

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

/// The throttle of a whole start, found again from slip alone: felt slip follows slip with the driver's lag, the foot follows what that leaves, at
/// its own rate, and the engine's throttle follows the foot. The equations are those of `docs/model.md`.
#[test]
fn the_throttle_follows_felt_slip_with_the_driver_s_lag_and_gain() {
    let mut scenario = start(None, LIFTING);
    scenario.surface.friction_scale = 0.4;
    scenario.driver.throttle_ease_s = 0.5;
    let WheelspinResponse::Trimmed(trim) = LIFTING else { unreachable!("a driver who trims") };
    let every_s = 1e-3;
    let samples = simulate_sampled(&strong(), &scenario, &Tolerances { relative: 1e-6 }, every_s).expect("a start").1;
    let slip = |s: &Sample| (s.tread_mps - s.speed_mps) / s.speed_mps.hypot(4.0);
    let bite_s = scenario.driver.release_s * strong().clutch.bite_point;
    let began_s = samples[0].time_s;
    let (mut felt, mut throttle, mut most_off, mut least) = (0.0, samples[0].throttle, 0.0_f64, 1.0_f64);
    for pair in samples.windows(2).take_while(|pair| pair[1].gear == 1 && pair[1].pedal >= pair[0].pedal) {
        let since_s = pair[0].time_s + 0.5 * every_s - began_s - bite_s;
        let opened = (since_s / scenario.driver.throttle_ease_s).clamp(0.0, 1.0);
        let program = samples[0].throttle + (1.0 - samples[0].throttle) * opened;
        let before = felt;
        felt += every_s * (0.5 * (slip(&pair[0]) + slip(&pair[1])) - felt) / (trim.lag_s + 0.5 * every_s);
        let asked = program * trim.left(0.5 * (before + felt));
        let rate = (asked - throttle) / (strong().engine.throttle_lag_s + 0.5 * every_s);
        throttle += every_s * rate.clamp(-trim.foot_per_s, trim.foot_per_s);
        most_off = most_off.max((throttle - pair[1].throttle).abs());
        least = least.min(pair[1].throttle);
    }
    assert!(most_off < 2e-3, "{most_off}");
    assert!(least < 0.3, "twice the engine on a road with 0.4 of the grip needs little throttle: {least}");
    assert!(run(&scenario).launch.trimmed_s > 1.0, "{}", run(&scenario).launch.trimmed_s);
}

#[test]
fn the_more_the_tyres_spin_the_further_the_foot_goes_back() {
    let least = |friction_scale: f64| {
        let mut scenario = start(None, LIFTING);
        scenario.surface.friction_scale = friction_scale;
        // From wide open on; before that the throttle is still on its way from holding revs.
        let samples = sampled(&scenario);
        let open = samples.iter().filter(|s| s.gear == 1 && s.time_s > 0.7 && s.pedal == 1.0).map(|s| s.throttle);
        open.fold(1.0, f64::min)
    };
    let [ice, wet, dry] = [0.1, 0.4, 1.3].map(least);
    assert!(ice < wet && wet < dry, "{ice} {wet} {dry}");
    // However much they spin, a tenth is left.
    assert!(ice >= 0.1 - 1e-3, "{ice}");
}

#[test]
fn spinning_tyres_are_no_road_speed_to_shift_at() {
    let mut scenario = start(None, LIFTING);
    scenario.surface.friction_scale = 0.5;
    let car = strong();
    let per_mps = car.gearbox.overall_ratio(0) / car.rear_tyre.rolling_radius_m;
    // Slip relative to road speed, as the driver feels it, with the wheels at the shift revs.
    let slip_at_shift = |scenario: &Scenario| {
        let speed_mps = run(scenario).shifts.first().expect("it shifts").speed_mps;
        (scenario.driver.shift_radps(0) / per_mps - speed_mps) / speed_mps.hypot(4.0)
    };
    let trimming = slip_at_shift(&scenario);
    // Felt slip is at most 1 then; slip itself may have grown since.
    assert!(trimming < 1.05, "{trimming}");
    // Who keeps the foot down shifts because the engine asks for it.
    scenario.driver.wheelspin = WheelspinResponse::None;
    let foot_down = slip_at_shift(&scenario);
    assert!(foot_down > 1.5 * trimming, "{foot_down} {trimming}");
}
