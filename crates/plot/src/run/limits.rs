//! What limited the car: one lane for each cause.

use bitepoint_physics::run::{Limit, Sample};

use super::report::RunReport;
use crate::format::{SHARE, SPAN};
use crate::palette::Ink;
use crate::spans;

use super::charts::Kind;
use super::speed::{TIME_TITLE, time_range};
use crate::chart::canvas::{Anchor, Canvas, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};

pub(super) const KIND: Kind =
    Kind { name: "limits", title: "What limited the car", takeaway, alt_text, draw: draw_limits };

/// How a cause is drawn, here and in the other charts and reports.
pub(crate) fn look(limit: Limit) -> (Ink, Hatch) {
    match limit {
        Limit::Tyre => (Ink::Vermilion, Hatch::Rising),
        Limit::Clutch => (Ink::Purple, Hatch::Falling),
        Limit::Throttle => (Ink::Ochre, Hatch::Points),
        Limit::Boost => (Ink::Blue, Hatch::Level),
        Limit::Engine => (Ink::Green, Hatch::Tint),
        Limit::Limiter => (Ink::Text, Hatch::Upright),
        Limit::Shift => (Ink::Slate, Hatch::Cross),
        Limit::Air => (Ink::Blue, Hatch::Points),
    }
}

/// Causes that limited the car at all, with their times, s, longest first.
fn ranked(report: &RunReport) -> Vec<(Limit, f64)> {
    let mut causes: Vec<(Limit, f64)> =
        Limit::ALL.into_iter().zip(report.run.limited_s).filter(|(_, s)| s.is_finite() && *s > 0.0).collect();
    causes.sort_by(|a, b| b.1.total_cmp(&a.1));
    causes
}

fn takeaway(report: &RunReport) -> String {
    let causes = ranked(report);
    let share = |s: f64| SHARE.text(s / report.run.duration_s);
    match causes[..] {
        [] => "Nothing was measured: the car did not move.".to_owned(),
        [(first, s)] => format!("The {} set the pace throughout ({}).", first.name(), SPAN.text(s)),
        [(first, a), (second, b), ..] => format!(
            "The {} set the pace for {} ({} of the run), the {} for {}.",
            first.name(),
            SPAN.text(a),
            share(a),
            second.name(),
            SPAN.text(b)
        ),
    }
}

fn alt_text(report: &RunReport) -> String {
    let list: Vec<String> =
        ranked(report).iter().map(|(limit, s)| format!("{} {}", limit.name(), SPAN.text(*s))).collect();
    format!("What limited the car at each instant, one lane for each cause. Times: {}.", list.join(", "))
}

fn draw_limits(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let (_, to) = time_range(report.samples)?;
    if to <= 0.0 {
        return None;
    }
    let found = spans::limits(report.samples);
    let lanes: Vec<Limit> = Limit::ALL.into_iter().filter(|limit| found.iter().any(|(_, l)| l == limit)).collect();
    let lane_px = 26.0;
    let frame = Frame {
        left: layout.pick(84.0, 66.0),
        right: layout.width() - layout.pick(84.0, 60.0),
        top: 26.0,
        bottom: 26.0 + lane_px * lanes.len() as f64,
    };
    Some(draw(layout, frame.bottom + 44.0, |canvas| {
        let panel = Panel::new(frame, (0.0, to), (0.0, 1.0));
        canvas.text((2.0, 10.0), "Cause", Anchor::Start, Ink::Text);
        canvas.text((layout.width() - 2.0, 10.0), "Total, s", Anchor::End, Ink::Text);
        panel.x_grid(canvas);
        for (i, lane) in lanes.iter().enumerate() {
            let top = frame.top + lane_px * i as f64;
            let middle = top + 0.5 * lane_px;
            let (ink, hatch) = look(*lane);
            canvas.line((frame.left, top + lane_px), (frame.right, top + lane_px), Pen::GRID);
            canvas.text((frame.left - 8.0, middle), lane.name(), Anchor::End, ink);
            for (span, _) in found.iter().filter(|(_, limit)| limit == lane) {
                block(canvas, &panel, *span, (top + 4.0, top + lane_px - 4.0), (ink, hatch));
            }
            let index = Limit::ALL.iter().position(|limit| limit == lane);
            let total_s = index.map_or(0.0, |i| report.run.limited_s[i]);
            canvas.text((layout.width() - 2.0, middle), &SPAN.number(total_s), Anchor::End, Ink::Text);
        }
        canvas.line((frame.left, frame.bottom), (frame.right, frame.bottom), Pen::AXIS);
        panel.x_axis(canvas, frame.bottom, TIME_TITLE);
    }))
}

/// All causes in one strip on another chart's time axis, named where there is room.
pub(super) fn ribbon(canvas: &Canvas, panel: &Panel, samples: &[Sample], top: f64, height: f64) {
    for (span, limit) in spans::limits(samples) {
        let (ink, hatch) = look(limit);
        block(canvas, panel, span, (top, top + height), (ink, hatch));
        let (a, b) = (panel.x(span.0), panel.x(span.1));
        if b - a > canvas.layout.text_px(limit.name()) + 8.0 {
            canvas.text((0.5 * (a + b), top + 0.5 * height), limit.name(), Anchor::Middle, ink);
        }
    }
}

fn block(canvas: &Canvas, panel: &Panel, span: spans::Span, (top, bottom): (f64, f64), (ink, hatch): (Ink, Hatch)) {
    let (a, b) = (panel.x(span.0), panel.x(span.1));
    let b = b.max(a + 0.5);
    canvas.rect((a, top), (b, bottom), ink, hatch);
    canvas.line((a, top), (a, bottom), Pen::new(ink, crate::chart::canvas::Dash::Solid, 1.0));
    if b - a > 2.0 {
        canvas.line((a, bottom), (b, bottom), Pen::new(ink, crate::chart::canvas::Dash::Solid, 2.0));
    }
}
