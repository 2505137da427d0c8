//! How each measured start was driven: unknown too, and found along with the car.

use bitepoint_physics::simulate::{Tolerances, simulate_sampled};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

use super::observed::{Observed, SeenShift};

/// What is not known of a driver in one start, each in its standard deviations before: first movement, how the clutch comes in, throttle
/// ease, held revs, shift reaction, then the engine speed of each shift. Who keeps the revs with the pedal brings the clutch in by the revs
/// that are kept, and the time of the release hardly matters; who does not, by that time.
pub(super) const UNKNOWNS: usize = FIRST_SHIFT + MOST_SHIFTS;
const FIRST_SHIFT: usize = 5;
const MOST_SHIFTS: usize = 4;

/// Those that are reported, for people.
pub(super) fn names(day: &Scenario) -> [&'static str; 5] {
    let clutch = if day.driver.clutch_feel.is_some() { "kept revs" } else { "clutch release" };
    ["first movement", clutch, "throttle ease", "held revs", "first shift"]
}
/// Their places.
pub(super) const TOLD: [usize; 5] = [0, 1, 2, 3, FIRST_SHIFT];

/// Standard deviations before: of a factor e^(sd z), or in the unit named.
const RELEASE: f64 = 0.5;
const KEPT: f64 = 0.2;
const EASE: f64 = 0.5;
const REACTION: f64 = 0.5;
/// Where the log has no engine speed, and where it has, rad/s.
const HELD_UNSEEN: f64 = 0.15;
const HELD_SEEN_RADPS: f64 = 5.0;
const SHIFT_UNSEEN_RADPS: f64 = 20.0;
/// Least standard deviation of the first movement, s: the log's own estimate knows nothing of the car.
const MOVED_S: f64 = 0.1;
/// A shift seen above this share of the limiter's speed was made on the limiter: how long that lasted is the reaction.
const ON_LIMITER: f64 = 0.975;
/// Time between the samples of a simulated start, s.
const SAMPLE_S: f64 = 0.01;
/// Farther than any start goes, m.
const FAR_M: f64 = 9e3;

/// The day with the driver of a start, at deviates.
pub(super) fn scenario(observed: &Observed, day: &Scenario, car: &Vehicle, z: &[f64]) -> Scenario {
    let mut scenario = day.clone();
    let (idle, cut) = (car.engine.idle_radps, car.engine.limiter.cut_radps);
    let driver = &mut scenario.driver;
    driver.throttle_ease_s = driver.throttle_ease_s.max(0.05) * libm::exp(EASE * z[2]);
    let planned_radps = driver.held_radps;
    driver.held_radps = match observed.held_radps {
        Some(held) => held + HELD_SEEN_RADPS * z[3],
        None => planned_radps * libm::exp(HELD_UNSEEN * z[3]),
    }
    .clamp(idle, 0.97 * cut);
    if driver.clutch_feel.is_some() {
        // Who holds more keeps more.
        let kept_of_held = driver.kept_radps / planned_radps.max(1.0) * libm::exp(KEPT * z[1]);
        driver.kept_radps = kept_of_held.min(1.0) * driver.held_radps;
    } else {
        driver.release_s *= libm::exp(RELEASE * z[1]);
    }
    driver.shift_reaction_s *= libm::exp(REACTION * z[4]);
    let shift_z = |gear: usize| z[FIRST_SHIFT + gear.min(MOST_SHIFTS - 1)];
    match &observed.shifts {
        Some(seen) => {
            let on_limiter = seen.iter().any(|s| s.at_radps > ON_LIMITER * cut);
            if !on_limiter {
                // The log shows when the engine falls, not when the driver decides.
                driver.shift_reaction_s = 0.0;
            }
            let at = |(gear, s): (usize, &SeenShift)| {
                let decided_radps = s.at_radps - s.rise_radps2 * driver.shift_reaction_s;
                decided_radps.min(ON_LIMITER * cut) + s.sd_radps * shift_z(gear)
            };
            driver.shift_at_radps = seen.iter().enumerate().map(at).collect();
        }
        None => {
            for (gear, at) in driver.shift_at_radps.iter_mut().enumerate() {
                *at += SHIFT_UNSEEN_RADPS * shift_z(gear);
            }
        }
    }
    driver.shift_at_radps.iter_mut().for_each(|w| *w = w.clamp(1.2 * idle, 0.99 * cut));
    scenario.finish = Finish::Distance { distance_m: FAR_M };
    let last_s = observed.time_s.last().copied().unwrap_or_default();
    scenario.time_limit_s = last_s + driver.release_s + 2.0;
    scenario
}

/// When the car moved first, after what the log alone says, s.
pub(super) fn moved_s(observed: &Observed, z: f64) -> f64 {
    MOVED_S.max(2.0 * observed.first_movement_sd_s) * z
}

/// Value of one of a start's unknowns at its deviate, SI, for telling it.
pub(super) fn told(observed: &Observed, day: &Scenario, car: &Vehicle, which: usize, z: &[f64]) -> f64 {
    let driver = scenario(observed, day, car, z).driver;
    match which {
        0 => moved_s(observed, z[0]),
        1 if driver.clutch_feel.is_some() => driver.kept_radps,
        1 => driver.release_s,
        2 => driver.throttle_ease_s,
        3 => driver.held_radps,
        _ => driver.shift_at_radps.first().copied().unwrap_or_default(),
    }
}

/// Speeds of the simulated start at the measured times; nothing if it cannot be computed.
pub(super) fn speeds(observed: &Observed, day: &Scenario, car: &Vehicle, z: &[f64]) -> Option<Vec<f64>> {
    let scenario = scenario(observed, day, car, z);
    let tolerances = Tolerances { relative: 3e-5 };
    let (_, samples) = simulate_sampled(car, &scenario, &tolerances, SAMPLE_S).ok()?;
    let late_s = moved_s(observed, z[0]);
    let mut k = 0;
    let speeds = observed.time_s.iter().map(|t| {
        let t = t - late_s;
        while k + 1 < samples.len() && samples[k + 1].time_s < t {
            k += 1;
        }
        let Some((a, b)) = samples.get(k).zip(samples.get(k + 1)) else {
            return samples.last().map_or(0.0, |s| s.speed_mps);
        };
        let share = ((t - a.time_s) / (b.time_s - a.time_s)).clamp(0.0, 1.0);
        a.speed_mps + share * (b.speed_mps - a.speed_mps)
    });
    Some(speeds.collect())
}
