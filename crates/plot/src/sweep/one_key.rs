//! Time against one input: a panel a scenario over one axis, with the best, its window, and what becomes of the starts.
//!
//! Each has a scale of its own: a wet road's times lie so far from a dry one's that on one scale neither would show its best.

use bitepoint_runner::sweep::{Axis, Fate, Field, LOSS_S, Sweep};

use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::{SPAN, count};
use crate::palette::Ink;

use super::look::{key, key_px, look, pen, stretches, strip};
use super::story::{axis_title, rows, target_name};

/// The axis of times ends here, as a share of the quickest start of each scenario; slower ones are drawn at its edge.
const SLOWEST_SHOWN: f64 = 1.35;

pub(super) fn chart(sweep: &Sweep) -> Option<Chart> {
    let caption = Caption {
        name: "sweep",
        title: "Time against what was varied",
        takeaway: takeaway(sweep),
        alt_text: alt_text(sweep),
    };
    Chart::draw(caption, |layout| paint(sweep, layout))
}

fn takeaway(sweep: &Sweep) -> String {
    let each: Vec<String> = rows(sweep)
        .iter()
        .map(|row| match row.along.first() {
            Some(along) => format!(
                "{}: {} at {}, and {} loses under {}",
                row.scenario,
                row.time,
                along.best,
                along.window,
                SPAN.text(LOSS_S)
            ),
            None => format!("{}: no start gets there", row.scenario),
        })
        .collect();
    format!("{}.", each.join(". "))
}

fn alt_text(sweep: &Sweep) -> String {
    let each: Vec<String> = rows(sweep)
        .iter()
        .map(|row| match row.along.first() {
            Some(along) => format!(
                "{}: best {} at {}, window {}, below it {}, above it {}; starts: {}",
                row.scenario, row.time, along.best, along.window, along.below, along.above, row.counts
            ),
            None => format!("{}: no start gets there; starts: {}", row.scenario, row.counts),
        })
        .collect();
    format!("{} against {}. {}.", target_name(sweep.target), axis_title(&sweep.axes[0]), each.join(". "))
}

/// Times that a panel shows, s; nothing if no start gets there.
fn time_range(field: &Field) -> Option<(f64, f64)> {
    let best = field.best.as_ref()?.time_s;
    let slowest = field.cells.iter().filter_map(|cell| cell.time_s).fold(best, f64::max).min(SLOWEST_SHOWN * best);
    let air = (0.1 * (slowest - best)).max(LOSS_S);
    // Room for the best's label below its mark.
    Some((best - 2.5 * air, slowest + air))
}

/// Heights of the parts of a scenario's share of the sheet, px: name and title, window, strip, and what parts it from the next.
const TITLE_PX: f64 = 44.0;
const WINDOW_PX: f64 = 19.0;
const STRIP_PX: f64 = 19.0;
const GAP_PX: f64 = 12.0;

fn paint(sweep: &Sweep, layout: Layout) -> Option<Drawing> {
    let [axis] = &sweep.axes[..] else { return None };
    let panel_px = match sweep.fields.len() {
        1 => layout.pick(280.0, 220.0),
        2 => layout.pick(180.0, 160.0),
        _ => 130.0,
    };
    let row_px = TITLE_PX + panel_px + WINDOW_PX + STRIP_PX + GAP_PX;
    let foot = sweep.fields.len() as f64 * row_px - GAP_PX;
    let height = foot + 44.0 + key_px(layout, short_stretches(sweep).len());
    Some(draw(layout, height, |canvas| {
        let mut unnamed: Vec<Fate> = Vec::new();
        let mut last = None;
        for (index, field) in sweep.fields.iter().enumerate() {
            let top = index as f64 * row_px + TITLE_PX;
            let frame =
                Frame { left: layout.pick(52.0, 46.0), right: layout.width() - 18.0, top, bottom: top + panel_px };
            let range = (axis.number(0), axis.number(axis.len() - 1));
            let panel = Panel::new(frame, range, time_range(field).unwrap_or((0.0, 1.0)));
            title(canvas, &panel, sweep, field, pen(index));
            times(canvas, &panel, axis, field, pen(index));
            window_bar(canvas, &panel, axis, field, pen(index));
            let strip_top = frame.bottom + WINDOW_PX;
            unnamed.extend(strip(canvas, &panel, &stretches(axis, &field.cells), (strip_top, strip_top + STRIP_PX)));
            last = Some(panel);
        }
        if let Some(panel) = last {
            panel.x_axis(canvas, foot, &axis_title_for(axis, layout));
        }
        unnamed.sort_unstable();
        unnamed.dedup();
        key(canvas, &unnamed, foot + 44.0, look);
    }))
}

/// Fates of which some stretch is so short that its word may not fit.
fn short_stretches(sweep: &Sweep) -> Vec<Fate> {
    let span = sweep.axes[0].number(sweep.axes[0].len() - 1) - sweep.axes[0].number(0);
    let mut fates: Vec<Fate> = sweep
        .fields
        .iter()
        .flat_map(|field| stretches(&sweep.axes[0], &field.cells))
        .filter(|((from, to), _)| to - from < 0.3 * span)
        .map(|(_, fate)| fate)
        .collect();
    fates.sort_unstable();
    fates.dedup();
    fates
}

