//! Time against one input: a line a scenario, the best of each, its window, and what becomes of the starts.

use bitepoint_runner::sweep::{Axis, Fate, Field, LOSS_S, Sweep};

use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::labels;
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::{GATE_TIME, SPAN, count};
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

/// Times that the chart shows, s.
fn time_range(sweep: &Sweep) -> Option<(f64, f64)> {
    let bests = || sweep.fields.iter().filter_map(|field| field.best.as_ref().map(|best| best.time_s));
    let low = bests().fold(f64::INFINITY, f64::min);
    let high = sweep.fields.iter().filter_map(|field| {
        let best = field.best.as_ref()?.time_s;
        let slowest = field.cells.iter().filter_map(|cell| cell.time_s).fold(best, f64::max);
        Some(slowest.min(SLOWEST_SHOWN * best))
    });
    let high = high.fold(f64::NEG_INFINITY, f64::max);
    let air = (0.08 * (high - low)).max(2.0 * LOSS_S);
    (low <= high).then_some((low - air, high + air))
}

/// Heights of the parts of a scenario's row below the panel, px: its name with its window, and the strip.
const NAME_PX: f64 = 19.0;
const STRIP_PX: f64 = 19.0;
const ROW_GAP_PX: f64 = 7.0;

fn paint(sweep: &Sweep, layout: Layout) -> Option<Drawing> {
    let [axis] = &sweep.axes[..] else { return None };
    let times = time_range(sweep)?;
    let rows_px = sweep.fields.len() as f64 * (NAME_PX + STRIP_PX + ROW_GAP_PX) + 6.0;
    let fates = unnamed_at_most(sweep);
    let frame = Frame {
        left: layout.pick(52.0, 46.0),
        right: layout.width() - layout.pick(150.0, 14.0),
        top: 30.0,
        bottom: layout.pick(310.0, 260.0),
    };
    let foot = frame.bottom + rows_px;
    let height = foot + 44.0 + key_px(layout, fates.len());
    Some(draw(layout, height, |canvas| {
        let panel = Panel::new(frame, (axis.number(0), axis.number(axis.len() - 1)), times);
        panel.y_axis(canvas, &format!("{}, s", target_name(sweep.target)), 6);
        let mut labels = Vec::new();
        for (index, field) in sweep.fields.iter().enumerate() {
            line(canvas, &panel, axis, field, pen(index));
            if let Some((_, y)) = points(axis, field).iter().rev().flatten().next() {
                labels.push(EndLabel { y: y.min(times.1), text: clipped(&field.scenario, 17), pen: pen(index) });
            }
        }
        if layout == Layout::Wide {
            panel.end_labels(canvas, &labels);
        }
        best_marks(canvas, &panel, sweep, axis);
        let mut unnamed: Vec<Fate> = Vec::new();
        for (index, field) in sweep.fields.iter().enumerate() {
            let top = frame.bottom + 6.0 + index as f64 * (NAME_PX + STRIP_PX + ROW_GAP_PX);
            unnamed.extend(scenario_row(canvas, &panel, axis, field, (top, pen(index))));
        }
        unnamed.sort_unstable();
        unnamed.dedup();
        panel.x_axis(canvas, foot, &axis_title_for(axis, layout));
        key(canvas, &unnamed, foot + 44.0, look);
    }))
}

