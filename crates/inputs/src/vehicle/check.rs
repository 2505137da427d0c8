//! What cannot be true together in a vehicle file, each value being fine alone.

use crate::given::{Givens, missing};
use crate::key::{Key, rpm};
use crate::problem::Collector;
use crate::quantity::{Dimension, UnitSystem, digits};
use crate::vehicle_keys as keys;

/// Agreement that rounded figures of a brochure reach: power to 1 kW or hp, speed to 100 rpm.
const BROCHURE_ROUNDING: f64 = 0.02;

pub(super) fn check(given: &Givens, collector: &mut Collector) {
    ratings(given, collector);
    torque_curve(given, collector);
    engine_speeds(given, collector);
    transmission(given, collector);
    body(given, collector);
    idle_keys(given, collector);
}

fn show_speed(radps: f64) -> String {
    Dimension::AngularSpeed.show(radps, UnitSystem::Si)
}

fn show_torque(nm: f64) -> String {
    format!("{} ({})", Dimension::Torque.show(nm, UnitSystem::Si), Dimension::Torque.show(nm, UnitSystem::Us))
}

/// Reports `upper` unless it is above `lower`, both being given.
fn above(given: &Givens, lower: &'static Key, upper: &'static Key, or_equal: bool, collector: &mut Collector) {
    let (Some(low), Some(high)) = (given.number(lower), given.number(upper)) else { return };
    if high < low || (high == low && !or_equal) {
        let shown = |si: f64| upper.kind.dimension().unwrap_or(Dimension::Ratio).show(si, UnitSystem::Si);
        let what = format!("{} is not above {}", upper.path, lower.path);
        let accepted = format!(
            "{} {}, which is {} in line {}",
            if or_equal { "at least" } else { "above" },
            lower.path,
            shown(low),
            given.line(lower)
        );
        given.clash(collector, upper, what, accepted);
    }
}