/// The title of the axis, or its name where that is too long for the sheet.
pub(super) fn axis_title_for(axis: &Axis, layout: Layout) -> String {
    let title = axis_title(axis);
    if layout.text_px(&title) < 0.9 * layout.width() {
        title
    } else if axis.unit().is_empty() {
        axis.name()
    } else {
        format!("{}, {}", axis.name(), axis.unit())
    }
}

/// A name that fits.
pub(super) fn clipped(name: &str, characters: usize) -> String {
    if name.chars().count() <= characters {
        return name.to_owned();
    }
    let kept: String = name.chars().take(characters.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end_matches([' ', ',']))
}

/// The times, nothing for starts that do not get there.
fn points(axis: &Axis, field: &Field) -> Vec<Option<(f64, f64)>> {
    field.cells.iter().enumerate().map(|(i, cell)| Some((axis.number(i as u64), cell.time_s?))).collect()
}

/// The scenario's name, the grid, and how many starts fail.
fn title(canvas: &Canvas, panel: &Panel, sweep: &Sweep, field: &Field, pen: Pen) {
    let Frame { right, top, .. } = panel.frame;
    canvas.bold((2.0, top - 32.0), &clipped(&field.scenario, canvas.layout.pick(80, 40)), Anchor::Start, pen.ink);
    let failed = field.failed();
    if failed > 0 {
        let told = format!("{failed} of {} fail", count(field.cells.len(), "start", "starts"));
        canvas.text((right, top - 14.0), &told, Anchor::End, Ink::Muted);
    }
    if field.best.is_some() {
        panel.y_axis(canvas, &format!("{}, s", target_name(sweep.target)), 5);
    } else {
        let middle = (0.5 * (panel.frame.left + right), 0.5 * (top + panel.frame.bottom));
        canvas.text(middle, "no start gets there", Anchor::Middle, Ink::Muted);
    }
}

/// The line of times, thick within the window, and the best on it.
fn times(canvas: &Canvas, panel: &Panel, axis: &Axis, field: &Field, pen: Pen) {
    let points = points(axis, field);
    for part in points.split(Option::is_none) {
        let part: Vec<(f64, f64)> = part.iter().flatten().copied().collect();
        if let [(x, y)] = part[..] {
            canvas.dot((panel.x(x), panel.y(y)), 2.0, pen.ink);
        }
        panel.line(canvas, part.into_iter(), pen);
    }
    let Some(best) = &field.best else { return };
    let window = best.along[0].window;
    let (from, to) = (axis.in_unit(window.from_si), axis.in_unit(window.to_si));
    let most = best.time_s + LOSS_S;
    let inside = points.into_iter().flatten().filter(|(x, t)| *x >= from - 1e-9 && *x <= to + 1e-9 && *t < most);
    panel.line(canvas, inside, Pen::new(pen.ink, Dash::Solid, 5.0));
    let at = (panel.x(axis.in_unit(best.along[0].value_si)), panel.y(best.time_s));
    canvas.dot(at, 6.5, Ink::Paper);
    canvas.dot(at, 5.0, pen.ink);
    let text = format!("{}: {}", axis.show(best.along[0].value_si), SPAN.text(best.time_s));
    let half = 0.5 * canvas.layout.text_px(&text) + 4.0;
    let centre = at.0.clamp(panel.frame.left + half, panel.frame.right - half);
    canvas.bold((centre, (at.1 + 16.0).min(panel.frame.bottom - 9.0)), &text, Anchor::Middle, pen.ink);
}

/// The window as a bar below the panel.
fn window_bar(canvas: &Canvas, panel: &Panel, axis: &Axis, field: &Field, pen: Pen) {
    let Some(best) = &field.best else { return };
    let middle = panel.frame.bottom + 0.5 * WINDOW_PX;
    let window = best.along[0].window;
    let (a, b) = (panel.x(axis.in_unit(window.from_si)), panel.x(axis.in_unit(window.to_si)));
    canvas.rect((a, middle - 3.0), (b.max(a + 2.0), middle + 3.0), pen.ink, Hatch::Full);
    let text = "loses < 0.05 s";
    let width = canvas.layout.text_px(text);
    if b + 6.0 + width < panel.frame.right {
        canvas.text((b + 6.0, middle), text, Anchor::Start, pen.ink);
    } else if a - 6.0 - width > panel.frame.left {
        canvas.text((a - 6.0, middle), text, Anchor::End, pen.ink);
    } else {
        let (centre, half) = (0.5 * (a + b), 0.5 * width + 5.0);
        canvas.rect((centre - half, middle - 4.0), (centre + half, middle + 4.0), Ink::Paper, Hatch::Full);
        canvas.text((centre, middle), text, Anchor::Middle, pen.ink);
    }
}
