//! Where the time goes: the theoretical limit, and the time lost to each cause, as one ribbon a day.

use bitepoint_physics::bounds::Standing;
use bitepoint_physics::run::Limit;

use super::report::{PlanReport, target_text};
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart, labels};
use crate::format::SPAN;
use crate::palette::Ink;
use crate::run::look;

/// Less than this is not drawn, s: it rounds to nothing.
const LEAST_S: f64 = 0.005;
const ROW_PX: f64 = 104.0;
const BAR_PX: f64 = 30.0;

fn standings<'a>(report: &'a PlanReport<'_>) -> Vec<(&'a str, &'a Standing)> {
    report.days.iter().filter_map(|day| Some((day.name, day.plan.driver.standing.as_ref()?))).collect()
}

fn ranked(standing: &Standing) -> Vec<(Limit, f64)> {
    let mut causes: Vec<_> = Limit::ALL.into_iter().zip(standing.lost_s).filter(|(_, s)| *s >= LEAST_S).collect();
    causes.sort_by(|a, b| b.1.total_cmp(&a.1));
    causes
}

fn causes(standing: &Standing) -> String {
    let list: Vec<String> =
        ranked(standing).iter().map(|(limit, s)| format!("{} {}", limit.name(), SPAN.text(*s))).collect();
    if list.is_empty() { "nothing".to_owned() } else { list.join(", ") }
}

/// The chart; nothing if no bound is known.
pub(super) fn chart(report: &PlanReport<'_>) -> Option<Chart> {
    let standings = standings(report);
    let takeaway = standings
        .iter()
        .map(|(name, s)| {
            format!(
                "{name}: with no driver error, {} over the theoretical limit of {}.",
                SPAN.text(s.run_s - s.traction_and_power_s),
                SPAN.text(s.traction_and_power_s)
            )
        })
        .collect::<Vec<_>>()
        .join(" ");
    let alt = standings
        .iter()
        .map(|(name, s)| {
            format!(
                "{name}: theoretical limit {}, {} with shifts, time lost to {}",
                SPAN.text(s.traction_and_power_s),
                SPAN.text(s.with_shifts_s),
                causes(s)
            )
        })
        .collect::<Vec<_>>()
        .join(". ");
    let caption = Caption {
        name: "lost",
        title: "Where the time goes",
        takeaway,
        alt_text: format!("Time to {} as a ribbon for each day. {alt}.", target_text(report.target)),
    };
    Chart::draw(caption, |layout| drawn(report, &standings, layout))
}

fn drawn(report: &PlanReport<'_>, standings: &[(&str, &Standing)], layout: Layout) -> Option<Drawing> {
    let most = standings.iter().map(|(_, s)| s.run_s).fold(0.0, f64::max);
    if most <= 0.0 || !most.is_finite() {
        return None;
    }
    let bottom = ROW_PX * standings.len() as f64;
    let (left, right) = (layout.pick(8.0, 8.0), layout.width() - layout.pick(24.0, 14.0));
    Some(draw(layout, bottom + 46.0, |canvas| {
        for (i, (name, standing)) in standings.iter().enumerate() {
            let top = ROW_PX * i as f64;
            let frame = Frame { left, right, top: top + 26.0, bottom: top + 26.0 + BAR_PX };
            let panel = Panel::new(frame, (0.0, 1.02 * most), (0.0, 1.0));
            canvas.bold(
                (left, top + 12.0),
                &format!("{name}: {}", SPAN.text(standing.run_s)),
                Anchor::Start,
                Ink::Text,
            );
            ribbon(canvas, &panel, standing);
        }
        let panel = Panel::new(Frame { left, right, top: 0.0, bottom }, (0.0, 1.02 * most), (0.0, 1.0));
        panel.x_axis(canvas, bottom, &format!("{} with no driver error, s", target_text(report.target)));
    }))
}

/// Bound first, then the causes; names below, moved apart, each with a line to its part.
fn ribbon(canvas: &Canvas, panel: &Panel, standing: &Standing) {
    let Frame { top, bottom, .. } = panel.frame;
    let bound = panel.x(standing.traction_and_power_s);
    canvas.rect((panel.frame.left, top), (bound, bottom), Ink::Card, Hatch::Full);
    canvas.frame((panel.frame.left, top), (bound, bottom), Pen::AXIS);
    let text = canvas.layout.pick("theoretical limit", "limit");
    canvas.text(
        (0.5 * (panel.frame.left + bound), 0.5 * (top + bottom)),
        &format!("{text}: {}", SPAN.text(standing.traction_and_power_s)),
        Anchor::Middle,
        Ink::Text,
    );
    let mut from_s = standing.traction_and_power_s;
    let mut parts = Vec::new();
    for (limit, lost_s) in ranked(standing) {
        let (a, b) = (panel.x(from_s), panel.x(from_s + lost_s));
        let (ink, hatch) = look(limit);
        canvas.rect((a, top), (b.max(a + 1.0), bottom), ink, hatch);
        canvas.frame((a, top), (b.max(a + 1.0), bottom), Pen::new(ink, Dash::Solid, 1.0));
        from_s += lost_s;
        parts.push((0.5 * (a + b), format!("{} {}", limit.name(), SPAN.number(lost_s)), ink));
    }
    let wide = parts.iter().map(|(_, text, _)| canvas.layout.text_px(text)).fold(0.0, f64::max);
    let gap = wide + 10.0;
    // On a narrow page the names take turns on two lines; those of the second pass between those of the first.
    let lines = if gap * parts.len() as f64 > panel.frame.right - panel.frame.left { 2 } else { 1 };
    let wanted: Vec<f64> = parts.iter().map(|part| part.0).collect();
    let ends = (panel.frame.left + 0.5 * wide, panel.frame.right - 0.5 * wide);
    let places = labels::spread(&wanted, gap / f64::from(lines), ends.0, ends.1);
    for (i, ((at, text, ink), x)) in parts.iter().zip(places).enumerate() {
        let pen = Pen::new(*ink, Dash::Solid, 1.0);
        let below = if (i as u32).is_multiple_of(lines) { 0.0 } else { 15.0 };
        canvas.line((*at, bottom + 1.0), (x, bottom + 12.0), pen);
        canvas.line((x, bottom + 12.0), (x, bottom + 12.0 + below), pen);
        canvas.text((x, bottom + 21.0 + below), text, Anchor::Middle, *ink);
    }
}