fn ratings(given: &Givens, collector: &mut Collector) {
    let sheet: [&'static Key; 4] = [&keys::PEAK_POWER, &keys::PEAK_POWER_AT, &keys::PEAK_TORQUE, &keys::PEAK_TORQUE_AT];
    if !given.has(&keys::TORQUE_CURVE) {
        let curve_was_tried = collector.problems.iter().any(|p| p.key.starts_with(keys::TORQUE_CURVE.path));
        if !curve_was_tried {
            sheet.iter().filter(|key| !given.has(key)).for_each(|key| missing(key, collector));
        }
    }
    above(given, &keys::PEAK_TORQUE_AT, &keys::PEAK_POWER_AT, false, collector);
    above(given, &keys::PEAK_POWER_AT, &keys::REDLINE, true, collector);
    above(given, &keys::PEAK_TORQUE_AT, &keys::REDLINE, false, collector);
    let [power, power_at, torque, torque_at] = sheet.map(|key| given.number(key));
    let (Some(power), Some(power_at), Some(torque)) = (power, power_at, torque) else { return };
    let implied_nm = power / power_at;
    if implied_nm > torque * (1.0 + BROCHURE_ROUNDING) {
        let what = format!(
            "peak power at {} is a torque of {}, above peak torque",
            show_speed(power_at),
            show_torque(implied_nm)
        );
        let accepted = format!(
            "at most {} with the peak torque of {} in line {}: check the speed and the unit of each",
            Dimension::Power.show(torque * power_at, UnitSystem::Si),
            show_torque(torque),
            given.line(&keys::PEAK_TORQUE)
        );
        given.clash(collector, &keys::PEAK_POWER, what, accepted);
    }
    let Some(torque_at) = torque_at.filter(|at| *at < power_at) else { return };
    if torque * torque_at > power * (1.0 + BROCHURE_ROUNDING) {
        let what = format!(
            "peak torque at {} is a power of {}, above peak power",
            show_speed(torque_at),
            Dimension::Power.show(torque * torque_at, UnitSystem::Si)
        );
        let accepted = format!(
            "at most {} with the peak power in line {}",
            show_torque(power / torque_at),
            given.line(&keys::PEAK_POWER)
        );
        given.clash(collector, &keys::PEAK_TORQUE, what, accepted);
    }
}

fn torque_curve(given: &Givens, collector: &mut Collector) {
    let Some(points) = given.curve(&keys::TORQUE_CURVE) else { return };
    let (first, last) = (points[0].0, points[points.len() - 1].0);
    if let Some(redline) = given.number(&keys::REDLINE).filter(|redline| last < 0.9 * redline) {
        let what = format!("the curve ends at {}, well short of the redline", show_speed(last));
        given.clash(
            collector,
            &keys::TORQUE_CURVE,
            what,
            format!("a last point at or beyond 90 % of {}", show_speed(redline)),
        );
    }
    if first > rpm(3500.0) {
        let what = format!("the curve begins at {}: a start happens under that", show_speed(first));
        given.clash(
            collector,
            &keys::TORQUE_CURVE,
            what,
            format!("a first point at or under {}", show_speed(rpm(3500.0))),
        );
    }
    let largest = |score: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(score).fold(0.0, f64::max);
    let peaks: [(&'static Key, f64); 2] =
        [(&keys::PEAK_TORQUE, largest(&|p| p.1)), (&keys::PEAK_POWER, largest(&|p| p.0 * p.1))];
    for (key, of_curve) in peaks {
        let Some(stated) = given.number(key).filter(|stated| (stated / of_curve - 1.0).abs() > 0.05) else { continue };
        let dimension = key.kind.dimension().unwrap_or(Dimension::Ratio);
        let what = format!(
            "this is {} % off the largest of engine.torque_curve",
            digits(100.0 * (stated / of_curve - 1.0).abs())
        );
        let accepted = format!(
            "within 5 % of {}, or leave it out: the curve alone is used",
            dimension.show(of_curve, UnitSystem::Si)
        );
        given.clash(collector, key, what, accepted);
    }
}

fn engine_speeds(given: &Givens, collector: &mut Collector) {
    above(given, &keys::STALL, &keys::IDLE, false, collector);
    above(given, &keys::IDLE, &keys::REDLINE, false, collector);
    above(given, &keys::IDLE, &keys::PEAK_TORQUE_AT, false, collector);
    above(given, &keys::IDLE, &keys::LAUNCH_LIMITER, false, collector);
    above(given, &keys::LIMITER_RESUME, &keys::LIMITER, false, collector);
    above(given, &keys::PEAK_POWER_AT, &keys::LIMITER, true, collector);
    above(given, &keys::LAUNCH_LIMITER, &keys::REDLINE, true, collector);
    let (Some(redline), Some(limiter)) = (given.number(&keys::REDLINE), given.number(&keys::LIMITER)) else { return };
    if limiter < 0.9 * redline {
        let accepted = format!("at least 90 % of the redline, {}", show_speed(0.9 * redline));
        given.clash(collector, &keys::LIMITER, "the limiter cuts well under the redline".to_owned(), accepted);
    }
}

fn transmission(given: &Givens, collector: &mut Collector) {
    let ratios = given.list(&keys::GEAR_RATIOS);
    if let Some(ratios) = ratios {
        if let Some(i) = ratios.windows(2).position(|pair| pair[1] >= pair[0]) {
            let what = format!(
                "ratio {} ({}) does not lie under the one before it ({})",
                i + 2,
                digits(ratios[i + 1]),
                digits(ratios[i])
            );
            given.clash(
                collector,
                &keys::GEAR_RATIOS,
                what,
                "ratios that fall from gear to gear, first gear first".to_owned(),
            );
        }
        for key in [&keys::GEAR_EFFICIENCIES, &keys::GEAR_INERTIAS] {
            if let Some(list) = given.list(key).filter(|list| list.len() != ratios.len()) {
                let what = format!("{} values for {} gears", list.len(), ratios.len());
                given.clash(collector, key, what, format!("one value for each of the {} gear_ratios", ratios.len()));
            }
        }
        if let (Some(final_drive), Some(redline), Some(size)) =
            (given.number(&keys::FINAL_DRIVE), given.number(&keys::REDLINE), given.size(&keys::TYRE_SIZE))
        {
            let first_mps = redline / (ratios[0] * final_drive) * 0.5 * size.free_diameter_m();
            if !(15.0 / 3.6..=180.0 / 3.6).contains(&first_mps) {
                let what = format!(
                    "first gear would reach {} at the redline",
                    Dimension::Speed.show(first_mps, UnitSystem::Si)
                );
                let accepted = "15 to 180 km/h: check gear_ratios, final_drive, redline and tyre_size".to_owned();
                given.clash(collector, &keys::FINAL_DRIVE, what, accepted);
            }
        }
    }
    if given.has(&keys::CLUTCH_CAPACITY) && given.has(&keys::CLUTCH_CLAMP) {
        let what = "the clamp force and the torque capacity say the same thing twice".to_owned();
        given.clash(collector, &keys::CLUTCH_CLAMP, what, "one of them".to_owned());
    }
    if let (Some(capacity), Some(torque)) = (given.number(&keys::CLUTCH_CAPACITY), given.number(&keys::PEAK_TORQUE))
        && !(0.5 * torque..=8.0 * torque).contains(&capacity)
    {
        let what = format!("this clutch carries {} times peak torque", digits(capacity / torque));
        given.clash(collector, &keys::CLUTCH_CAPACITY, what, "0.5 to 8 times peak torque".to_owned());
    }
    if let (Some(bite), Some(band)) = (given.number(&keys::BITE_POINT), given.number(&keys::WORKING_BAND))
        && bite + band > 1.0
    {
        let what = "bite point and working band together are more than the pedal's travel".to_owned();
        given.clash(collector, &keys::WORKING_BAND, what, format!("at most {}", digits(1.0 - bite)));
    }
    above(given, &keys::FADE_START, &keys::CLUTCH_HARM, true, collector);
}

fn body(given: &Givens, collector: &mut Collector) {
    above(given, &keys::CG_HEIGHT, &keys::HEIGHT, false, collector);
    if given.has(&keys::DRAG_AREA) && given.has(&keys::DRAG_COEFFICIENT) {
        let what = "the drag area and the drag coefficient say the same thing twice".to_owned();
        given.clash(collector, &keys::DRAG_AREA, what, "one of them".to_owned());
    }
    if let (Some(cg), Some(wheelbase)) = (given.number(&keys::CG_HEIGHT), given.number(&keys::WHEELBASE))
        && cg > 0.4 * wheelbase
    {
        let what = "the centre of gravity is too high for this wheelbase".to_owned();
        given.clash(collector, &keys::CG_HEIGHT, what, "at most 0.4 of the wheelbase".to_owned());
    }
}

/// Keys that would be read and then change nothing, so that somebody who gave them would be misled.
fn idle_keys(given: &Givens, collector: &mut Collector) {
    let mut useless = |keys: &[&'static Key], why: String| {
        for key in keys.iter().filter(|key| given.concerns(key)) {
            given.clash(
                collector,
                key,
                format!("this key changes nothing: {why}"),
                "leave it out, or change what it depends on".to_owned(),
            );
        }
    };
    if let Some(aspiration) = given.choice(&keys::ASPIRATION).filter(|word| *word != "turbocharged") {
        useless(
            &[&keys::OFF_BOOST_SHARE, &keys::OFF_BOOST_CURVE, &keys::SPOOL_TIME, &keys::SPOOL_AT],
            format!("the engine is {aspiration}, so no boost has to build"),
        );
    }
    if let Some(driven) = given.choice(&keys::DRIVEN_AXLE) {
        if driven != "all" {
            let centre =
                [&keys::FRONT_TORQUE_SHARE, &keys::CENTRE_DIFFERENTIAL, &keys::CENTRE_PRELOAD, &keys::CENTRE_BIAS];
            useless(&centre, format!("only the {driven} axle is driven"));
        }
        if driven == "rear" {
            useless(
                &[&keys::FRONT_DIFFERENTIAL, &keys::FRONT_PRELOAD, &keys::FRONT_BIAS],
                "the front axle is not driven".to_owned(),
            );
        }
        if driven == "front" {
            let rear = [&keys::REAR_DIFFERENTIAL, &keys::REAR_PRELOAD, &keys::REAR_BIAS, &keys::SOLID_REAR_AXLE];
            useless(&rear, "the rear axle is not driven".to_owned());
        }
    }
    if given.flag(&keys::SOLID_REAR_AXLE) != Some(true) {
        useless(&[&keys::REAR_TRACK, &keys::FRONT_ROLL_SHARE], "solid_rear_axle is not true".to_owned());
    }
    let differentials: [(&'static Key, [&'static Key; 2], &str); 3] = [
        (&keys::FRONT_DIFFERENTIAL, [&keys::FRONT_PRELOAD, &keys::FRONT_BIAS], "open"),
        (&keys::REAR_DIFFERENTIAL, [&keys::REAR_PRELOAD, &keys::REAR_BIAS], "open"),
        (&keys::CENTRE_DIFFERENTIAL, [&keys::CENTRE_PRELOAD, &keys::CENTRE_BIAS], "limited-slip"),
    ];
    for (kind, numbers, otherwise) in differentials {
        let word = given.choice(kind).unwrap_or(otherwise);
        if word != "limited-slip" {
            useless(&numbers, format!("{} is {word}", kind.path));
        }
    }
    if !given.has(&keys::LAUNCH_LIMITER) {
        useless(&[&keys::LAUNCH_LIMITER_UNTIL], "there is no launch_limiter".to_owned());
    }
    if given.has(&keys::TORQUE_CURVE) {
        let shape = [&keys::PLATEAU_SHARE, &keys::REDLINE_POWER_SHARE];
        useless(&shape, "engine.torque_curve gives the shape".to_owned());
    }
    if given.has(&keys::OFF_BOOST_CURVE) {
        useless(&[&keys::OFF_BOOST_SHARE], "engine.off_boost_curve is given".to_owned());
    }
    if given.has(&keys::GEAR_EFFICIENCIES) {
        useless(
            &[&keys::GEAR_EFFICIENCY, &keys::DIRECT_EFFICIENCY],
            "gearbox.efficiencies gives each gear's".to_owned(),
        );
    }
    if given.has(&keys::GEAR_INERTIAS) {
        useless(&[&keys::GEAR_INERTIA], "gearbox.gear_inertias gives each gear's".to_owned());
    }
    if [&keys::CLUTCH_OUT_TIME, &keys::CHANGE_TIME, &keys::CLUTCH_IN_TIME].iter().all(|key| given.has(key)) {
        useless(&[&keys::SHIFT_TIME], "its three parts are given".to_owned());
    }
}
