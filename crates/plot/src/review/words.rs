//! A review in words.

use bitepoint_runlog::estimate::Estimate;
use bitepoint_runner::review::{Review, Reviewed, SetComparison};

use crate::format::{ENGINE_SPEED, SPAN, Units, time_difference};

/// A time with its standard error: "4.21 ± 0.03 s".
#[must_use]
pub fn with_error(estimate: Estimate) -> String {
    format!("{:.2} ± {:.2} s", estimate.value, estimate.sd)
}

/// How many starts there are.
#[must_use]
pub fn starts(review: &Review) -> String {
    match review.starts.len() {
        1 => "1 standing start".to_owned(),
        n => format!("{n} standing starts"),
    }
}

/// The one thing to change next, and why.
#[must_use]
pub fn change(review: &Review) -> String {
    let advice = &review.advice;
    advice.fault.map_or_else(
        || advice.change.clone(),
        |fault| {
            format!(
                "{} ({} in {} of {}; {} a start on the mean)",
                advice.change,
                fault.name(),
                advice.starts,
                starts(review),
                SPAN.text(advice.mean_lost_s)
            )
        },
    )
}

/// The best launch.
#[must_use]
pub fn best(review: &Review) -> String {
    let launch = &review.best.launch;
    let shifts: Vec<String> = review
        .best
        .run
        .shifts
        .iter()
        .map(|s| format!("{} to {} at {}", s.from_gear, s.from_gear + 1, ENGINE_SPEED.text(s.engine_radps)))
        .collect();
    let shifts = if shifts.is_empty() { "no shift".to_owned() } else { shifts.join(", ") };
    format!(
        "{} by the model: hold {}, pedal up over {:.1} s, {shifts}",
        SPAN.text(review.best.time_s),
        ENGINE_SPEED.text(launch.held_radps),
        launch.release_s
    )
}

/// What went wrong in a start, one line a fault, then what is not explained.
#[must_use]
pub fn of_start(start: &Reviewed) -> Vec<String> {
    let mut lines = Vec::new();
    let lost = |i: Option<usize>| start.costs.iter().flat_map(|c| &c.parts).find(|p| p.fault == i).map(|p| p.lost_s);
    for (i, fault) in start.faults.iter().enumerate() {
        let cost = lost(Some(i)).map_or(String::new(), |s| format!(", {}", time_difference(s)));
        lines.push(format!("{} at {:.1} s{cost}: {}", fault.kind.name(), fault.from_s, fault.evidence));
    }
    if let (Some(rest), Some(costs)) = (lost(None), &start.costs) {
        lines.push(format!(
            "not explained (car, air or driver) {}; gap {}",
            time_difference(rest),
            time_difference(costs.gap_s)
        ));
    }
    lines
}

/// The clutch over the session.
#[must_use]
pub fn clutch(review: &Review, units: Units) -> String {
    let heat = &review.heat;
    let temperature = units.temperature();
    let energy_j: f64 = heat.starts.iter().flatten().map(|h| h.energy_j).sum();
    let hottest = heat.starts.iter().flatten().map(|h| h.face_c).fold(f64::NEG_INFINITY, f64::max);
    if !hottest.is_finite() {
        return "the model stalls with these launches: its heat is not known".to_owned();
    }
    let cool = heat.cool_after_s.map_or("not cool again within hours".to_owned(), |s| {
        format!("cool again {:.0} min after the last", (s / 60.0).ceil())
    });
    let by = if heat.as_launched { "" } else { "; where the log lacks revs or pedal the best launch stands in" };
    format!(
        "{:.0} kJ over the session by the model, face up to {}; {cool}{by}",
        1e-3 * energy_j,
        temperature.text(hottest)
    )
}

/// Two sets of runs against each other.
#[must_use]
pub fn before_after(sets: &SetComparison) -> String {
    format!(
        "{} over {} and {} starts, 95 % from {} to {} (Welch, p {:.3}; ranks, p {:.3}); to tell 0.05 s takes {} starts in each",
        time_difference(sets.difference_s),
        sets.before,
        sets.after,
        time_difference(sets.low95_s),
        time_difference(sets.high95_s),
        sets.welch_p,
        sets.rank_p,
        sets.runs_to_tell
    )
}
