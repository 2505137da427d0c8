//! Simulated runs of several cars, days and drivers, whose truth is known: what logs are made of.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::driver::{ReleaseShape, Trim, WheelspinResponse};
use bitepoint_physics::run::{Ending, Run, Sample};
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};
use rand_distr::{Distribution, StandardUniform};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

/// Committed examples; the figures of `docs/trust` for made logs are for these.
const VEHICLES: [(&str, &str); 5] = [
    ("ellisar-28", include_str!("../../vehicles/ellisar-28.toml")),
    ("gravane-62", include_str!("../../vehicles/gravane-62.toml")),
    ("ombrel-20", include_str!("../../vehicles/ombrel-20.toml")),
    ("pilfret-roadster", include_str!("../../vehicles/pilfret-roadster.toml")),
    ("tumbrill-14", include_str!("../../vehicles/tumbrill-14.toml")),
];
const SCENARIOS: [(&str, &str); 5] = [
    ("dry-flat", include_str!("../../scenarios/dry-flat.toml")),
    ("wet-flat", include_str!("../../scenarios/wet-flat.toml")),
    ("prepared-strip", include_str!("../../scenarios/prepared-strip.toml")),
    ("uphill", include_str!("../../scenarios/uphill.toml")),
    ("cold-day", include_str!("../../scenarios/cold-day.toml")),
];

/// Time between the samples of a run, s.
pub const SAMPLE_S: f64 = 0.005;

/// A run whose truth is known.
#[derive(Debug, Clone)]
pub struct MadeRun {
    /// Name of the car's file.
    pub car: &'static str,
    /// The car.
    pub vehicle: Vehicle,
    /// The day and the driver.
    pub scenario: Scenario,
    /// What happened.
    pub run: Run,
    /// Instant by instant.
    pub samples: Vec<Sample>,
}

/// Uniform between two numbers.
pub fn uniform(rng: &mut Pcg64Mcg, from: f64, to: f64) -> f64 {
    let share: f64 = StandardUniform.sample(rng);
    from + share * (to - from)
}

/// One of the cars by its place, as its file.
///
/// # Panics
/// If the example is refused.
#[must_use]
pub fn car_file(place: usize) -> (&'static str, VehicleFile) {
    let (name, text) = VEHICLES[place % VEHICLES.len()];
    (name, VehicleFile::parse(name, text).unwrap_or_else(|e| panic!("{e}")))
}

/// One of the cars by its place, with every value as its file gives it.
#[must_use]
pub fn car(place: usize) -> (&'static str, Vehicle) {
    let (name, file) = car_file(place);
    (name, file.resolve().vehicle)
}

/// A day by its place, as its file.
///
/// # Panics
/// If the example is refused.
#[must_use]
pub fn day_file(place: usize) -> ScenarioFile {
    let (name, text) = SCENARIOS[place % SCENARIOS.len()];
    let none = |_: &str| Err("there is none".to_owned());
    ScenarioFile::parse(name, text, &none).unwrap_or_else(|e| panic!("{e}"))
}

/// A day by its place, for a car launched by rule of thumb.
#[must_use]
pub fn day(place: usize, vehicle: &Vehicle) -> Scenario {
    day_file(place).resolve(vehicle).unwrap_or_else(|e| panic!("{e}")).scenario
}

/// Simulates a run; nothing if it does not reach its finish.
#[must_use]
pub fn driven(car: &'static str, vehicle: &Vehicle, scenario: &Scenario) -> Option<MadeRun> {
    let (run, samples) = simulate_sampled(vehicle, scenario, &Tolerances::default(), SAMPLE_S).ok()?;
    let (vehicle, scenario) = (vehicle.clone(), scenario.clone());
    (run.ending == Ending::Finished).then_some(MadeRun { car, vehicle, scenario, run, samples })
}

/// So many timed runs to 500 m: each its own car, day, held revs, release, throttle and shifts.
#[must_use]
pub fn timed_runs(count: usize, seed: u64) -> Vec<MadeRun> {
    (0..count)
        .into_par_iter()
        .map(|i| {
            let mut rng = Pcg64Mcg::new(u128::from(seed) << 64 | (i as u128) << 1 | 1);
            // A drop that stalls is no run: another is drawn.
            loop {
                let (name, vehicle) = car(uniform(&mut rng, 0.0, 5.0) as usize);
                let mut scenario = day(uniform(&mut rng, 0.0, 5.0) as usize, &vehicle);
                let engine = &vehicle.engine;
                let driver = &mut scenario.driver;
                driver.held_radps = uniform(&mut rng, 1.8, 5.0) * engine.idle_radps;
                driver.held_radps = driver.held_radps.min(0.85 * engine.limiter.cut_radps);
                driver.release_s = uniform(&mut rng, 0.2, 2.5);
                driver.release_shape = [ReleaseShape::Straight, ReleaseShape::QuickToBite, ReleaseShape::QuickToBite]
                    [uniform(&mut rng, 0.0, 3.0) as usize];
                driver.throttle_ease_s = uniform(&mut rng, 0.1, 1.5);
                driver.wheelspin = match uniform(&mut rng, 0.0, 3.0) as usize {
                    0 => WheelspinResponse::None,
                    1 => WheelspinResponse::Ideal,
                    _ => WheelspinResponse::Trimmed(Trim { lag_s: 0.2, target_slip: 0.2, gain: 1.2, foot_per_s: 4.0 }),
                };
                driver.shift_reaction_s = uniform(&mut rng, 0.0, 0.3);
                scenario.finish = Finish::Distance { distance_m: 500.0 };
                if let Some(run) = driven(name, &vehicle, &scenario) {
                    return run;
                }
            }
        })
        .collect()
}
