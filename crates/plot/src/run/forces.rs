//! Driving force against what the tyres could hold, and what stands against it.

use super::report::RunReport;
use crate::format::SPAN;
use crate::palette::Ink;
use crate::spans::{spans, spins, total};

use super::charts::Kind;
use super::speed::{TIME_TITLE, time_range};
use crate::chart::canvas::{Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{EndLabel, Frame, Panel, range};

pub(super) const KIND: Kind =
    Kind { name: "forces", title: "Forces and the traction ceiling", takeaway, alt_text, draw: draw_forces };

/// From this share of the ceiling the tyres are said to be used in full.
const FULL_USE: f64 = 0.95;

fn takeaway(report: &RunReport) -> String {
    let used = spans(report.samples, |s| s.time_s >= 0.0 && (spins(s) || s.drive_n >= FULL_USE * s.traction_ceiling_n));
    match used.last() {
        Some((_, last)) if total(&used) > 0.005 => format!(
            "The tyres were the limit, at 95 % or more of what they could hold or spinning past it, for {} in all, the last time {} into the run.",
            SPAN.text(total(&used)),
            SPAN.text(*last)
        ),
        _ => format!(
            "The tyres always had grip to spare: at most {} of what they could hold was asked of them.",
            crate::format::SHARE.text(most_used(report))
        ),
    }
}

fn most_used(report: &RunReport) -> f64 {
    report
        .samples
        .iter()
        .filter(|s| s.traction_ceiling_n > 0.0)
        .map(|s| s.drive_n / s.traction_ceiling_n)
        .fold(0.0, f64::max)
}

fn alt_text(report: &RunReport) -> String {
    let unit = report.units.force();
    let largest = |value: fn(&bitepoint_physics::run::Sample) -> f64| {
        unit.text(report.samples.iter().map(value).filter(|v| v.is_finite()).fold(0.0, f64::max))
    };
    format!(
        "Driving force, traction ceiling, air drag, rolling resistance and slope against time. Largest driving force {}, \
         highest ceiling {}, largest drag {}, largest rolling resistance {}.",
        largest(|s| s.drive_n),
        largest(|s| s.traction_ceiling_n),
        largest(|s| s.aero_n),
        largest(|s| s.rolling_n),
    )
}

fn draw_forces(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let samples = report.samples;
    let times = time_range(samples)?;
    let unit = report.units.force();
    let frame = Frame {
        left: layout.pick(60.0, 46.0),
        right: layout.width() - layout.pick(140.0, 86.0),
        top: 30.0,
        bottom: layout.pick(310.0, 260.0),
    };
    let sloped = samples.iter().any(|s| s.slope_n.abs() > 1.0);
    Some(draw(layout, frame.bottom + 44.0, |canvas| {
        let values = samples.iter().flat_map(|s| [s.drive_n, s.traction_ceiling_n, s.aero_n, s.rolling_n, s.slope_n]);
        let panel = Panel::new(frame, times, range(values.map(|n| unit.of(n)), &[0.0]));
        panel.y_axis(canvas, &format!("Force along the road, {}", unit.unit), 6);
        let spare: Vec<_> = samples
            .iter()
            .map(|s| {
                // A tyre that spins gives less than its ceiling, but has nothing to spare.
                let ceiling_n = if spins(s) { s.drive_n } else { s.traction_ceiling_n };
                (s.time_s, unit.of(s.drive_n), unit.of(ceiling_n))
            })
            .collect();
        panel.between(canvas, &spare, Ink::Slate, Hatch::Tint);
        type Value = fn(&bitepoint_physics::run::Sample) -> f64;
        let lines: [(Value, &str, &str, Pen); 5] = [
            (|s| s.traction_ceiling_n, "tyres could hold", "ceiling", Pen::new(Ink::Text, Dash::Long, 2.0)),
            (|s| s.drive_n, "driving force", "drive", Pen::new(Ink::Blue, Dash::Solid, 2.25)),
            (|s| s.aero_n, "air drag", "air drag", Pen::new(Ink::Vermilion, Dash::Mixed, 2.0)),
            (|s| s.rolling_n, "rolling", "rolling", Pen::new(Ink::Slate, Dash::Dots, 2.0)),
            (|s| s.slope_n, "slope", "slope", Pen::new(Ink::Green, Dash::Short, 2.0)),
        ];
        let shown = if sloped { &lines[..] } else { &lines[..4] };
        let mut names = Vec::new();
        for (value, wide, narrow, pen) in shown {
            panel.line(canvas, samples.iter().map(|s| (s.time_s, unit.of(value(s)))), *pen);
            let y = unit.of(value(&samples[samples.len() - 1]));
            names.push(EndLabel { y, text: layout.pick(*wide, *narrow).to_owned(), pen: *pen });
        }
        panel.area_label(canvas, &spare, "grip to spare", Ink::Slate);
        panel.end_labels(canvas, &names);
        panel.x_axis(canvas, frame.bottom, TIME_TITLE);
    }))
}
