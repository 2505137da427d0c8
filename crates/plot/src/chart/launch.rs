//! The first seconds: what the feet do, how the clutch closes, how the tyres take it.

use bitepoint_physics::run::{Sample, Story};

use crate::format::{ENGINE_SPEED, SHARE, SPAN};
use crate::palette::Ink;
use crate::report::RunReport;

use super::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use super::kind::Kind;
use super::markup::{Drawing, Hatch};
use super::panel::{EndLabel, Frame, Panel, range};
use super::speed::{TIME_TITLE, time_range};

pub(super) const KIND: Kind =
    Kind { file_name: "launch.svg", title: "The launch", takeaway, alt_text, draw: draw_launch };

/// The launch is shown for at least this long, s.
const SHORTEST_S: f64 = 2.0;
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
            "The tyres spun: their tread ran up to {} faster than the road, and {home}.",
            speed.text(launch.largest_slip_mps)
        ),
        Story::Bog => format!("The engine bogged: from {held} the revs fell to {lowest}, and {home}."),
        Story::Slip => format!("The clutch carried the start: {home}."),
        Story::Stall => format!("The engine stalled: from {held} the revs fell away before the clutch was home."),
    }
}

fn alt_text(report: &RunReport) -> String {
    let launch = &report.run.launch;
    format!(
        "Pedal, throttle, engine and gearbox-input speed, tread and road speed over the first seconds. Revs held {}, \
         lowest {}, clutch home {} at {}, largest slip speed {}.",
        ENGINE_SPEED.text(launch.held_radps),
        ENGINE_SPEED.text(launch.lowest_radps),
        launch.clutch_home_s.map_or("never".to_owned(), |s| format!("after {}", SPAN.text(s))),
        report.units.speed().text_or_dash(launch.clutch_home_mps),
        report.units.speed().text(launch.largest_slip_mps),
    )
}

/// Until half a second after the clutch is home.
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
    let left = layout.pick(52.0, 40.0);
    let right = layout.width() - layout.pick(150.0, 90.0);
    let frame = |top: f64, height: f64| Frame { left, right, top, bottom: top + height };
    let feet = frame(44.0, layout.pick(110.0, 100.0));
    let revs = frame(feet.bottom + 36.0, layout.pick(160.0, 140.0));
    let road = frame(revs.bottom + 36.0, layout.pick(160.0, 140.0));
    Some(draw(layout, road.bottom + 44.0, |canvas| {
        draw_feet(canvas, &Panel::new(feet, times, (0.0, 108.0)), &samples);
        draw_revs(canvas, revs, times, &samples);
        draw_road(report, canvas, road, times, &samples);
        let panel = Panel::new(road, times, (0.0, 1.0));
        moments(report, canvas, &panel, feet.top, times);
        panel.x_axis(canvas, road.bottom, TIME_TITLE);
    }))
}

/// Vertical marks through all three panels.
fn moments(report: &RunReport, canvas: &Canvas, panel: &Panel, top: f64, times: (f64, f64)) {
    let mut marks = vec![(0.0, canvas.layout.pick("car moves", "moves").to_owned())];
    if let Some(home) = report.run.launch.clutch_home_s {
        marks.push((home, "clutch home".to_owned()));
    }
    let mut free_from = canvas.layout.pick(130.0, 100.0);
    for (time, text) in marks.into_iter().filter(|(time, _)| (times.0..=times.1).contains(time)) {
        let x = panel.x(time);
        canvas.line((x, top - 6.0), (x, panel.frame.bottom), Pen::MARK);
        let width = canvas.layout.text_px(&text);
        let start = (x - 0.5 * width).max(free_from);
        canvas.text((start, 10.0), &text, Anchor::Start, Ink::Text);
        canvas.line((x, top - 6.0), (start + 0.5 * width, 19.0), Pen::MARK);
        free_from = start + width + 10.0;
    }
}

fn draw_feet(canvas: &Canvas, panel: &Panel, samples: &[Sample]) {
    panel.y_axis(canvas, "Feet, %", 3);
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
    area_label(canvas, &panel, &slip, "clutch slips", Ink::Purple);
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
    area_label(canvas, &panel, &slip, "tyre slips", Ink::Vermilion);
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

/// A name inside the area between two lines, at its highest place, if it is high and wide enough to hold it.
fn area_label(canvas: &Canvas, panel: &Panel, points: &[(f64, f64, f64)], text: &str, ink: Ink) {
    let height = |p: &(f64, f64, f64)| panel.y(p.1) - panel.y(p.2);
    let width = canvas.layout.text_px(text);
    let fits = |p: &&(f64, f64, f64)| {
        let x = panel.x(p.0);
        x - 0.5 * width > panel.frame.left + 4.0 && x + 0.5 * width < panel.frame.right - 4.0
    };
    let Some(best) = points.iter().filter(fits).max_by(|a, b| height(a).total_cmp(&height(b))) else { return };
    if height(best) > canvas.layout.font_px() + 8.0 {
        let y = 0.5 * (panel.y(best.1) + panel.y(best.2));
        canvas.bold((panel.x(best.0), y), text, Anchor::Middle, ink);
    }
}