/// Fates of which some stretch is so short that its word may not fit.
fn unnamed_at_most(sweep: &Sweep) -> Vec<Fate> {
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

fn line(canvas: &Canvas, panel: &Panel, axis: &Axis, field: &Field, pen: Pen) {
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
    let edge = |x: f64, open: bool| (!open).then_some((x, most));
    // The window lies on the line itself: the runs within it, and where the line crosses the loss.
    let inside = points.into_iter().flatten().filter(|(x, t)| *x > from && *x < to && *t <= most);
    let path: Vec<(f64, f64)> = edge(from, window.open_below)
        .into_iter()
        .filter(|(x, _)| axis.number(0) < *x)
        .chain(inside)
        .chain(edge(to, window.open_above))
        .collect();
    panel.line(canvas, path.into_iter(), Pen::new(pen.ink, Dash::Solid, 5.0));
}

/// The best of each scenario, with its value and time.
fn best_marks(canvas: &Canvas, panel: &Panel, sweep: &Sweep, axis: &Axis) {
    let found: Vec<(usize, (f64, f64), String)> = sweep
        .fields
        .iter()
        .enumerate()
        .filter_map(|(index, field)| {
            let best = field.best.as_ref()?;
            let value = best.along[0].value_si;
            let at = (panel.x(axis.in_unit(value)), panel.y(best.time_s));
            Some((index, at, format!("{}: {}", axis.show(value), GATE_TIME.text(best.time_s))))
        })
        .collect();
    let boxes: Vec<(f64, f64)> = found
        .iter()
        .map(|(_, (x, _), text)| {
            let half = 0.5 * canvas.layout.text_px(text);
            (x.clamp(panel.frame.left + half, panel.frame.right - half), 2.0 * half)
        })
        .collect();
    let rows = labels::rows(&boxes, 6.0, 4);
    for (((index, at, text), (centre, _)), row) in found.iter().zip(boxes).zip(rows) {
        let ink = pen(*index).ink;
        canvas.dot(*at, 6.0, Ink::Paper);
        canvas.dot(*at, 4.5, ink);
        // Below the line, where there is nothing quicker; a label of another scenario at the same height moves on.
        let crowded = found.iter().filter(|(other, (_, y), _)| other < index && (y - at.1).abs() < 20.0).count();
        let below = at.1 + 15.0 + if crowded > 0 { 15.0 * row.unwrap_or(0) as f64 } else { 0.0 };
        let y = if below < panel.frame.bottom - 4.0 { below } else { at.1 - 15.0 };
        canvas.bold((centre, y), text, Anchor::Middle, ink);
    }
}

/// Below the panel: the scenario's name, its window as a bar, and its strip of fates.
fn scenario_row(canvas: &Canvas, panel: &Panel, axis: &Axis, field: &Field, (top, pen): (f64, Pen)) -> Vec<Fate> {
    let layout = canvas.layout;
    let middle = top + 0.5 * NAME_PX;
    canvas.line((panel.frame.left, top), (panel.frame.right, top), Pen::GRID);
    let failed = field.failed();
    let name = match layout {
        Layout::Wide => String::new(),
        Layout::Narrow => clipped(&field.scenario, 20),
    };
    canvas.text((panel.frame.left, middle), &name, Anchor::Start, pen.ink);
    if let Some(best) = &field.best {
        let window = best.along[0].window;
        let (a, b) = (panel.x(axis.in_unit(window.from_si)), panel.x(axis.in_unit(window.to_si)));
        canvas.rect((a, middle - 3.0), (b.max(a + 2.0), middle + 3.0), pen.ink, Hatch::Full);
        let text = "loses < 0.05 s";
        let (after, before) = (b + 6.0, a - 6.0);
        if after + layout.text_px(text) < panel.frame.right {
            canvas.text((after, middle), text, Anchor::Start, pen.ink);
        } else if before - layout.text_px(text) > panel.frame.left + layout.text_px(&name) + 6.0 {
            canvas.text((before, middle), text, Anchor::End, pen.ink);
        }
    }
    let strip_top = top + NAME_PX;
    let unnamed = strip(canvas, panel, &stretches(axis, &field.cells), (strip_top, strip_top + STRIP_PX));
    if layout == Layout::Wide {
        let x = panel.frame.right + 6.0;
        canvas.text((x, middle), &clipped(&field.scenario, 19), Anchor::Start, pen.ink);
        if failed > 0 {
            let told = format!("{} of {} fail", failed, count(field.cells.len(), "start", "starts"));
            canvas.text((x, strip_top + 0.5 * STRIP_PX), &clipped(&told, 19), Anchor::Start, Ink::Muted);
        }
    }
    unnamed
}
