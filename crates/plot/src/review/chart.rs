//! One start, measured and simulated on one chart, with its faults where they happened.

use bitepoint_runner::review::Reviewed;

use super::report::ReviewReport;
use super::words::TOLD_S;
use crate::chart::canvas::{Anchor, Dash, Layout, Pen, draw};
use crate::chart::labels;
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel, range};
use crate::chart::{Caption, Chart};
use crate::format::{ENGINE_SPEED, SPAN, time_difference};
use crate::palette::Ink;

/// More charts than this nobody reads; the tables have all starts.
const MOST: usize = 12;
const MEASURED: Pen = Pen::new(Ink::Blue, Dash::Solid, 2.25);
const REPLAY: Pen = Pen::new(Ink::Slate, Dash::Short, 1.5);
const SIMULATED: Pen = Pen::new(Ink::Vermilion, Dash::Long, 1.75);

/// A chart for each start.
pub(super) fn charts(report: &ReviewReport<'_>) -> Vec<Chart> {
    let starts = report.review.starts.iter().enumerate().take(MOST);
    starts.filter_map(|(i, start)| chart(report, i, start)).collect()
}

fn chart(report: &ReviewReport<'_>, index: usize, start: &Reviewed) -> Option<Chart> {
    let first = takeaway(start);
    let name = format!("start-{}", index + 1);
    let title = format!("Start {}", index + 1);
    let last = start.run.curve.last();
    let alt_text = format!(
        "Measured and simulated speed{} against time; the start run again on the model as it was driven. Measured to {} at {}; simulated to {}. {first}",
        if start.engine.is_empty() { "" } else { " and engine speed" },
        report.units.speed().text(last.map_or(0.0, |p| p.speed_mps)),
        SPAN.text(last.map_or(0.0, |p| p.time_s)),
        SPAN.text(report.review.best.time_s)
    );
    let caption = Caption { name: &name, title: &title, takeaway: first, alt_text };
    Chart::draw(caption, |layout| drawn(report, start, layout))
}

/// The gap and where it went, largest first.
fn takeaway(start: &Reviewed) -> String {
    let Some(costs) = &start.costs else { return "The gate was not reached.".to_owned() };
    let mut parts: Vec<(&str, f64)> =
        costs.parts.iter().filter(|p| p.lost_s.abs() >= TOLD_S).map(|p| (p.cause.name(), p.lost_s)).collect();
    parts.push(("not explained", costs.rest_s));
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    let parts: Vec<String> =
        parts.iter().map(|(what, lost_s)| format!("{what} {}", time_difference(*lost_s))).collect();
    format!("{} against the recommended launch: {}.", time_difference(costs.gap_s), parts.join(", "))
}

