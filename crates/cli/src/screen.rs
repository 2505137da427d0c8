//! What a run looks like on a terminal: one screen.

use std::io::{ErrorKind, Write as _};
use std::path::Path;

use bitepoint_physics::run::{Ending, Limit, Story};
use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::{ENERGY, ENGINE_SPEED, GATE_TIME, SHARE, SPAN, Units, band, gate_name, time_difference};
use bitepoint_plot::run::RunReport;

use bitepoint_runner::known::KNOWN;

use crate::failure::Failure;

/// Two events of a run that are no further apart are one, s: each is located to less.
const SAME_S: f64 = 1e-6;

/// Prints text; a reader that has gone away (a closed pipe) is no failure.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::Computation(format!("cannot write the result: {error}")))
        }
        _ => Ok(()),
    }
}

/// Says where the report stands, if one was asked for.
pub(crate) fn print_place(report: Option<&Path>) -> Result<(), Failure> {
    report.map_or(Ok(()), |folder| print(&format!("\nReport: {}\n", folder.join("index.html").display())))
}

/// Text for a terminal, which breaks lines where it likes: a space that must not break means nothing to it.
pub(crate) fn plain_spaces(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

/// The run on one screen.
pub(crate) fn summary(report: &RunReport) -> String {
    let mut lines = vec![format!("{} — {}", report.vehicle_name, report.scenario_name), String::new()];
    lines.extend(times(report));
    lines.extend(finish(report));
    lines.push(String::new());
    lines.extend(launch(report));
    lines.extend(shifts(report));
    lines.extend(limits(report));
    lines.extend(clutch(report));
    lines.extend(shafts(report));
    lines.extend(bounds(report));
    lines.push(String::new());
    for note in report.notes {
        lines.extend(noted(note));
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

/// A note under its head: what is known of the car has its own.
pub(crate) fn noted(note: &str) -> Vec<String> {
    match note.strip_prefix(KNOWN) {
        Some(known) => wrapped("Known", known),
        None => wrapped("Caution", note),
    }
}

fn times(report: &RunReport) -> Vec<String> {
    let gates: &[&str] = match report.units {
        Units::Us => &["60 mph", "60 ft", "660 ft", "1320 ft", "100 mph"],
        Units::Si => &["100 km/h", "60 ft", "200 m", "400 m", "1320 ft", "200 km/h"],
    };
    let mut rows = vec![format!("{:14}{:>9}  {:18}{:>12}  {}", "", "time", "90 % (both)", "with rollout", "")];
    for name in gates {
        let Some(gate) = report.gate(name) else { continue };
        let from_rest = matches!(gate.mark, bitepoint_physics::timing::Mark::SpeedMps(_));
        let label = if from_rest { format!("0-{name}") } else { gate_name(name).to_owned() };
        let Some(passed) = gate.passed else {
            rows.push(format!("{label:14}{:>9}", "not reached"));
            continue;
        };
        let likely =
            report.band(name).map_or_else(String::new, |b| band(b.from_movement.low_s, b.from_movement.high_s));
        let speed = match (report.trap_mps(name), from_rest) {
            (Some(trap), _) => format!("trap {}", report.units.trap_speed().text(trap)),
            (None, false) => format!("at {}", report.units.speed().text(passed.speed_mps)),
            (None, true) => format!("after {}", report.units.distance().decimals(0).text(passed.distance_m)),
        };
        rows.push(format!(
            "{label:14}{:>9}  {likely:18}{:>12}  {speed}",
            GATE_TIME.text(passed.time_s),
            GATE_TIME.text_or_dash(passed.with_rollout_s)
        ));
    }
    rows
}

/// The end of the run, where it is none of the gates.
fn finish(report: &RunReport) -> Vec<String> {
    let run = report.run;
    let is_a_gate = run.gates.iter().any(|g| g.passed.is_some_and(|p| (p.time_s - run.duration_s).abs() < SAME_S));
    let how = match run.ending {
        Ending::Finished if is_a_gate => return Vec::new(),
        Ending::Finished => "reached",
        Ending::Stalled => "not reached: the engine stalled",
        Ending::RolledBack => "not reached: the car rolled backwards",
        Ending::OutOfTime => "not reached: the time was up",
    };
    let text = match run.first_movement_s {
        None => format!("{how}; the car never moved"),
        Some(_) => format!(
            "{how} after {}, at {} and {}",
            SPAN.text(run.duration_s),
            report.units.distance().decimals(0).text(run.distance_m),
            report.units.speed().text(run.final_speed_mps)
        ),
    };
    wrapped("Finish", &text)
}

fn launch(report: &RunReport) -> Vec<String> {
    let launch = &report.run.launch;
    let story = match launch.story {
        Story::Clean => "clean",
        Story::Spin => "wheelspin",
        Story::Bog => "the engine bogs",
        Story::Slip => "the clutch slips for long",
        Story::Stall => "the engine stalls",
    };
    let engaged = match (launch.clutch_home_s, launch.clutch_home_mps) {
        (Some(s), Some(mps)) => {
            format!("clutch fully engaged after {} at {}", SPAN.text(s), report.units.speed().text(mps))
        }
        _ => "clutch never fully engaged".to_owned(),
    };
    let spin = format!(
        "wheelspin for {}, up to {} over road speed",
        SPAN.text(launch.wheelspin_s),
        report.units.speed().text(launch.largest_slip_mps)
    );
    let mut text = format!("{story}: {engaged}, revs no lower than {}; {spin}", ENGINE_SPEED.text(launch.lowest_radps));
    if launch.trimmed_s >= 0.05 {
        text += &format!("; throttle held back for {}", SPAN.text(launch.trimmed_s));
    }
    if report.has_boost() {
        text += &format!("; {} of full boost at the bite", SHARE.text(launch.bite_boost));
    }
    let mut lines = wrapped("Launch", &format!("({}) {}", report.launch_from, report.launch.paragraph(report.units)));
    lines.extend(wrapped("Outcome", &text));
    if !report.advice.is_empty() {
        lines.extend(wrapped("What helps", report.advice));
    }
    lines
}

fn shifts(report: &RunReport) -> Vec<String> {
    let each: Vec<String> = report
        .run
        .shifts
        .iter()
        .map(|s| {
            let took = s.duration_s.map(|d| format!(" ({} shift)", SPAN.text(d))).unwrap_or_default();
            format!(
                "{}-{} at {}, {}, {}{took}",
                s.from_gear,
                s.from_gear + 1,
                ENGINE_SPEED.text(s.engine_radps),
                report.units.speed().text(s.speed_mps),
                SPAN.text(s.time_s)
            )
        })
        .collect();
    if each.is_empty() { wrapped("Shifts", "none") } else { wrapped("Shifts", &each.join("; ")) }
}

fn limits(report: &RunReport) -> Vec<String> {
    let mut shares: Vec<(f64, &str)> =
        Limit::ALL.iter().map(|l| (report.run.limited_s[*l as usize], l.name())).filter(|(s, _)| *s >= 0.01).collect();
    shares.sort_by(|a, b| b.0.total_cmp(&a.0));
    let text: Vec<String> = shares.iter().map(|(s, name)| format!("{name} {}", SPAN.text(*s))).collect();
    wrapped("Limited by", &text.join(", "))
}

fn clutch(report: &RunReport) -> Vec<String> {
    let peaks = &report.run.peaks;
    let temperature = report.units.temperature();
    let text = format!(
        "{} of heat, face up to {} (fades from {})",
        ENERGY.text(peaks.clutch_energy_j),
        temperature.text(peaks.clutch_face_c),
        temperature.text(report.clutch_fade_start_c)
    );
    wrapped("Clutch", &text)
}

fn shafts(report: &RunReport) -> Vec<String> {
    let peaks = &report.run.peaks;
    let text = format!(
        "peak {}, all half-shafts together; full throttle in first gear gives {} steadily",
        report.units.torque().text(peaks.shaft_torque_nm),
        report.units.torque().text(peaks.steady_shaft_torque_nm)
    );
    wrapped("Shafts", &text)
}

fn bounds(report: &RunReport) -> Vec<String> {
    let mut lines = Vec::new();
    for standing in report.standings.iter().filter(|s| s.gate != "60 ft") {
        let mut lost: Vec<(f64, &str)> = Limit::ALL
            .iter()
            .map(|l| (standing.lost_s[*l as usize], l.name()))
            .filter(|(s, _)| s.abs() >= 0.005)
            .collect();
        lost.sort_by(|a, b| b.0.total_cmp(&a.0));
        let lost: Vec<String> = lost.iter().map(|(s, name)| format!("{name} {}", time_difference(*s))).collect();
        let text = format!(
            "{}: theoretical limit {} (perfect grip, peak power, no shifts), {} with these shifts; time lost to {}",
            gate_name(standing.gate),
            SPAN.text(standing.traction_and_power_s),
            SPAN.text(standing.with_shifts_s),
            lost.join(", ")
        );
        lines.extend(wrapped("Bound", &text));
    }
    lines
}

const WIDTH: usize = 96;
const MARGIN: usize = 12;

/// Text after a label, wrapped to the screen with a hanging margin.
pub(crate) fn wrapped(label: &str, text: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = format!("{label:MARGIN$}");
    let mut empty = true;
    for word in text.split(' ') {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            lines.push(core::mem::replace(&mut line, " ".repeat(MARGIN)));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line += word;
        empty = false;
    }
    lines.push(line);
    lines
}
