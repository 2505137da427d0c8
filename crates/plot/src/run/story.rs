//! The run in sentences, each computed from its numbers.

use bitepoint_physics::run::{Ending, Run};

use crate::format::{
    ACCELERATION, DENSITY, ENERGY, ENGINE_SPEED, GATE_TIME, SHARE, SPAN, band, count, gate_name, number,
};
use crate::page::parts::Figure;

use super::report::RunReport;

/// The run in one line. A run that did not finish says that first.
pub(crate) fn headline(report: &RunReport) -> String {
    let run = report.run;
    let after = SPAN.text(run.duration_s);
    let moved = run.first_movement_s.is_some();
    match run.ending {
        Ending::Stalled if !moved => "Not finished: the engine stalled and the car never moved".to_owned(),
        Ending::Stalled => format!("Not finished: the engine stalled {after} after the car began to move"),
        Ending::RolledBack => format!("Not finished: the car rolled backwards, {after} into the run"),
        Ending::OutOfTime if !moved => "Not finished: the car never moved before the time ran out".to_owned(),
        Ending::OutOfTime => format!(
            "Not finished: time ran out {after} after first movement, {} down the road",
            report.units.distance().decimals(0).text(run.distance_m)
        ),
        Ending::Finished => finished_headline(report),
    }
}

/// A name that is not parted at the end of a line.
fn unbroken(name: &str) -> String {
    name.replace(' ', "\u{a0}")
}

fn finished_headline(report: &RunReport) -> String {
    let (speed_gate, place_gate) = report.headline_gates();
    let to_speed =
        report.passed(speed_gate).map(|at| format!("0–{} in {}", unbroken(speed_gate), SPAN.text(at.time_s)));
    let to_place = report.passed(place_gate).map(|at| {
        let trap = report.trap_mps(place_gate).unwrap_or(at.speed_mps);
        format!(
            "{} in {} at {}",
            unbroken(gate_name(place_gate)),
            SPAN.text(at.time_s),
            report.units.speed().text(trap)
        )
    });
    match (to_speed, to_place) {
        (Some(speed), Some(place)) => format!("{speed}, the {place}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => {
            let last = report
                .run
                .gates
                .iter()
                .filter_map(|gate| Some((gate.name, gate.passed?)))
                .max_by(|a, b| a.1.time_s.total_cmp(&b.1.time_s));
            last.map_or_else(
                || {
                    format!(
                        "{} in {}",
                        report.units.distance().text(report.run.distance_m),
                        SPAN.text(report.run.duration_s)
                    )
                },
                |(name, at)| format!("{} in {}", gate_name(name), SPAN.text(at.time_s)),
            )
        }
    }
}

/// The numbers under the headline; those that were not reached are left out.
pub(crate) fn figures(report: &RunReport) -> Vec<Figure> {
    let (speed_gate, place_gate) = report.headline_gates();
    let half_way = match report.units {
        crate::format::Units::Us => "660 ft",
        crate::format::Units::Si => "200 m",
    };
    [speed_gate, "60 ft", half_way, place_gate].into_iter().filter_map(|name| figure(report, name)).collect()
}

fn figure(report: &RunReport, name: &str) -> Option<Figure> {
    let gate = report.gate(name)?;
    let at = gate.passed?;
    let place = super::report::is_place(gate.mark);
    let mut notes = Vec::new();
    if let Some(time) = at.with_rollout_s {
        notes.push(format!("{} with rollout", GATE_TIME.text(time)));
    }
    if let Some(spread) = report.band(name) {
        notes.push(format!("90 % (both) {}", band(spread.from_movement.low_s, spread.from_movement.high_s)));
    }
    match report.trap_mps(name) {
        Some(trap) => notes.push(format!("trap {}", report.units.trap_speed().text(trap))),
        None if place => notes.push(format!("at {}", report.units.speed().text(at.speed_mps))),
        None => notes.push(format!("after {}", report.units.distance().decimals(0).text(at.distance_m))),
    }
    let label = if place { gate_name(name).to_owned() } else { format!("0–{name}") };
    Some(Figure { label, value: GATE_TIME.number(at.time_s), unit: "s", notes })
}

/// The launch and what followed, one fact a sentence.
pub(crate) fn facts(report: &RunReport) -> Vec<String> {
    let run = report.run;
    let mut facts = vec![held(report)];
    if run.first_movement_s.is_none() {
        facts.push("The car never moved.".to_owned());
    } else {
        facts.push(clutch(report));
        facts.push(tyres(report));
    }
    facts.extend(front(run));
    facts.push(heat(report));
    if run.peaks.shaft_torque_nm > 0.0 && run.first_movement_s.is_some() {
        facts.push(format!(
            "Peak acceleration was {}. The half-shafts together saw up to {}; full throttle in first gear gives {} there steadily.",
            ACCELERATION.text(run.peaks.acceleration_mps2),
            report.units.torque().text(run.peaks.shaft_torque_nm),
            report.units.torque().text(run.peaks.steady_shaft_torque_nm)
        ));
    }
    facts.extend(shifts(run));
    facts.push(air(run));
    facts
}

