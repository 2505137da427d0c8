//! How much a driver's own times scatter from start to start.

use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_physics::driver::{Driver, WheelspinResponse};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use rayon::prelude::*;
use serde::Serialize;

use super::car::{Car, Expected, time_of};
use super::draws::normal_at;
use crate::launch::Launch;
use crate::target::Target;
use crate::watch::Watch;

/// Times of the same car, planned the same, driven by a person.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Scatter {
    /// Number of starts.
    pub starts: u32,
    /// Those of them that did not get to the target.
    pub not_arrived: u32,
    /// Standard deviation of the time of the others, s.
    pub sd_s: f64,
    /// Their mean time less that of the best launch carried out exactly, s.
    pub mean_loss_s: f64,
}

/// Quickest release and reaction that a person is given, s.
const LEAST_S: f64 = 0.02;

/// Starts for the scatter.
const STARTS: u32 = 512;
/// Starts with each launch of the menu, to find the one that suits the driver.
const TRIALS: u32 = 48;
/// What a start that does not arrive is taken to need, s: more than any that does.
const LOST_S: f64 = 60.0;

/// Starts that `scatter` makes with a menu of so many launches.
pub(super) fn runs(menu: usize) -> u64 {
    u64::from(STARTS) + u64::from(TRIALS) * menu as u64
}

/// Scatter of the times to the target of the car as expected, with the launch of the menu that has the shortest mean time in this
/// driver's hands: nobody plans for a knife's edge. Nothing if it was called off.
pub(super) fn scatter(
    car: &Expected,
    menu: &[Launch],
    base: &Car,
    spread: &DriverScatter,
    (target, seed): (Target, u32),
    watch: &dyn Watch,
) -> Option<Scatter> {
    let times = |launch: &Launch, starts: u32| -> Option<Vec<Option<f64>>> {
        let launch = Launch { shift_at_radps: base.launch.shift_at_radps.clone(), ..launch.clone() };
        let start = |start: u32| {
            let normal = |dimension: usize| normal_at(start, dimension, seed);
            let (launch, driver) = strayed(&car.vehicle, &launch, &car.scenario.driver, spread, &normal);
            watch.done(1);
            let scenario = Scenario { driver, ..car.scenario.clone() };
            (!watch.called_off()).then(|| time_of(&car.vehicle, &scenario, &launch, target).map(|(_, time_s)| time_s))
        };
        (0..starts).into_par_iter().map(start).collect()
    };
    let mut best: Option<(f64, &Launch)> = None;
    for launch in menu {
        let needed: f64 = times(launch, TRIALS)?.into_iter().map(|time| time.unwrap_or(LOST_S)).sum();
        if best.is_none_or(|(least, _)| needed < least) {
            best = Some((needed, launch));
        }
    }
    let launch = best.map_or(&base.launch, |(_, launch)| launch);
    let arrived: Vec<f64> = times(launch, STARTS)?.into_iter().flatten().collect();
    let n = arrived.len() as f64;
    let mean_s = arrived.iter().sum::<f64>() / n.max(1.0);
    let variance = arrived.iter().map(|s| (s - mean_s) * (s - mean_s)).sum::<f64>() / (n - 1.0).max(1.0);
    Some(Scatter {
        starts: STARTS,
        not_arrived: STARTS - arrived.len() as u32,
        sd_s: variance.sqrt(),
        mean_loss_s: if arrived.is_empty() { 0.0 } else { mean_s - base.time_s },
    })
}

/// A plan as a person carries it out.
fn strayed(
    vehicle: &Vehicle,
    launch: &Launch,
    driver: &Driver,
    spread: &DriverScatter,
    normal: &dyn Fn(usize) -> f64,
) -> (Launch, Driver) {
    let engine = &vehicle.engine;
    // Nobody holds less than idle or waits beyond the limiter.
    let most_radps = 0.5 * (engine.limiter.cut_radps + engine.limiter.resume_radps);
    let within = |radps: f64| radps.clamp(engine.idle_radps, most_radps);
    let shift_at_radps = (0..vehicle.gearbox.gears.len())
        .map(|gear| within(launch.by(driver).shift_radps(gear) + spread.shift_at_radps * normal(5 + gear)))
        .collect();
    let strayed = Launch {
        held_radps: within(launch.held_radps + spread.held_radps * normal(0)),
        release_s: (launch.release_s + spread.release_s * normal(1)).max(LEAST_S),
        throttle_ease_s: (launch.throttle_ease_s + spread.throttle_ease_s * normal(2)).max(0.0),
        shift_at_radps,
        ..launch.clone()
    };
    let wheelspin = match driver.wheelspin {
        WheelspinResponse::Delayed { reaction_s, notice_slip, lift_to, ease_back_s } => WheelspinResponse::Delayed {
            reaction_s: (reaction_s + spread.wheelspin_reaction_s * normal(3)).max(LEAST_S),
            notice_slip,
            lift_to,
            ease_back_s,
        },
        other => other,
    };
    let shift_reaction_s = (driver.shift_reaction_s + spread.shift_reaction_s * normal(4)).max(0.0);
    (strayed, Driver { wheelspin, shift_reaction_s, ..driver.clone() })
}