fn drawn(report: &ReviewReport<'_>, start: &Reviewed, layout: Layout) -> Option<Drawing> {
    let best = &report.review.best;
    let unit = report.units.speed();
    let simulated: Vec<_> = best.samples.iter().filter(|s| s.time_s >= -1.0).collect();
    let gate_s = start.time_s.map_or(f64::INFINITY, |t| t.value).max(best.time_s) + 0.5;
    let end_s = start.run.curve.last()?.time_s.min(gate_s).max(1.0);
    let measured: Vec<_> = start.run.curve.iter().filter(|p| p.time_s <= end_s).collect();
    let times = (-1.0, end_s);
    let has_engine = !start.engine.is_empty();
    let rows = 3;
    let row_px = layout.font_px() + 4.0;
    let (left, right) = (layout.pick(52.0, 46.0), layout.width() - layout.pick(110.0, 74.0));
    let top = 26.0 + f64::from(rows) * row_px;
    let speed_frame = Frame { left, right, top, bottom: top + layout.pick(230.0, 190.0) };
    let revs_top = speed_frame.bottom + 34.0;
    let revs_frame = Frame { left, right, top: revs_top, bottom: revs_top + layout.pick(150.0, 120.0) };
    let axis = if has_engine { revs_frame.bottom } else { speed_frame.bottom };
    Some(draw(layout, axis + 42.0, |canvas| {
        let speeds =
            measured.iter().map(|p| unit.of(p.speed_mps)).chain(simulated.iter().map(|s| unit.of(s.speed_mps)));
        let speed = Panel::new(speed_frame, times, range(speeds, &[0.0]));
        let engine = start.engine.iter().filter(|(t, _)| (times.0..=times.1).contains(t));
        let revs_range = engine.clone().map(|(_, w)| *w).chain(simulated.iter().map(|s| s.engine_radps));
        let revs = Panel::new(revs_frame, times, range(revs_range.map(|w| ENGINE_SPEED.of(w)), &[0.0]));
        speed.y_axis(canvas, &format!("Speed, {}", unit.unit), 6);
        if has_engine {
            revs.y_axis(canvas, "Engine speed, rpm", 5);
        }
        let shown: Vec<_> = start.faults.iter().filter(|f| f.from_s < end_s).collect();
        for fault in &shown {
            let span = (fault.from_s.max(times.0), fault.to_s.min(times.1));
            speed.stretch(canvas, span, Ink::Ochre, Hatch::Rising);
            if has_engine {
                revs.stretch(canvas, span, Ink::Ochre, Hatch::Rising);
            }
        }
        let band: Vec<(f64, f64, f64)> = measured
            .iter()
            .map(|p| {
                let (v, sd) = (unit.of(p.speed_mps), 1.96 * unit.of(p.speed_sd_mps));
                (p.time_s, (v - sd).max(0.0), v + sd)
            })
            .collect();
        speed.between(canvas, &band, Ink::Blue, Hatch::Tint);
        let replay = start.costs.iter().flat_map(|c| &c.replay).filter(|(t, _)| *t <= end_s);
        speed.line(canvas, replay.map(|(t, v)| (*t, unit.of(*v))), REPLAY);
        speed.line(canvas, simulated.iter().map(|s| (s.time_s, unit.of(s.speed_mps))), SIMULATED);
        speed.line(canvas, measured.iter().map(|p| (p.time_s, unit.of(p.speed_mps))), MEASURED);
        let end =
            |y: f64, wide: &str, narrow: &str, pen| EndLabel { y, text: layout.pick(wide, narrow).to_owned(), pen };
        let last = measured.last().map_or(0.0, |p| unit.of(p.speed_mps));
        let best_last = simulated.iter().rev().find(|s| s.time_s <= end_s).map_or(0.0, |s| unit.of(s.speed_mps));
        let mut labels = vec![
            end(last, "measured", "meas.", MEASURED),
            end(best_last, "recommended launch", "recommended", SIMULATED),
        ];
        if let Some((_, v)) = start.costs.iter().flat_map(|c| &c.replay).rfind(|(t, _)| *t <= end_s) {
            labels.push(end(unit.of(*v), "as driven", "driven", REPLAY));
        }
        speed.end_labels(canvas, &labels);
        if has_engine {
            let points = simulated.iter().map(|s| (s.time_s, ENGINE_SPEED.of(s.engine_radps)));
            revs.line(canvas, points, SIMULATED);
            revs.line(canvas, engine.map(|(t, w)| (*t, ENGINE_SPEED.of(*w))), MEASURED);
        }
        let boxes: Vec<(f64, f64)> = shown
            .iter()
            .map(|f| {
                let width = canvas.layout.text_px(f.kind.name());
                let low = 0.5 * width + 2.0;
                (
                    speed.x(0.5 * (f.from_s.max(times.0) + f.to_s.min(end_s))).clamp(low, canvas.layout.width() - low),
                    width,
                )
            })
            .collect();
        for ((fault, at), row) in shown.iter().zip(&boxes).zip(labels::rows(&boxes, 8.0, rows as usize)) {
            if let Some(row) = row {
                let y = speed.frame.top - 30.0 - row as f64 * row_px;
                canvas.text((at.0, y), fault.kind.name(), Anchor::Middle, Ink::Ochre);
            }
        }
        speed.x_axis(canvas, axis, "Time from first movement, s");
    }))
}
