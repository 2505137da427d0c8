//! The report's sentences, which the screen has too.

use bitepoint_physics::road::Slope;
use bitepoint_physics::timing::Mark;
use bitepoint_runner::bands::Band;
use bitepoint_runner::conditions::{Condition, Conditions, Share, StandardAir, Study};
use bitepoint_runner::target::Target;

use super::report::ConditionsReport;
use super::rounding::adding_up;
use super::unit::{heading, name, per, scale};
use crate::format::{SHARE, SPAN, Units, band, gate_name, number, time_difference};

/// A time, s, to the hundredth: no correction is known closer.
#[must_use]
pub fn time(seconds: f64) -> String {
    SPAN.text(seconds)
}

/// Its 5 to 95 % band; empty if there is none.
#[must_use]
pub fn from_to(of: Option<Band>) -> String {
    of.map_or_else(String::new, |b| format!(", from {} to {}", number(b.low_s, 2), number(b.high_s, 2)))
}

/// The gate as the end of a run: "to 60 mph", "over the 1/4 mile".
#[must_use]
pub fn to_gate(target: Target) -> String {
    match target.mark().mark {
        Mark::SpeedMps(_) => format!("to {}", target.gate),
        Mark::DistanceM(_) => format!("over {}", gate_name(target.gate)),
    }
}

/// The reference in a few words: "on the level in still standard air".
#[must_use]
pub fn in_reference(study: &Study) -> String {
    let reference = &study.request.reference;
    match reference.standard {
        Some(_) => "on the level in still standard air".to_owned(),
        None => format!("in the conditions of “{}”", reference.day),
    }
}

/// The reference's air with its name: "ISO 2533 at sea level".
#[must_use]
pub fn standard_name(standard: StandardAir) -> &'static str {
    match standard {
        StandardAir::Iso2533 => "ISO 2533 at sea level",
        StandardAir::SaeJ1349 => "SAE J1349",
    }
}

/// What the page or the screen begins with.
#[must_use]
pub fn headline(report: &ConditionsReport<'_>) -> String {
    let study = report.study;
    let whereabouts = in_reference(study);
    let first = {
        let mut letters = whereabouts.chars();
        letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
    };
    match (&study.both_ways, study.request.measurement) {
        (Some(both), _) => format!(
            "{first} the two runs would have taken {} on average{}",
            time(both.corrected_s),
            from_to(both.band_s)
        ),
        (None, Some(_)) => format!(
            "{first} this run would have taken {}{}",
            time(study.correction.corrected_s),
            from_to(study.correction.band_s)
        ),
        (None, None) => {
            let gained_s = study.correction.corrected_s - study.correction.time_s;
            let how = if gained_s >= 0.0 { "less" } else { "more" };
            format!(
                "A run {} takes {} {how} in these conditions than {whereabouts}{}",
                to_gate(study.request.target),
                time(gained_s.abs()),
                if clocks_differ(study) { ", by its own clock" } else { "" }
            )
        }
    }
}

fn clocks_differ(study: &Study) -> bool {
    study.day.rollout_m != study.request.reference.conditions.rollout_m
}

/// Where a clock starts: "from the end of a rollout of 1.00 ft", "from the first movement".
#[must_use]
pub fn clock(conditions: &Conditions, units: Units) -> String {
    if conditions.rollout_m > 0.0 {
        format!("from the end of a rollout of {}", scale(Condition::Rollout, units).text(conditions.rollout_m))
    } else {
        "from the first movement".to_owned()
    }
}

/// One condition as it is: "−1.0 %", "tail wind 3.0 m/s", "level", "none".
#[must_use]
pub fn value(condition: Condition, conditions: &Conditions, over_m: f64, units: Units) -> String {
    let si = conditions.value(condition, over_m);
    let scale = scale(condition, units);
    match condition {
        Condition::Slope if matches!(conditions.slope, Slope::Profile { .. }) => {
            format!("{} on average", scale.text(si))
        }
        Condition::Slope if si == 0.0 => "level".to_owned(),
        Condition::Wind if si == 0.0 => "still".to_owned(),
        Condition::Wind if si < 0.0 => format!("{} tail", scale.text(-si)),
        Condition::Wind => format!("{} head", scale.text(si)),
        Condition::Rollout if si == 0.0 => "none".to_owned(),
        _ => scale.text(si),
    }
}

/// Name of a condition: "slope".
#[must_use]
pub fn condition_name(condition: Condition) -> &'static str {
    name(condition)
}

/// The same at the head of a row.
#[must_use]
pub fn condition_heading(condition: Condition) -> &'static str {
    heading(condition)
}

/// Shares as text that adds up: "rollout +0.31 s", largest first.
#[must_use]
pub fn share_list(shares: &[Share]) -> Vec<(Condition, String)> {
    let rounded = adding_up(&shares.iter().map(|s| s.change_s).collect::<Vec<_>>(), 2);
    let mut told: Vec<(&Share, f64)> = shares.iter().zip(rounded).collect();
    told.sort_by(|a, b| b.0.change_s.abs().total_cmp(&a.0.change_s.abs()));
    told.into_iter().map(|(share, seconds)| (share.condition, time_difference(seconds))).collect()
}