fn held(report: &RunReport) -> String {
    let launch = &report.run.launch;
    let boost = if report.has_boost() {
        format!(", with {} of full boost", SHARE.text(launch.bite_boost))
    } else {
        String::new()
    };
    format!(
        "The driver held {}; when the clutch began to bite the engine turned {}{boost}.",
        ENGINE_SPEED.text(launch.held_radps),
        ENGINE_SPEED.text(launch.bite_radps)
    )
}

fn clutch(report: &RunReport) -> String {
    let launch = &report.run.launch;
    let moved = SPAN.text_or_dash(report.run.first_movement_s);
    let lowest = ENGINE_SPEED.text(launch.lowest_radps);
    match (launch.clutch_home_s, launch.clutch_home_mps) {
        (Some(s), Some(mps)) => format!(
            "The car moved {moved} after the pedal did; the clutch was fully engaged {} later at {}, and the revs fell no lower than {lowest}.",
            SPAN.text(s),
            report.units.speed().text(mps)
        ),
        _ => format!(
            "The car moved {moved} after the pedal did; the clutch was never fully engaged, and the revs fell to {lowest}."
        ),
    }
}

fn tyres(report: &RunReport) -> String {
    let launch = &report.run.launch;
    let most = report.units.speed().text(launch.largest_slip_mps);
    let held_back = if launch.trimmed_s < 0.05 {
        String::new()
    } else {
        format!(" The driver held back some throttle for wheelspin for {}.", SPAN.text(launch.trimmed_s))
    };
    if launch.wheelspin_s < 0.01 {
        return format!("The driven tyres held: their tread was never more than {most} over road speed.{held_back}");
    }
    format!(
        "There was wheelspin for {} over the run, with the tread up to {most} over road speed.{held_back}",
        SPAN.text(launch.wheelspin_s)
    )
}

fn front(run: &Run) -> Option<String> {
    (run.launch.front_lifted_s > 0.0).then(|| {
        format!(
            "The front wheels carried nothing for {}: they were off the road, and the car did not steer.",
            SPAN.text(run.launch.front_lifted_s)
        )
    })
}

fn heat(report: &RunReport) -> String {
    let peaks = &report.run.peaks;
    let temperature = report.units.temperature();
    format!(
        "The clutch slipped under load for {} in all and turned {} into heat, at a peak of {}; its face reached {} (it fades from {}).",
        SPAN.text(peaks.clutch_slipping_s),
        ENERGY.decimals(0).text(peaks.clutch_energy_j),
        report.units.power().text(peaks.clutch_power_w),
        temperature.text(peaks.clutch_face_c),
        temperature.text(report.clutch_fade_start_c)
    )
}

fn shifts(run: &Run) -> Option<String> {
    let complete: Vec<f64> = run.shifts.iter().filter_map(|shift| shift.duration_s).collect();
    let first = run.shifts.first()?;
    let mean = complete.iter().sum::<f64>() / complete.len() as f64;
    let took =
        if complete.is_empty() { String::new() } else { format!(", taking {} each on average", SPAN.text(mean)) };
    let limiter: f64 = run.shifts.iter().map(|shift| shift.on_limiter_s).sum();
    let bounced = if limiter > 0.005 {
        format!(" The engine was on its limiter for {} before them.", SPAN.text(limiter))
    } else {
        String::new()
    };
    Some(format!(
        "There {} {}, the first at {} and {}{took}.{bounced}",
        if run.shifts.len() == 1 { "was" } else { "were" },
        count(run.shifts.len(), "shift", "shifts"),
        ENGINE_SPEED.text(first.engine_radps),
        SPAN.text(first.time_s)
    ))
}

fn air(run: &Run) -> String {
    let beyond =
        if run.air.within_standard { "" } else { " The rating standard does not cover a correction this large." };
    format!(
        "Air density {}: the engine made {} of its rated torque.{beyond}",
        DENSITY.text(run.air.density_kg_per_m3),
        SHARE.text(run.air.torque_factor)
    )
}

/// How far the numbers can be trusted, as arithmetic.
pub(crate) fn arithmetic(run: &Run) -> String {
    format!(
        "Energy account closed to {} % of the engine's work, in {} accepted steps ({} rejected, {} evaluations, {} mode switches).",
        number(run.energy.closure() * 100.0, 4),
        run.work.steps,
        run.work.refused,
        run.work.evaluations,
        run.work.switches
    )
}
