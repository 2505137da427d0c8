//! What can be printed beside the number: run, result, parts, method and error in plain sentences.

use bitepoint_physics::road::Slope;
use bitepoint_runner::conditions::{Condition, Conditions, Study};

use super::report::ConditionsReport;
use super::unit::{name, scale};
use super::words;
use crate::format::{Units, time_difference};

/// The paragraphs: the result, how it was got, what its error covers.
#[must_use]
pub fn paragraphs(report: &ConditionsReport<'_>) -> Vec<String> {
    vec![result(report), method(report), error(report)]
}

fn result(report: &ConditionsReport<'_>) -> String {
    let (study, units) = (report.study, report.units);
    let vehicle = &study.resolved.vehicle.name;
    let gate = words::to_gate(study.request.target);
    let clock = words::clock(&study.day, units);
    let (timed, corrected, time_s) = match (&study.both_ways, study.request.measurement) {
        (Some(both), Some(measured)) => (
            format!(
                "The {vehicle} was timed at {} {gate}, and at {} in the opposite direction, {clock}.",
                words::time(measured.time_s),
                words::time(measured.back_s.unwrap_or_default())
            ),
            (both.corrected_s, both.band_s, &both.shares),
            both.of_times.time_s,
        ),
        (_, Some(measured)) => (
            format!("The {vehicle} was timed at {} {gate}, {clock}.", words::time(measured.time_s)),
            (study.correction.corrected_s, study.correction.band_s, &study.correction.shares),
            measured.time_s,
        ),
        (_, None) => (
            format!("By the model, the {vehicle} takes {} {gate}, {clock}.", words::time(study.model.day_s)),
            (study.correction.corrected_s, study.correction.band_s, &study.correction.shares),
            study.correction.time_s,
        ),
    };
    let (corrected_s, band, shares) = corrected;
    let reference = &study.request.reference;
    let name_of_air = reference.standard.map_or_else(
        || format!(" (the conditions of “{}”)", reference.day),
        |standard| format!(" ({})", words::standard_name(standard)),
    );
    let band = band.map_or_else(String::new, |b| {
        format!(
            " (between {} and {} with nine chances in ten)",
            crate::format::number(b.low_s, 2),
            words::time(b.high_s)
        )
    });
    let parts: Vec<String> = words::share_list(shares)
        .into_iter()
        .map(|(condition, seconds)| format!("{} {seconds}", name(condition)))
        .collect();
    let parts = if parts.is_empty() {
        "The conditions are those of the reference, so that nothing is corrected.".to_owned()
    } else {
        format!("The difference of {} is made of: {}.", time_difference(corrected_s - time_s), parts.join(", "))
    };
    format!(
        "{timed} {} Timed {}, {}{name_of_air} the same car with the same start would have taken {}{band}. {parts}",
        ran_in(&study.day, study, units),
        words::clock(&reference.conditions, units),
        described(&reference.conditions, study, units),
        words::time(corrected_s)
    )
}

fn ran_in(day: &Conditions, study: &Study, units: Units) -> String {
    let text = described(day, study, units);
    let out = if study.both_ways.is_some() { " in the run out" } else { "" };
    format!("It ran {text}{out}.")
}

/// "on a slope of −1.0 % with a tail wind of 3.0 m/s, in air of 5 °C, 1013 hPa and 50 % humidity"
fn described(conditions: &Conditions, study: &Study, units: Units) -> String {
    let over_m = study.model.distance_m;
    let value = |condition: Condition| conditions.value(condition, over_m);
    let text = |condition: Condition| scale(condition, units).text(value(condition));
    let slope = match conditions.slope {
        Slope::Constant { rise_per_run: 0.0 } => "on the level".to_owned(),
        Slope::Constant { .. } => format!("on a slope of {}", text(Condition::Slope)),
        Slope::Profile { .. } => {
            format!("on a surveyed road with a mean slope of {} up to there", text(Condition::Slope))
        }
    };
    let wind = match value(Condition::Wind) {
        0.0 => "without wind".to_owned(),
        w if w < 0.0 => format!("with a tail wind of {}", scale(Condition::Wind, units).text(-w)),
        _ => format!("with a head wind of {}", text(Condition::Wind)),
    };
    let humidity = match value(Condition::Humidity) {
        0.0 => "no humidity".to_owned(),
        _ => format!("{} humidity", text(Condition::Humidity)),
    };
    format!("{slope} {wind}, in air of {}, {} and {humidity}", text(Condition::Temperature), text(Condition::Pressure))
}

fn method(report: &ConditionsReport<'_>) -> String {
    let study = report.study;
    let correction = &study.correction;
    let times = format!("({} and {})", words::time(correction.model_s), words::time(correction.model_reference_s));
    let cars = match (study.request.draws, study.request.measurement) {
        (0, Some(_)) => format!("; the measured time was multiplied by the ratio of its two times {times}"),
        (0, None) => String::new(),
        (draws, None) => {
            format!(", for {draws} cars that what is known of it allows; the times are their means {times}")
        }
        (draws, Some(_)) => format!(
            ", for {draws} cars that what is known of it allows. Those that come near the measured time count most (as many as {:.0} that count fully), and the difference of a car's two times {times} on average was scaled to the measured time",
            study.effective_draws
        ),
    };
    format!(
        "The correction is computed, not measured: a simulation of the car was run under both sets of conditions with the same launch, shift points, tyres, surface and clutch temperature{cars}. What conditions do together is shared evenly between them, so that the parts add up."
    )
}

fn error(report: &ConditionsReport<'_>) -> String {
    let study = report.study;
    let exact = words::taken_as_exact(study);
    let exact = if exact.is_empty() {
        "what the conditions are stated to be uncertain by".to_owned()
    } else {
        format!("no error of {}, which were stated without one", exact.join(", "))
    };
    let timing = match study.request.measurement {
        Some(m) if m.timing_sd_s > 0.0 => {
            format!(", a timing error of {}", crate::format::GATE_TIME.text(m.timing_sd_s))
        }
        Some(_) => ", no timing error".to_owned(),
        None => String::new(),
    };
    let covers = if study.request.draws == 0 {
        "No error was computed.".to_owned()
    } else {
        format!(
            "The error covers what is only estimated about the car, {exact}{timing}, and not knowing what sets measurement and model apart."
        )
    };
    format!(
        "{covers} It does not cover gusts, a different start, or a grip that changes with the temperature of tyres and road. {}",
        words::standard(study)
    )
}