/// Seconds per unit of a condition, with their band and the unit: "+0.113 s", "0.10 to 0.12", "1 %".
#[must_use]
pub fn per_unit(study: &Study, units: Units, condition: Condition) -> Option<(String, String, String)> {
    let sensitivity = study.sensitivities.iter().find(|s| s.condition == condition)?;
    let rollout_m = study.resolved.scenario.scenario.rollout_m;
    let (amount_si, unit) = per(condition, units, rollout_m);
    let seconds = |s_per_si: f64| signed(s_per_si * amount_si);
    let band = sensitivity
        .band_s_per_si
        .map_or_else(String::new, |b| format!("{} to {}", seconds(b.low_s), seconds(b.high_s)));
    Some((format!("{}\u{a0}s", seconds(sensitivity.s_per_si)), band, unit))
}

/// Seconds with their sign, to the millisecond.
fn signed(seconds: f64) -> String {
    let text = number(seconds, 3);
    if text.starts_with('−') || text.trim_start_matches(['0', '.']).is_empty() { text } else { format!("+{text}") }
}

/// What a condition's step was, for a table's reader: "−1.5 to −0.5 %".
#[must_use]
pub fn step(study: &Study, units: Units, condition: Condition) -> String {
    let Some(sensitivity) = study.sensitivities.iter().find(|s| s.condition == condition) else { return String::new() };
    let scale = scale(condition, units);
    format!("{} to {}", scale.number(sensitivity.from_si), scale.text(sensitivity.to_si))
}

/// The model's band in words; empty if there is none.
#[must_use]
pub fn model_band(study: &Study) -> String {
    study.model.band_s.map_or_else(String::new, |b| band(b.low_s, b.high_s))
}

/// Names of the conditions that were stated without a spread, and so are taken as exact.
#[must_use]
pub fn taken_as_exact(study: &Study) -> Vec<&'static str> {
    let exact = |condition: &Condition| {
        let entries = &study.resolved.scenario.entries;
        let differs = !study.day.same(*condition, &study.request.reference.conditions);
        // A survey has no spread of its own.
        let entry = entries.iter().find(|entry| entry.key.path == condition.key());
        differs && *condition != Condition::Rollout && entry.is_none_or(|entry| entry.spread_sd_si == 0.0)
    };
    Condition::ALL.iter().filter(|c| exact(c)).map(|c| name(*c)).collect()
}

/// How far the air of day and reference is from what the rating standard corrects for.
#[must_use]
pub fn standard(study: &Study) -> String {
    let engine = &study.resolved.vehicle.vehicle.engine;
    let factors = [&study.day.air, &study.request.reference.conditions.air].map(|air| engine.rated_to.correction(air));
    let (least, most) = (0.93, 1.07);
    let outside = factors.iter().map(|f| (least - f).max(f - most)).fold(0.0, f64::max);
    let told = format!(
        "The engine's rating standard corrects power by {} for the air of the run and by {} for that of the reference",
        number(factors[0], 3),
        number(factors[1], 3)
    );
    if outside > 0.0 {
        format!(
            "{told}; it covers factors of 0.93 to 1.07, and {} beyond that the correction is the model's own extrapolation.",
            SHARE.decimals(1).text(outside)
        )
    } else {
        format!("{told}; both lie within the 0.93 to 1.07 that it covers.")
    }
}

/// One line for each thing that two runs in opposite directions say.
#[must_use]
pub fn both_ways(study: &Study) -> Vec<String> {
    let Some(both) = &study.both_ways else { return Vec::new() };
    let leaves = |plain: &bitepoint_runner::conditions::PlainMean| {
        let band =
            plain.leaves_band_s.map_or_else(String::new, |b| format!(" ({} to {})", signed(b.low_s), signed(b.high_s)));
        format!("{}\u{a0}s{band}", signed(plain.leaves_s))
    };
    let share =
        |condition| both.shares.iter().find(|s| s.condition == condition).map_or(0.0, |share: &Share| share.change_s);
    let alone = |condition| {
        study.correction.shares.iter().find(|s| s.condition == condition).map_or(0.0, |share| share.change_s)
    };
    let road: Vec<String> = [Condition::Slope, Condition::Wind]
        .into_iter()
        .filter(|c| alone(*c) != 0.0)
        .map(|c| {
            format!(
                "{}\u{a0}s of {} against {}\u{a0}s in the run out alone",
                signed(share(c)),
                name(c),
                signed(alone(c))
            )
        })
        .collect();
    let mut lines = vec![format!(
        "The mean of the two times is {}: by the model it differs by {} from a run on the level without wind in the same air and by the same clock. The mean of the two accelerations gives {} and differs by {}.",
        time(both.of_times.time_s),
        leaves(&both.of_times),
        time(both.of_accelerations.time_s),
        leaves(&both.of_accelerations)
    )];
    if !road.is_empty() {
        lines.push(format!(
            "{}; what is left for the correction to add is {}. Air and rollout do not cancel at all.",
            if study.day.surveyed_m().is_some() {
                "On a road whose slope changes the end of one run is the start of the other, so that it cancels in part; a steady wind cancels to first order"
            } else {
                "Slope and steady wind cancel to first order only"
            },
            road.join(", ")
        ));
    }
    let explained = both.disagreement_band_s.is_some_and(|b| b.low_s <= 0.0 && b.high_s >= 0.0);
    lines.push(match both.disagreement_band_s {
        None => format!("Corrected by themselves the two runs differ by {}.", time(both.disagreement_s.abs())),
        Some(_) if explained => format!(
            "Corrected by themselves the two runs differ by {}, which the stated errors explain.",
            time(both.disagreement_s.abs())
        ),
        Some(_) => format!(
            "Corrected by themselves the two runs still differ by {}, more than the stated errors explain: slope or wind were not as stated, the wind changed, or the two starts were not alike.",
            time(both.disagreement_s.abs())
        ),
    });
    lines
}
