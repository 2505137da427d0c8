//! Time lost to each cause against what no driver can beat.

use bitepoint_physics::bounds::Standing;
use bitepoint_physics::run::Limit;

use super::report::RunReport;
use crate::format::{SPAN, gate_name, time_difference};
use crate::palette::Ink;

use super::charts::Kind;
use super::limits::look;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::Drawing;
use crate::chart::panel::{Frame, Panel, range};

pub(super) const KIND: Kind =
    Kind { name: "lost", title: "Time lost against the theoretical limit", takeaway, alt_text, draw: draw_lost };

/// Less than this is not drawn, s: it rounds to nothing.
const LEAST_S: f64 = 0.005;

/// Standings whose numbers can be drawn, at most three.
fn standings<'a>(report: &RunReport<'a>) -> Vec<&'a Standing> {
    let sound = |s: &&Standing| s.run_s.is_finite() && s.lost_s.iter().all(|l| l.is_finite());
    report.standings.iter().filter(sound).take(3).collect()
}

fn ranked(standing: &Standing) -> Vec<(Limit, f64)> {
    let mut causes: Vec<_> =
        Limit::ALL.into_iter().zip(standing.lost_s).filter(|(_, lost)| lost.abs() >= LEAST_S).collect();
    causes.sort_by(|a, b| b.1.total_cmp(&a.1));
    causes
}

fn takeaway(report: &RunReport) -> String {
    let Some(standing) = standings(report).pop() else {
        return "No mark was reached that a limit is known for.".to_owned();
    };
    let lost_s = standing.run_s - standing.traction_and_power_s;
    let most = ranked(standing)
        .first()
        .map_or(String::new(), |(limit, s)| format!(", most of it to the {} ({})", limit.name(), SPAN.text(*s)));
    format!(
        "To {} the theoretical limit of this car here is {}; the run lost {}{most}.",
        gate_name(standing.gate),
        SPAN.text(standing.traction_and_power_s),
        SPAN.text(lost_s)
    )
}

fn alt_text(report: &RunReport) -> String {
    let told: Vec<String> = standings(report)
        .iter()
        .map(|standing| {
            let list: Vec<String> =
                ranked(standing).iter().map(|(limit, s)| format!("{} {}", limit.name(), SPAN.text(*s))).collect();
            format!(
                "{}: run {}, limit {}, with shifts {}; time lost to {}",
                gate_name(standing.gate),
                SPAN.text(standing.run_s),
                SPAN.text(standing.traction_and_power_s),
                SPAN.text(standing.with_shifts_s),
                if list.is_empty() { "nothing".to_owned() } else { list.join(", ") }
            )
        })
        .collect();
    format!("Time lost to each cause against the limit of perfect grip and peak power. {}.", told.join(". "))
}

fn draw_lost(report: &RunReport, layout: Layout) -> Option<Drawing> {
    let standings = standings(report);
    if standings.is_empty() {
        return None;
    }
    let (bar_px, head_px) = (24.0, 40.0);
    let height: f64 = standings.iter().map(|s| head_px + bar_px * ranked(s).len() as f64).sum();
    let seconds = range(standings.iter().flat_map(|s| s.lost_s), &[0.0]);
    let (left, right) = (layout.pick(84.0, 66.0), layout.width() - layout.pick(80.0, 62.0));
    Some(draw(layout, height + 44.0, |canvas| {
        let mut top = 0.0;
        for standing in &standings {
            let causes = ranked(standing);
            let frame = Frame { left, right, top: top + head_px, bottom: top + head_px + bar_px * causes.len() as f64 };
            let panel = Panel::new(frame, seconds, (0.0, 1.0));
            let text = format!(
                "{}: {} over the limit of {}",
                gate_name(standing.gate),
                time_difference(standing.run_s - standing.traction_and_power_s),
                SPAN.text(standing.traction_and_power_s)
            );
            canvas.bold((2.0, top + 22.0), &text, Anchor::Start, Ink::Text);
            bars(canvas, &panel, &causes, bar_px);
            top = frame.bottom;
        }
        let panel = Panel::new(Frame { left, right, top: 0.0, bottom: top }, seconds, (0.0, 1.0));
        panel.x_axis(canvas, top, layout.pick("Time lost to each cause, s", "Time lost, s"));
    }))
}

fn bars(canvas: &Canvas, panel: &Panel, causes: &[(Limit, f64)], bar_px: f64) {
    let zero = panel.x(0.0);
    for (i, (limit, lost)) in causes.iter().enumerate() {
        let top = panel.frame.top + bar_px * i as f64;
        let middle = top + 0.5 * bar_px;
        let (ink, hatch) = look(*limit);
        let end = panel.x(*lost);
        let (a, b) = ((zero.min(end), top + 4.0), (zero.max(end).max(zero + 1.0), top + bar_px - 4.0));
        canvas.rect(a, b, ink, hatch);
        canvas.frame(a, b, Pen::new(ink, Dash::Solid, 1.0));
        canvas.text((panel.frame.left - 8.0, middle), limit.name(), Anchor::End, ink);
        canvas.text((b.0 + 6.0, middle), &SPAN.text(*lost), Anchor::Start, Ink::Text);
    }
    canvas.line((zero, panel.frame.top), (zero, panel.frame.bottom), Pen::AXIS);
}
