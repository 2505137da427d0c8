//! Measured and fitted speed over time, and what is left between them.

use bitepoint_runner::fit::Trace;

use super::report::FitReport;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::Drawing;
use crate::chart::panel::{Frame, Panel, range};
use crate::chart::{Caption, Chart};
use crate::format::{SPAN, Scale};
use crate::palette::Ink;

/// Most starts that have a chart of their own.
const MOST_STARTS: usize = 4;
/// Most measured speeds that are drawn as dots.
const MOST_DOTS: usize = 160;

pub(super) fn charts(report: &FitReport) -> Vec<Chart> {
    let starts = report.fit.starts.iter().take(MOST_STARTS).enumerate().filter_map(|(i, start)| {
        let (name, title) = (format!("start-{}", i + 1), format!("Start {} ({})", i + 1, start.log));
        chart(report, &name, &title, &[&start.trace])
    });
    let coasts: Vec<&Trace> = report.fit.coast_downs.iter().map(|c| &c.trace).collect();
    starts.chain(chart(report, "coast-downs", "Coast-downs", &coasts)).collect()
}

fn chart(report: &FitReport, name: &str, title: &str, traces: &[&Trace]) -> Option<Chart> {
    let speed = report.units.speed();
    let mean = |of: &dyn Fn(&Trace) -> f64| traces.iter().map(|t| of(t)).sum::<f64>() / traces.len().max(1) as f64;
    let rms = mean(&Trace::rms_mps);
    let before = mean(&Trace::rms_before_mps);
    let longest = traces.iter().filter_map(|t| t.time_s.last()).copied().fold(0.0, f64::max);
    let takeaway = format!(
        "Over {} the fitted speed is off by {} (rms), with the file as it was by {}.",
        SPAN.text(longest),
        speed.decimals(2).text(rms),
        speed.decimals(2).text(before)
    );
    let alt_text =
        format!("Measured, fitted and former speed against time, and measured less fitted speed. {takeaway}");
    Chart::draw(Caption { name, title, takeaway, alt_text }, |layout| paint(speed, traces, layout))
}

fn paint(unit: Scale, traces: &[&Trace], layout: Layout) -> Option<Drawing> {
    let all = |of: fn(&Trace) -> &Vec<f64>| traces.iter().flat_map(move |t| of(t).iter().copied());
    let from = all(|t| &t.time_s).fold(f64::INFINITY, f64::min);
    let to = all(|t| &t.time_s).fold(f64::NEG_INFINITY, f64::max);
    if from >= to {
        return None;
    }
    let (left, right) = (layout.pick(52.0, 46.0), layout.width() - layout.pick(16.0, 12.0));
    let top = 56.0;
    let speeds_frame = Frame { left, right, top, bottom: top + layout.pick(230.0, 200.0) };
    let rest_top = speeds_frame.bottom + 36.0;
    let rest_frame = Frame { left, right, top: rest_top, bottom: rest_top + layout.pick(110.0, 100.0) };
    Some(draw(layout, rest_frame.bottom + 42.0, |canvas| {
        let speeds = Panel::new(
            speeds_frame,
            (from, to),
            range(all(|t| &t.measured_mps).chain(all(|t| &t.before_mps)).map(|v| unit.of(v)), &[0.0]),
        );
        let rest = |t: &Trace| -> Vec<(f64, f64)> {
            let off = t.measured_mps.iter().zip(&t.fitted_mps).map(|(m, f)| unit.of(m - f));
            t.time_s.iter().copied().zip(off).collect()
        };
        // A single outlier must not flatten all others.
        let mut sizes: Vec<f64> = traces.iter().flat_map(|t| rest(t)).map(|p| p.1.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let noise = traces.iter().map(|t| unit.of(t.sd_mps)).fold(0.0, f64::max);
        let reach = (1.1 * sizes[(sizes.len() - 1) * 99 / 100]).max(2.5 * noise).max(1e-3);
        let residuals = Panel::new(rest_frame, (from, to), (-reach, reach));
        speeds.y_axis(canvas, &format!("Speed, {}", unit.unit), 6);
        residuals.y_axis(canvas, &format!("Measured less fitted, {}", unit.unit), 4);
        let (before, fitted) = (Pen::new(Ink::Slate, Dash::Short, 1.5), Pen::new(Ink::Blue, Dash::Solid, 2.0));
        for trace in traces {
            let line = |v: &[f64]| trace.time_s.iter().copied().zip(v.iter().map(|v| unit.of(*v))).collect::<Vec<_>>();
            speeds.line(canvas, line(&trace.before_mps).into_iter(), before);
            let every = trace.time_s.len().div_ceil(MOST_DOTS).max(1);
            for (t, v) in line(&trace.measured_mps).into_iter().step_by(every) {
                canvas.dot((speeds.x(t), speeds.y(v)), 2.0, Ink::Vermilion);
            }
            speeds.line(canvas, line(&trace.fitted_mps).into_iter(), fitted);
            for (t, off) in rest(trace).into_iter().step_by(every) {
                canvas.dot((residuals.x(t), residuals.y(off)), 2.0, Ink::Vermilion);
            }
            for sd in [-1.96, 1.96] {
                let level = unit.of(sd * trace.sd_mps);
                residuals.line(canvas, [(trace.time_s[0], level), (to, level)].into_iter(), Pen::MARK);
            }
        }
        canvas.line((left, residuals.y(0.0)), (right, residuals.y(0.0)), Pen::AXIS);
        key(canvas, before, fitted);
        residuals.x_axis(canvas, rest_frame.bottom, "Time, s");
    }))
}

/// What dots and lines mean, above the axes.
fn key(canvas: &Canvas, before: Pen, fitted: Pen) {
    let layout = canvas.layout;
    let mut x = 2.0;
    canvas.dot((x + 5.0, 10.0), 2.5, Ink::Vermilion);
    canvas.text((x + 14.0, 10.0), "measured", Anchor::Start, Ink::Vermilion);
    x += 30.0 + layout.text_px("measured");
    for (pen, text) in [(fitted, "fitted"), (before, layout.pick("file as it was, same driver", "file as it was"))] {
        canvas.line((x, 10.0), (x + 24.0, 10.0), pen);
        canvas.text((x + 30.0, 10.0), text, Anchor::Start, pen.ink);
        x += 46.0 + layout.text_px(text);
    }
    if layout == Layout::Wide {
        canvas.line((x, 10.0), (x + 24.0, 10.0), Pen::MARK);
        canvas.text((x + 30.0, 10.0), "95 % of noise and model error", Anchor::Start, Ink::Muted);
    }
}
