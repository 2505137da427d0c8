//! The first seconds: what the feet do, how the clutch closes, how the tyres take it.

use bitepoint_physics::run::{Sample, Story};

use super::report::RunReport;
use crate::format::{ENGINE_SPEED, SHARE, SPAN};
use crate::palette::Ink;

use super::charts::Kind;
use super::speed::{TIME_TITLE, time_range};
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel, range};

pub(super) const KIND: Kind = Kind { name: "launch", title: "The launch", takeaway, alt_text, draw: draw_launch };

/// The launch is shown for at least this long, s.
const SHORTEST_S: f64 = 3.0;
/// And for at most this long, s.
const LONGEST_S: f64 = 5.0;

fn takeaway(report: &RunReport) -> String {
    let launch = &report.run.launch;
    let speed = report.units.speed();
    let home = match (launch.clutch_home_s, launch.clutch_home_mps) {
        (Some(s), Some(mps)) => format!("the clutch stopped slipping after {} at {}", SPAN.text(s), speed.text(mps)),
        _ => "the clutch never stopped slipping".to_owned(),
    };
    let held = ENGINE_SPEED.text(launch.held_radps);
    let lowest = ENGINE_SPEED.text(launch.lowest_radps);
    match launch.story {
        Story::Clean => format!("A clean start from {held}: {home}, and the revs never fell below {lowest}."),
        Story::Spin => format!(
            "The tyres spun: their tread ran up to {} over road speed, and {home}.",
            speed.text(launch.largest_slip_mps)
        ),
        Story::Bog => format!("The engine bogged: from {held} the revs fell to {lowest}, and {home}."),
        Story::Slip => format!("The clutch carried the start: {home}."),
        Story::Stall => {
            format!("The engine stalled: from {held} the revs fell away before the clutch was fully engaged.")
        }
    }
}

fn alt_text(report: &RunReport) -> String {
    let launch = &report.run.launch;
    format!(
        "Pedal, throttle, engine and gearbox-input speed, tread and road speed over the first seconds. Revs held {}, \
         lowest {}, clutch fully engaged {} at {}, largest slip speed {}.",
        ENGINE_SPEED.text(launch.held_radps),
        ENGINE_SPEED.text(launch.lowest_radps),
        launch.clutch_home_s.map_or("never".to_owned(), |s| format!("after {}", SPAN.text(s))),
        report.units.speed().text_or_dash(launch.clutch_home_mps),
        report.units.speed().text(launch.largest_slip_mps),
    )
}

/// Until a little after the clutch is fully engaged.
fn launch_end_s(report: &RunReport) -> f64 {
    report.run.launch.clutch_home_s.map_or(3.0, |home| home + 0.7).clamp(SHORTEST_S, LONGEST_S)
}

fn draw_launch(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let (from, to) = time_range(report.samples)?;
    let times = (from, to.min(launch_end_s(report)));
    let samples: Vec<Sample> =
        report.samples.iter().filter(|s| s.time_s >= times.0 && s.time_s <= times.1).copied().collect();
    if samples.len() < 2 || times.1 <= times.0 {
        return None;
    }
    let left = layout.pick(52.0, 46.0);
    let right = layout.width() - layout.pick(150.0, 90.0);
    let frame = |top: f64, height: f64| Frame { left, right, top, bottom: top + height };
    let feet = frame(50.0, layout.pick(110.0, 100.0));
    let revs = frame(feet.bottom + 36.0, layout.pick(160.0, 140.0));
    let road = frame(revs.bottom + 36.0, layout.pick(160.0, 140.0));
    Some(draw(layout, road.bottom + 44.0, |canvas| {
        draw_feet(canvas, &Panel::new(feet, times, (0.0, 108.0)), &samples);
        draw_revs(canvas, revs, times, &samples);
        draw_road(report, canvas, road, times, &samples);
        moments(report, canvas, [feet, revs, road], times);
        Panel::new(road, times, (0.0, 1.0)).x_axis(canvas, road.bottom, TIME_TITLE);
    }))
}

/// Vertical marks in all three panels: the first named at its left, the second at its right, as they are often close.
fn moments(report: &RunReport, canvas: &Canvas, frames: [Frame; 3], times: (f64, f64)) {
    let shown = |time: f64| (times.0..=times.1).contains(&time);
    let name_y = frames[0].top - 14.0;
    let mut free_from = 0.0;
    for (time, text) in [(Some(0.0), "car moves"), (report.run.launch.clutch_home_s, "clutch engaged")] {
        let Some(time) = time.filter(|time| shown(*time)) else { continue };
        let x = Panel::new(frames[0], times, (0.0, 1.0)).x(time);
        for frame in frames {
            canvas.line((x, frame.top), (x, frame.bottom), Pen::MARK);
        }
        canvas.line((x, name_y), (x, frames[0].top), Pen::MARK);
        let width = canvas.layout.text_px(text);
        let start = if time == 0.0 { x - width - 4.0 } else { x + 5.0 }.max(free_from);
        canvas.text((start, name_y), text, Anchor::Start, Ink::Text);
        free_from = start + width + 8.0;
    }
}

