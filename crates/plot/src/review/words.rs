//! A review in words.

use bitepoint_runlog::estimate::Estimate;
use bitepoint_runner::conditions::Study;
use bitepoint_runner::review::{Cost, Costs, Fault, FaultKind, Review, Reviewed, SetComparison, Yardstick};

use super::change::done;
use super::evidence::evidence;
use crate::conditions::words as conditions;
use crate::format::{ENGINE_SPEED, SHARE, SPAN, Units, gate_name, time_difference};

/// Less than this is told in tables alone, s.
pub(super) const TOLD_S: f64 = 0.01;

/// The first thing to say of a log that may be another car's.
pub const DOUBTFUL: &str = "First make sure that this log and this car go together.";

/// A time with its standard error, s: "4.21 ± 0.03".
#[must_use]
pub fn with_error(estimate: Estimate) -> String {
    format!("{} ± {}", SPAN.number(estimate.value), SPAN.number(estimate.sd))
}

/// How many starts there are.
#[must_use]
pub fn starts(review: &Review) -> String {
    match review.starts.len() {
        1 => "1 standing start".to_owned(),
        n => format!("{n} standing starts"),
    }
}

/// The recommended launch.
#[must_use]
pub fn best(best: &Yardstick, units: Units) -> String {
    let launch = &best.launch;
    let throttle = if launch.holds_part_throttle() {
        format!(
            ", {} throttle up to {}",
            SHARE.text(launch.part_throttle),
            units.speed().decimals(0).text(launch.part_until_mps)
        )
    } else {
        String::new()
    };
    let shifts: Vec<String> = best
        .run
        .shifts
        .iter()
        .map(|s| format!("{} to {} at {}", s.from_gear, s.from_gear + 1, ENGINE_SPEED.text(s.engine_radps)))
        .collect();
    let shifts = if shifts.is_empty() { "no shift".to_owned() } else { shifts.join(", ") };
    format!(
        "{} by the model: hold {}, pedal up over {}{throttle}, {shifts}",
        SPAN.text(best.time_s),
        ENGINE_SPEED.text(launch.held_radps),
        SPAN.decimals(1).text(launch.release_s)
    )
}

/// Where the gap of a start went: "throttle +2.10 s (wide open at 0.7 s, recommended 45 % up to 60 km/h), not explained +0.10 s".
#[must_use]
pub fn gap(start: &Reviewed, best: &Yardstick, units: Units) -> String {
    let Some(costs) = &start.costs else { return format!("{} was not reached", gate_name(best.target.gate)) };
    let each = |p: &Cost| format!("{} {} ({})", p.cause.name(), time_difference(p.lost_s), done(p, best, units));
    let mut parts: Vec<String> = costs.parts.iter().filter(|p| p.lost_s.abs() >= TOLD_S).map(each).collect();
    parts.push(format!("{} {}", rest(costs), time_difference(costs.rest_s)));
    format!("{} against the recommended launch: {}", time_difference(costs.gap_s), parts.join(", "))
}

/// What the rest of a gap is called.
#[must_use]
pub fn rest(costs: &Costs) -> &'static str {
    if costs.replay_s.is_some() {
        "not explained"
    } else {
        "not explained (the model does not get there when driven so)"
    }
}

/// What went wrong in a start, one line a kind: each time that it happened, and what shows the longest of them.
#[must_use]
pub fn faults(start: &Reviewed, best: &Yardstick, units: Units) -> Vec<String> {
    let of_kind = |kind: FaultKind| {
        let all: Vec<&Fault> = start.faults.iter().filter(|f| f.kind == kind).collect();
        let longest = all.iter().max_by(|a, b| (a.to_s - a.from_s).total_cmp(&(b.to_s - b.from_s)))?;
        let times: Vec<String> = all.iter().map(|f| SPAN.decimals(1).number(f.from_s)).collect();
        Some(format!("{} at {} s: {}", kind.name(), times.join(", "), evidence(longest, best, units)))
    };
    FaultKind::ALL.into_iter().filter_map(of_kind).collect()
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
    let cool = match heat.cool_after_s {
        None => "not cool again within hours".to_owned(),
        Some(s) if s < 1.0 => "after the last start as cool as before the first".to_owned(),
        Some(s) => format!("cool again {:.0} min after the last", (s / 60.0).ceil()),
    };
    let by = if heat.as_launched { "" } else { "; where the log lacks revs or pedal the recommended launch stands in" };
    format!(
        "{:.0} kJ over the session by the model, face up to {}; {cool}{by}",
        1e-3 * energy_j,
        temperature.text(hottest)
    )
}

/// The quickest start in reference conditions, and what each condition was worth.
#[must_use]
pub fn corrected(study: &Study) -> String {
    let correction = &study.correction;
    let shares: Vec<String> = conditions::share_list(&correction.shares)
        .into_iter()
        .filter(|(_, seconds)| !seconds.starts_with("0.00"))
        .map(|(condition, seconds)| format!("{} {seconds}", conditions::condition_name(condition)))
        .collect();
    let of = if shares.is_empty() { String::new() } else { format!(" ({})", shares.join(", ")) };
    format!(
        "the quickest, {}, would be {}{} {}{of}",
        conditions::time(correction.time_s),
        conditions::time(correction.corrected_s),
        conditions::from_to(correction.band_s),
        conditions::in_reference(study)
    )
}

fn verdict(sets: &SetComparison) -> &'static str {
    if sets.high95_s < 0.0 {
        "quicker than before"
    } else if sets.low95_s > 0.0 {
        "slower than before"
    } else {
        "cannot be told from no change"
    }
}

/// Two sets of runs against each other.
#[must_use]
pub fn before_after(sets: &SetComparison) -> String {
    format!(
        "{}: means {} over {} starts before and {} after, the true difference from {} to {} nineteen times in twenty (Welch, p {:.3}; ranks, p {:.3}); to \
         tell 0.05 s with starts as scattered as these takes {} in each set",
        verdict(sets),
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
