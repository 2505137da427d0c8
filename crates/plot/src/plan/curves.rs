//! Time lost against one decision: as expected of this driver, one panel a day over one axis.

use bitepoint_runner::plan::{Choice, Decision, Point, Window};

use super::report::{PlanDay, PlanReport};
use super::words;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::{SPAN, Scale};
use crate::palette::Ink;

const EXPECTED: Pen = Pen::new(Ink::Blue, Dash::Solid, 2.25);
/// A panel shows this much time lost, and at least this much gained, s.
const MOST_LOST_S: f64 = 0.6;
const LEAST_GAINED_S: f64 = 0.06;
const PANEL_PX: f64 = 210.0;

struct Axis {
    decision: Decision,
    name: &'static str,
    title: &'static str,
    across: &'static str,
}

const AXES: [Axis; 4] = [
    Axis {
        decision: Decision::HeldRevs,
        name: "held-revs",
        title: "Time lost against held revs",
        across: "Held engine speed, rpm",
    },
    Axis {
        decision: Decision::KeptRevs,
        name: "kept-revs",
        title: "Time lost against the revs that are kept",
        across: "Engine speed kept while the clutch slips, rpm",
    },
    Axis {
        decision: Decision::ReleaseTime,
        name: "release",
        title: "Time lost against clutch release",
        across: "Pedal from pressed to released, at the fastest, s",
    },
    Axis {
        decision: Decision::PartThrottle,
        name: "part-throttle",
        title: "Time lost against part throttle",
        across: "Throttle that is held first, %",
    },
];

/// A chart for each decision that any of the days has.
pub(super) fn charts(report: &PlanReport<'_>) -> Vec<Chart> {
    let chart = |axis: &Axis| {
        let each: Vec<String> = report.days.iter().filter_map(|day| sentence(day, axis.decision, report)).collect();
        let caption =
            Caption { name: axis.name, title: axis.title, takeaway: each.join(" "), alt_text: alt_text(report, axis) };
        Chart::draw(caption, |layout| drawn(report, axis, layout))
    };
    AXES.iter().filter_map(chart).collect()
}

fn window(choice: &Choice, decision: Decision) -> Option<&Window> {
    choice.windows.iter().find(|w| w.decision == decision)
}

fn sentence(day: &PlanDay<'_>, decision: Decision, report: &PlanReport<'_>) -> Option<String> {
    let window = window(&day.plan.driver, decision)?;
    Some(format!("{}: within 0.05\u{a0}s from {}.", day.name, words::window(window, report.units)))
}

/// Its curve as time lost against the plan.
fn lost(window: &Window) -> Vec<Point> {
    let planned_s = window.curve.iter().find(|p| p.value == window.value).and_then(|p| p.time_s);
    let against = |s: f64| planned_s.map(|planned_s| s - planned_s);
    window.curve.iter().map(|p| Point { value: p.value, time_s: p.time_s.and_then(against) }).collect()
}

fn alt_text(report: &PlanReport<'_>, axis: &Axis) -> String {
    let of_day = |day: &PlanDay<'_>| {
        let window = window(&day.plan.driver, axis.decision)?;
        let list: Vec<String> = lost(window)
            .iter()
            .map(|p| format!("{} {}", words::value(axis.decision, p.value, report.units), SPAN.text_or_dash(p.time_s)))
            .collect();
        Some(format!("{}, time lost: {}", day.name, list.join(", ")))
    };
    let each: Vec<String> = report.days.iter().filter_map(of_day).collect();
    format!("{}. {}.", axis.title, each.join(". "))
}

