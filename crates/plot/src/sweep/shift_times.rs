//! Time lost against the engine speed at which each gear is left: one panel a gear, a line a scenario.

use bitepoint_runner::sweep::{Field, GearStudy, LOSS_S, ShiftStudy};

use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::Drawing;
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::SPAN;
use crate::palette::Ink;

use super::look::pen;
use super::one_key::clipped;
use super::shift_story::shift_rows;
use super::story::target_name;

/// The axis of losses ends here, s; larger ones are drawn at its edge.
const MOST_SHOWN_S: f64 = 0.5;

pub(super) fn chart(study: &ShiftStudy) -> Option<Chart> {
    let rows = shift_rows(study);
    let each: Vec<String> = rows
        .iter()
        .map(|r| {
            format!(
                "{} on {}: best decided at {}, window {}, next gear pulls as hard {}",
                r.gears, r.scenario, r.shift_at, r.window, r.crossing
            )
        })
        .collect();
    let takeaway = takeaway(study);
    let caption = Caption {
        name: "shifts",
        title: "Time lost by an early or a late shift",
        takeaway,
        alt_text: format!(
            "Loss of {} against the engine speed at which the driver decides to leave a gear. {}.",
            target_name(study.target),
            each.join("; ")
        ),
    };
    Chart::draw(caption, |layout| paint(study, layout))
}

/// How far from the best a shift is told of, in steps of the sweep.
const EARLY_STEPS: usize = 10;

/// What an early shift costs in each gear, on the first day.
fn takeaway(study: &ShiftStudy) -> String {
    let each: Vec<String> = study
        .gears
        .iter()
        .filter_map(|gear| {
            let field = gear.sweep.fields.first()?;
            let best = field.best.as_ref()?;
            let early = field.cells.get(best.cell.checked_sub(EARLY_STEPS)?)?;
            Some(format!("{} leaving gear {}", SPAN.text(early.time_s? - best.time_s), gear.from_gear))
        })
        .collect();
    let (Some(day), Some(gear), false) = (study.days.first(), study.gears.first(), each.is_empty()) else {
        return "What a shift costs that is early or late, gear by gear.".to_owned();
    };
    let early_rpm = EARLY_STEPS as f64 * gear.sweep.axes[0].step();
    format!("Shifting {early_rpm:.0}\u{a0}rpm before the best loses {} ({}).", each.join(", "), day.scenario)
}

fn paint(study: &ShiftStudy, layout: Layout) -> Option<Drawing> {
    let columns = layout.pick(3, 1).min(study.gears.len());
    let (title_px, panel_px) = (44.0, layout.pick(170.0, 150.0));
    let row_px = title_px + panel_px + 46.0;
    let width = layout.width() / columns as f64;
    let rows_px = study.gears.len().div_ceil(columns) as f64 * row_px;
    let most_s = study.gears.iter().flat_map(|gear| &gear.sweep.fields).flat_map(losses).flatten().map(|p| p.1);
    let most_s = most_s.fold(2.0 * LOSS_S, f64::max).min(MOST_SHOWN_S);
    Some(draw(layout, rows_px + study.days.len().div_ceil(layout.pick(3, 1)) as f64 * 20.0 + 22.0, |canvas| {
        for (index, gear) in study.gears.iter().enumerate() {
            let (left, top) = ((index % columns) as f64 * width, (index / columns) as f64 * row_px + title_px);
            let frame = Frame { left: left + 46.0, right: left + width - 12.0, top, bottom: top + panel_px };
            one(canvas, gear, frame, most_s);
        }
        legend(canvas, study, rows_px);
    }))
}

/// Engine speed, rpm, and time lost, s; nothing for starts that do not get there.
fn losses(field: &Field) -> Vec<Option<(f64, f64)>> {
    let best_s = field.best.as_ref().map(|best| best.time_s);
    field.cells.iter().enumerate().map(|(i, cell)| Some((i as f64, cell.time_s? - best_s?))).collect()
}

fn one(canvas: &Canvas, gear: &GearStudy, frame: Frame, most_s: f64) {
    let axis = &gear.sweep.axes[0];
    let limiter = gear.found.first().map_or(0.0, |found| axis.in_unit(found.crossing.limiter_radps));
    let to = axis.number(axis.len() - 1).max(limiter);
    let panel = Panel::new(frame, (axis.number(0), to + 0.02 * (to - axis.number(0))), (-0.04 * most_s, 1.04 * most_s));
    canvas.bold(
        (frame.left - 44.0, frame.top - 31.0),
        &format!("{}→{}", gear.from_gear, gear.from_gear + 1),
        Anchor::Start,
        Ink::Text,
    );
    canvas.text((frame.left - 44.0, frame.top - 13.0), "Lost, s", Anchor::Start, Ink::Text);
    panel.y_grid(canvas, 5);
    let upright = |x: f64, pen: Pen| canvas.line((panel.x(x), frame.top), (panel.x(x), frame.bottom), pen);
    upright(limiter, Pen::new(Ink::Muted, Dash::Solid, 1.5));
    canvas.text((panel.x(limiter) - 4.0, frame.top - 13.0), "limiter", Anchor::End, Ink::Muted);
    for (index, (field, found)) in gear.sweep.fields.iter().zip(&gear.found).enumerate() {
        let pen = pen(index);
        if let (0, Some(radps)) = (index, found.crossing.crossing_radps) {
            upright(axis.in_unit(radps), Pen::new(Ink::Text, Dash::Short, 1.5));
            canvas.text((panel.x(axis.in_unit(radps)) - 4.0, frame.top + 9.0), "pull alike", Anchor::End, Ink::Text);
        }
        let points: Vec<Option<(f64, f64)>> = losses(field);
        for part in points.split(Option::is_none) {
            panel.line(canvas, part.iter().flatten().map(|(i, loss)| (axis.number(*i as u64), *loss)), pen);
        }
        if let Some(best) = &field.best {
            let at = (panel.x(axis.in_unit(best.along[0].value_si)), panel.y(0.0));
            canvas.dot(at, 5.5, Ink::Paper);
            canvas.dot(at, 4.0, pen.ink);
            let window = best.along[0].window;
            let y = frame.bottom - 4.0 - 6.0 * index as f64;
            canvas.line(
                (panel.x(axis.in_unit(window.from_si)), y),
                (panel.x(axis.in_unit(window.to_si)), y),
                Pen::new(pen.ink, Dash::Solid, 3.0),
            );
        }
    }
    panel.x_axis_ticks(canvas, frame.bottom, "Decided at, rpm", 5);
}

fn legend(canvas: &Canvas, study: &ShiftStudy, top: f64) {
    let columns = canvas.layout.pick(3, 1);
    for (index, day) in study.days.iter().enumerate() {
        let x = (index % columns) as f64 * canvas.layout.width() / columns as f64;
        let y = top + 8.0 + (index / columns) as f64 * 20.0;
        canvas.line((x + 2.0, y), (x + 30.0, y), pen(index));
        canvas.text((x + 36.0, y), &clipped(&day.scenario, 30), Anchor::Start, pen(index).ink);
    }
    let y = top + 8.0 + study.days.len().div_ceil(columns) as f64 * 20.0;
    canvas.line((2.0, y), (30.0, y), Pen::new(Ink::Muted, Dash::Solid, 3.0));
    canvas.text((36.0, y), "bar: loses under 0.05 s; dot: best", Anchor::Start, Ink::Muted);
}