fn draw_feet(canvas: &Canvas, panel: &Panel, samples: &[Sample]) {
    panel.y_axis(canvas, "", 3);
    canvas.text((2.0, panel.frame.top - 34.0), "Feet: pedal and throttle, %", Anchor::Start, Ink::Text);
    let pedal = Pen::new(Ink::Purple, Dash::Solid, 2.0);
    let throttle = Pen::new(Ink::Ochre, Dash::Long, 2.0);
    panel.line(canvas, samples.iter().map(|s| (s.time_s, SHARE.of(s.pedal))), pedal);
    panel.line(canvas, samples.iter().map(|s| (s.time_s, SHARE.of(s.throttle))), throttle);
    let last = &samples[samples.len() - 1];
    let names = canvas.layout.pick(("clutch released", "throttle open"), ("clutch out", "throttle"));
    panel.end_labels(
        canvas,
        &[
            EndLabel { y: SHARE.of(last.pedal), text: names.0.to_owned(), pen: pedal },
            EndLabel { y: SHARE.of(last.throttle), text: names.1.to_owned(), pen: throttle },
        ],
    );
}

fn draw_revs(canvas: &Canvas, frame: Frame, times: (f64, f64), samples: &[Sample]) {
    let rpm = |radps| ENGINE_SPEED.of(radps);
    let panel =
        Panel::new(frame, times, range(samples.iter().flat_map(|s| [rpm(s.engine_radps), rpm(s.input_radps)]), &[0.0]));
    panel.y_axis(canvas, "Engine and gearbox input, rpm", 5);
    let slip: Vec<_> = samples
        .iter()
        .map(|s| {
            let (a, b) = (rpm(s.engine_radps), rpm(s.input_radps));
            (s.time_s, a.min(b), if s.clutch_slipping { a.max(b) } else { a.min(b) })
        })
        .collect();
    panel.between(canvas, &slip, Ink::Purple, Hatch::Falling);
    let engine = Pen::new(Ink::Vermilion, Dash::Solid, 2.25);
    let input = Pen::new(Ink::Blue, Dash::Long, 2.0);
    panel.line(canvas, samples.iter().map(|s| (s.time_s, rpm(s.engine_radps))), engine);
    panel.line(canvas, samples.iter().map(|s| (s.time_s, rpm(s.input_radps))), input);
    name_area(canvas, &panel, &slip, "clutch slips", Ink::Purple, Hatch::Falling);
    let last = &samples[samples.len() - 1];
    panel.end_labels(
        canvas,
        &[
            EndLabel { y: rpm(last.engine_radps), text: "engine".to_owned(), pen: engine },
            EndLabel {
                y: rpm(last.input_radps),
                text: canvas.layout.pick("gearbox input", "gearbox").to_owned(),
                pen: input,
            },
        ],
    );
}

fn draw_road(report: &RunReport, canvas: &Canvas, frame: Frame, times: (f64, f64), samples: &[Sample]) {
    let unit = report.units.speed();
    let values = samples.iter().flat_map(|s| [unit.of(s.speed_mps), unit.of(s.tread_mps)]);
    let panel = Panel::new(frame, times, range(values, &[0.0]));
    panel.y_axis(canvas, &format!("Tread and road speed, {}", unit.unit), 5);
    let slip: Vec<_> = samples.iter().map(|s| (s.time_s, unit.of(s.speed_mps), unit.of(s.tread_mps))).collect();
    panel.between(canvas, &slip, Ink::Vermilion, Hatch::Rising);
    let tread = Pen::new(Ink::Vermilion, Dash::Long, 2.0);
    let road = Pen::new(Ink::Blue, Dash::Solid, 2.25);
    panel.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(s.tread_mps))), tread);
    panel.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(s.speed_mps))), road);
    name_area(canvas, &panel, &slip, "tyre slips", Ink::Vermilion, Hatch::Rising);
    let last = &samples[samples.len() - 1];
    panel.end_labels(
        canvas,
        &[
            EndLabel {
                y: unit.of(last.tread_mps),
                text: canvas.layout.pick("tyre tread", "tread").to_owned(),
                pen: tread,
            },
            EndLabel { y: unit.of(last.speed_mps), text: "road".to_owned(), pen: road },
        ],
    );
}

/// Names an area inside it, or at the panel's foot if it is too small.
fn name_area(canvas: &Canvas, panel: &Panel, points: &[(f64, f64, f64)], name: &str, ink: Ink, hatch: Hatch) {
    let any = points.iter().any(|(_, low, high)| high > low);
    if any && !panel.area_label(canvas, points, name, ink) {
        panel.area_key(canvas, ink, hatch, name);
    }
}
