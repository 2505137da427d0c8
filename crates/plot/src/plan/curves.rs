//! Time against one decision: done exactly, and as expected of this driver, one panel a day over one axis.

use bitepoint_runner::plan::{Choice, Decision, Point, Window};

use super::report::{PlanDay, PlanReport};
use super::words;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::{SPAN, Scale};
use crate::palette::Ink;

const EXACT: Pen = Pen::new(Ink::Vermilion, Dash::Short, 1.75);
const EXPECTED: Pen = Pen::new(Ink::Blue, Dash::Solid, 2.25);
/// A panel shows this much over its best time, s, and this much under it.
const ABOVE_S: f64 = 0.6;
const BELOW_S: f64 = 0.06;
const PANEL_PX: f64 = 210.0;

struct Axis {
    decision: Decision,
    name: &'static str,
    title: &'static str,
    across: &'static str,
}

const AXES: [Axis; 3] = [
    Axis {
        decision: Decision::HeldRevs,
        name: "held-revs",
        title: "Time against held revs",
        across: "Held engine speed, rpm",
    },
    Axis {
        decision: Decision::ReleaseTime,
        name: "release",
        title: "Time against clutch release",
        across: "Pedal from pressed to released, s",
    },
    Axis {
        decision: Decision::PartThrottle,
        name: "part-throttle",
        title: "Time against part throttle",
        across: "Throttle that is held first, %",
    },
];

/// Both charts.
pub(super) fn charts(report: &PlanReport<'_>) -> Vec<Chart> {
    let chart = |axis: &Axis| {
        let told: Vec<String> = report.days.iter().filter_map(|day| sentence(day, axis.decision, report)).collect();
        let caption =
            Caption { name: axis.name, title: axis.title, takeaway: told.join(" "), alt_text: alt_text(report, axis) };
        Chart::draw(caption, |layout| drawn(report, axis, layout))
    };
    AXES.iter().filter_map(chart).collect()
}

fn window(choice: &Choice, decision: Decision) -> Option<&Window> {
    choice.windows.iter().find(|w| w.decision == decision)
}

fn sentence(day: &PlanDay<'_>, decision: Decision, report: &PlanReport<'_>) -> Option<String> {
    let (driver, best) = (window(&day.plan.driver, decision)?, window(&day.plan.best, decision)?);
    Some(format!(
        "{}: from {} this driver loses less than 0.05\u{a0}s; the best possible needs {}.",
        day.name,
        words::window(driver, report.units),
        words::window(best, report.units)
    ))
}

fn alt_text(report: &PlanReport<'_>, axis: &Axis) -> String {
    let told: Vec<String> = report
        .days
        .iter()
        .filter_map(|day| {
            let driver = window(&day.plan.driver, axis.decision)?;
            let list: Vec<String> = driver
                .curve
                .iter()
                .map(|p| {
                    format!("{} {}", words::value(axis.decision, p.value, report.units), SPAN.text_or_dash(p.time_s))
                })
                .collect();
            Some(format!("{}, expected time: {}", day.name, list.join(", ")))
        })
        .collect();
    format!("{}. {}.", axis.title, told.join(". "))
}

fn drawn(report: &PlanReport<'_>, axis: &Axis, layout: Layout) -> Option<Drawing> {
    let scale = words::scale(axis.decision, report.units);
    let curves = report.days.iter().flat_map(|day| [&day.plan.best, &day.plan.driver]);
    let points = curves.filter_map(|choice| window(choice, axis.decision)).flat_map(|w| &w.curve);
    // Releases that nobody would choose are left out: the far end of the range says nothing.
    let most = |values: Vec<f64>| values.into_iter().fold(0.0, f64::max);
    let shown: Vec<f64> = points.filter(|p| p.time_s.is_some()).map(|p| scale.of(p.value)).collect();
    let chosen: Vec<f64> = report
        .days
        .iter()
        .filter_map(|day| window(&day.plan.driver, axis.decision))
        .map(|w| scale.of(w.high))
        .collect();
    let far = match axis.decision {
        Decision::ReleaseTime => (1.6 * most(chosen)).clamp(1.0, most(shown).max(1.0)),
        _ => most(shown),
    };
    if far <= 0.0 {
        return None;
    }
    let height = PANEL_PX * report.days.len() as f64 + 46.0;
    Some(draw(layout, height, |canvas| {
        let (left, right) = (layout.pick(56.0, 46.0), layout.width() - layout.pick(150.0, 84.0));
        let mut bottom = 0.0;
        for (i, day) in report.days.iter().enumerate() {
            let top = PANEL_PX * i as f64 + 40.0;
            bottom = top + PANEL_PX - 62.0;
            panel(canvas, day, axis, scale, (Frame { left, right, top, bottom }, far));
        }
        let last = Panel::new(Frame { left, right, top: 0.0, bottom }, (0.0, far), (0.0, 1.0));
        last.x_axis(canvas, bottom, axis.across);
    }))
}

fn panel(canvas: &Canvas, day: &PlanDay<'_>, axis: &Axis, scale: Scale, (frame, far): (Frame, f64)) {
    let (Some(best), Some(driver)) = (window(&day.plan.best, axis.decision), window(&day.plan.driver, axis.decision))
    else {
        return;
    };
    let expected_s = driver.curve.iter().find(|p| p.value == driver.value).and_then(|p| p.time_s);
    let expected_s = expected_s.unwrap_or(day.plan.driver.expected.mean_s);
    let low = day.plan.best.time_s.min(expected_s) - BELOW_S;
    let high = day.plan.best.time_s.max(expected_s) + ABOVE_S;
    let panel = Panel::new(frame, (0.0, far), (low, high));
    canvas.bold((2.0, frame.top - 30.0), day.name, Anchor::Start, Ink::Text);
    panel.y_axis(canvas, "Time, s", 5);
    let from = (scale.of(driver.low), scale.of(driver.high));
    panel.stretch(canvas, from, Ink::Blue, Hatch::Tint);
    let mut labels = Vec::new();
    for (window, pen, wide, narrow) in
        [(best, EXACT, "done exactly", "exact"), (driver, EXPECTED, "expected", "expected")]
    {
        let pieces = pieces(&window.curve, scale, (far, high));
        for piece in &pieces {
            panel.line(canvas, piece.iter().copied(), pen);
        }
        if let Some((_, y)) = pieces.last().and_then(|piece| piece.last()) {
            labels.push(EndLabel { y: *y, text: canvas.layout.pick(wide, narrow).to_owned(), pen });
        }
    }
    for (window, time_s, ink) in [(best, day.plan.best.time_s, EXACT.ink), (driver, expected_s, EXPECTED.ink)] {
        canvas.dot((panel.x(scale.of(window.value)), panel.y(time_s)), 4.5, ink);
    }
    panel.end_labels(canvas, &labels);
    name_window(canvas, &panel, from);
    name_sides(canvas, &panel, driver, from);
}

/// The window is named at its foot where there is room for the words.
fn name_window(canvas: &Canvas, panel: &Panel, (low, high): (f64, f64)) {
    let text = canvas.layout.pick("loses under 0.05 s", "under 0.05 s");
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
