//! What cannot be true together in a scenario file, alone and with a car.

use bitepoint_physics::curve::Curve;
use bitepoint_physics::vehicle::Vehicle;

use super::file::DEFAULT_FINISH_M;
use crate::given::Givens;
use crate::key::Key;
use crate::problem::Collector;
use crate::quantity::{Dimension, UnitSystem};
use crate::scenario_keys as keys;

fn twice(given: &Givens, first: &'static Key, second: &'static Key, collector: &mut Collector) {
    if given.has(first) && given.has(second) {
        let what = format!("{} and {} say two things about one", second.path, first.path);
        given.clash(
            collector,
            second,
            what,
            format!("one of them; {} stands in line {}", first.path, given.line(first)),
        );
    }
}

pub(super) fn check(given: &Givens, profile: Option<&Curve>, collector: &mut Collector) {
    twice(given, &keys::SLOPE, &keys::SLOPE_PROFILE, collector);
    twice(given, &keys::PRESSURE, &keys::ALTITUDE, collector);
    twice(given, &keys::FINISH_DISTANCE, &keys::FINISH_SPEED, collector);
    if given.has(&keys::START_AT) && !given.has(&keys::SLOPE_PROFILE) {
        let what = "this key changes nothing: there is no road.slope_profile".to_owned();
        given.clash(collector, &keys::START_AT, what, "leave it out".to_owned());
    }
    let mut useless = |keys: &[&'static Key], why: &str| {
        for key in keys.iter().copied().filter(|key| given.has(key)) {
            given.clash(collector, key, format!("this key changes nothing: {why}"), "leave it out".to_owned());
        }
    };
    if given.choice(&keys::WHEELSPIN).is_some_and(|word| word != "trimmed") {
        let trim = [&keys::SLIP_LAG, &keys::TARGET_SLIP, &keys::TRIM_GAIN, &keys::SCATTER_SLIP_LAG];
        useless(&trim, "launch.wheelspin is not \"trimmed\"");
    }
    if given.flag(&keys::CLUTCH_FEEL) == Some(false) {
        let feel = [&keys::KEPT_REVS, &keys::REVS_LAG, &keys::STEADINESS, &keys::SCATTER_KEPT];
        useless(&feel, "launch.clutch_feel is false");
    }
    if let Some(profile) = profile {
        long_enough(given, profile, collector);
    }
}

fn long_enough(given: &Givens, profile: &Curve, collector: &mut Collector) {
    let (first_m, last_m) = profile.range();
    let start_m = given.number(&keys::START_AT).unwrap_or(first_m);
    let shown = |m: f64| Dimension::Length.show(m, UnitSystem::Si);
    if !(first_m..last_m).contains(&start_m) {
        let what = "the start lies outside of the slope profile".to_owned();
        given.clash(collector, &keys::START_AT, what, format!("{} to {}", shown(first_m), shown(last_m)));
        return;
    }
    // How far a run to a speed goes is not known beforehand.
    let finish_m = if given.has(&keys::FINISH_SPEED) {
        return;
    } else {
        given.number(&keys::FINISH_DISTANCE).unwrap_or(DEFAULT_FINISH_M)
    };
    if start_m + finish_m > last_m * (1.0 + 1e-9) {
        let what = format!("the profile ends at {}, before the finish at {}", shown(last_m), shown(start_m + finish_m));
        given.clash(
            collector,
            &keys::SLOPE_PROFILE,
            what,
            "a profile that reaches the finish, or a nearer finish".to_owned(),
        );
    }
}

/// Revs that this car cannot hold or reach.
pub(super) fn check_with(given: &Givens, vehicle: &Vehicle, collector: &mut Collector) {
    let engine = &vehicle.engine;
    let shown = |radps: f64| Dimension::AngularSpeed.show(radps, UnitSystem::Si);
    if let Some(revs) = given.number(&keys::KEPT_REVS).filter(|revs| *revs > engine.limiter.cut_radps) {
        let what = format!("this car's engine never turns at {}", shown(revs));
        given.clash(
            collector,
            &keys::KEPT_REVS,
            what,
            format!("at most {} (its limiter)", shown(engine.limiter.cut_radps)),
        );
    }
    if let Some(revs) = given.number(&keys::REVS) {
        let most = engine.launch_limiter.map_or(engine.limiter.cut_radps, |launch| launch.limiter.cut_radps);
        if revs > most || revs < engine.idle_radps {
            let what = "this car's engine cannot be held there".to_owned();
            let accepted = format!("{} (its idle) to {} (its limiter)", shown(engine.idle_radps), shown(most));
            given.clash(collector, &keys::REVS, what, accepted);
        }
    }
    if let Some(shift_at) = given.list(&keys::SHIFT_AT) {
        let gears = vehicle.gearbox.gears.len();
        if shift_at.len() > gears {
            let what = format!("{} values for {gears} gears", shift_at.len());
            given.clash(collector, &keys::SHIFT_AT, what, format!("one value, or at most {}", gears - 1));
        }
        let out_of_reach = shift_at.iter().find(|at| **at > engine.limiter.cut_radps || **at < 1.2 * engine.idle_radps);
        if let Some(at) = out_of_reach {
            let what = format!("this car's engine is never left at {}", shown(*at));
            let accepted =
                format!("{} to {} (its limiter)", shown(1.2 * engine.idle_radps), shown(engine.limiter.cut_radps));
            given.clash(collector, &keys::SHIFT_AT, what, accepted);
        }
    }
}