fn drawn(report: &PlanReport<'_>, axis: &Axis, layout: Layout) -> Option<Drawing> {
    let scale = words::scale(axis.decision, report.units);
    let days: Vec<(&PlanDay<'_>, &Window)> =
        report.days.iter().filter_map(|day| Some((day, window(&day.plan.driver, axis.decision)?))).collect();
    let points = days.iter().flat_map(|(_, w)| &w.curve);
    // Releases that nobody would choose are left out: the far end of the range says nothing.
    let most = |values: Vec<f64>| values.into_iter().fold(0.0, f64::max);
    let shown = most(points.filter(|p| p.time_s.is_some()).map(|p| scale.of(p.value)).collect());
    let chosen = most(days.iter().map(|(_, w)| scale.of(w.high)).collect());
    let far = match axis.decision {
        Decision::ReleaseTime => (1.6 * chosen).clamp(1.0, shown.max(1.0)),
        _ => shown,
    };
    if far <= 0.0 {
        return None;
    }
    let height = PANEL_PX * days.len() as f64 + 46.0;
    Some(draw(layout, height, |canvas| {
        let (left, right) = (layout.pick(56.0, 46.0), layout.width() - layout.pick(24.0, 14.0));
        let mut bottom = 0.0;
        for (i, (day, window)) in days.iter().enumerate() {
            let top = PANEL_PX * i as f64 + 40.0;
            bottom = top + PANEL_PX - 62.0;
            panel(canvas, (day, window), scale, (Frame { left, right, top, bottom }, far));
        }
        let last = Panel::new(Frame { left, right, top: 0.0, bottom }, (0.0, far), (0.0, 1.0));
        last.x_axis(canvas, bottom, axis.across);
    }))
}

fn panel(canvas: &Canvas, (day, window): (&PlanDay<'_>, &Window), scale: Scale, (frame, far): (Frame, f64)) {
    let curve = lost(window);
    let least = curve.iter().filter_map(|p| p.time_s).fold(0.0, f64::min);
    let panel = Panel::new(frame, (0.0, far), (least - LEAST_GAINED_S, MOST_LOST_S));
    canvas.bold((2.0, frame.top - 30.0), day.name, Anchor::Start, Ink::Text);
    panel.y_axis(canvas, "Time lost against the plan, s", 5);
    let within = (scale.of(window.low), scale.of(window.high));
    panel.stretch(canvas, within, Ink::Blue, Hatch::Tint);
    for piece in pieces(&curve, scale, (far, MOST_LOST_S)) {
        panel.line(canvas, piece.iter().copied(), EXPECTED);
    }
    canvas.dot((panel.x(scale.of(window.value)), panel.y(0.0)), 4.5, EXPECTED.ink);
    name_window(canvas, &panel, within);
    name_sides(canvas, &panel, window, within);
}

/// The window is named at its foot where there is room for the words.
fn name_window(canvas: &Canvas, panel: &Panel, (low, high): (f64, f64)) {
    let text = canvas.layout.pick("within 0.05 s", "0.05 s");
    let (a, b) = (panel.x(low), panel.x(high));
    if b - a > canvas.layout.text_px(text) + 8.0 {
        canvas.text((0.5 * (a + b), panel.frame.top + 12.0), text, Anchor::Middle, Ink::Blue);
    }
}

/// What goes wrong on each side of it.
fn name_sides(canvas: &Canvas, panel: &Panel, window: &Window, (low, high): (f64, f64)) {
    let (a, b) = (panel.x(low), panel.x(high));
    let y = panel.frame.top + 12.0;
    if window.below.is_some() {
        let text = words::trouble(window.below);
        if a - panel.frame.left > canvas.layout.text_px(text) + 10.0 {
            canvas.text((a - 6.0, y), text, Anchor::End, Ink::Muted);
        }
    }
    if window.above.is_some() {
        let text = words::trouble(window.above);
        if panel.frame.right - b > canvas.layout.text_px(text) + 10.0 {
            canvas.text((b + 6.0, y), text, Anchor::Start, Ink::Muted);
        }
    }
}

/// A curve in printed units, broken where the start does not get there or is slower than the panel shows.
fn pieces(curve: &[Point], scale: Scale, (far, high): (f64, f64)) -> Vec<Vec<(f64, f64)>> {
    let mut pieces = vec![Vec::new()];
    let mut before: Option<(f64, f64)> = None;
    for point in curve {
        let mut here = point.time_s.map(|t| (scale.of(point.value), t));
        let beyond = here.is_some_and(|(x, _)| x > far);
        if let (true, Some(a), Some(b)) = (beyond, before, here) {
            here = Some((far, a.1 + (b.1 - a.1) * (far - a.0) / (b.0 - a.0)));
        }
        let inside = |p: (f64, f64)| p.1 <= high;
        // Where a line leaves the panel at its top.
        let at_top = |a: (f64, f64), b: (f64, f64)| (a.0 + (b.0 - a.0) * (high - a.1) / (b.1 - a.1), high);
        match (before, here) {
            (Some(a), Some(b)) if inside(a) != inside(b) => {
                let cut = at_top(a, b);
                if inside(a) {
                    push(&mut pieces, cut);
                    pieces.push(Vec::new());
                } else {
                    pieces.push(vec![cut, b]);
                }
            }
            (_, Some(b)) if inside(b) => push(&mut pieces, b),
            (_, Some(_)) => {}
            (_, None) => pieces.push(Vec::new()),
        }
        before = here;
        if beyond {
            break;
        }
    }
    pieces.retain(|piece| piece.len() > 1);
    pieces
}

fn push(pieces: &mut [Vec<(f64, f64)>], point: (f64, f64)) {
    if let Some(last) = pieces.last_mut() {
        last.push(point);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_broken_at_a_stall_and_cut_where_it_leaves_the_panel() {
        let point = |value: f64, time_s: Option<f64>| Point { value, time_s };
        let curve = [
            point(1.0, Some(5.0)),
            point(2.0, Some(5.2)),
            point(3.0, None),
            point(4.0, Some(5.5)),
            point(5.0, Some(6.5)),
            point(6.0, Some(5.5)),
        ];
        let found = pieces(&curve, SPAN, (10.0, 6.0));
        assert_eq!(found, [vec![(1.0, 5.0), (2.0, 5.2)], vec![(4.0, 5.5), (4.5, 6.0)], vec![(5.5, 6.0), (6.0, 5.5)]]);
    }
}
