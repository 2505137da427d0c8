//! Which uncertain inputs a time or a difference hangs on.

use bitepoint_runner::compare::Influence;

use super::report::CompareReport;
use super::words::{main_shares, measure_first};
use super::worth::shortened;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::{SHARE, SPAN};
use crate::palette::Ink;

/// Inputs shown of each output.
const MOST: usize = 5;
/// Differences shown beside the base's time.
const MOST_CHANGES: usize = 3;

/// What is shown: a name and its influence; the base's time first, then the differences that vary most.
fn shown<'a>(report: &'a CompareReport) -> Vec<(String, &'a Influence)> {
    let stands_out = |influence: &&Influence| !main_shares(influence, 1).is_empty();
    let base = report.comparison.base_influence.as_ref().filter(stands_out);
    let mut changes: Vec<(String, &Influence)> = report
        .comparison
        .changes
        .iter()
        .filter_map(|c| Some((format!("Difference made by {}", c.label), c.influence.as_ref().filter(stands_out)?)))
        .collect();
    changes.sort_by(|a, b| b.1.sd_s.total_cmp(&a.1.sd_s));
    changes.truncate(MOST_CHANGES);
    base.map(|influence| ("Time of the car as it is".to_owned(), influence)).into_iter().chain(changes).collect()
}

pub(super) fn chart(report: &CompareReport) -> Option<Chart> {
    let shown = shown(report);
    let (first, influence) = shown.first()?;
    let told: Vec<String> = shown
        .iter()
        .filter_map(|(name, influence)| Some(format!("{name}: {}", measure_first(Some(influence))?)))
        .collect();
    let caption = Caption {
        name: "influence",
        title: "What to measure first",
        takeaway: match main_shares(influence, 1).first() {
            Some(share) => {
                format!("{first}: {} of what is uncertain comes from {}.", SHARE.text(share.total), share.key)
            }
            None => return None,
        },
        alt_text: format!("Total shares of the variance (Sobol indices). {}.", told.join(". ")),
    };
    Chart::draw(caption, |layout| draw_influence(&shown, layout))
}

fn draw_influence(shown: &[(String, &Influence)], layout: Layout) -> Option<Drawing> {
    let (bar_px, head_px) = (layout.pick(24.0, 40.0), 38.0);
    let rows = |influence: &Influence| main_shares(influence, MOST).len() + 1;
    let height: f64 = shown.iter().map(|(_, i)| head_px + bar_px * rows(i) as f64).sum();
    let (left, right) = (layout.pick(240.0, 16.0), layout.width() - layout.pick(60.0, 44.0));
    Some(draw(layout, 22.0 + height + 44.0, |canvas| {
        key(canvas);
        let mut top = 22.0;
        for (name, influence) in shown {
            let frame =
                Frame { left, right, top: top + head_px, bottom: top + head_px + bar_px * rows(influence) as f64 };
            let panel = Panel::new(frame, (0.0, 1.0), (0.0, 1.0));
            let head = format!("{name}, ±{} (1 sd)", SPAN.text(influence.sd_s));
            canvas.bold((2.0, top + 22.0), &shortened(&head, layout, layout.width() - 8.0), Anchor::Start, Ink::Text);
            panel.x_grid(canvas);
            bars(canvas, &panel, influence, bar_px);
            top = frame.bottom;
        }
        let panel = Panel::new(Frame { left, right, top: 0.0, bottom: top }, (0.0, 1.0), (0.0, 1.0));
        canvas.line((left, top), (right, top), Pen::AXIS);
        panel.x_axis(canvas, top, layout.pick("Share of the variance (total Sobol index)", "Share of the variance"));
    }))
}

fn key(canvas: &Canvas) {
    let pen = Pen::new(Ink::Purple, Dash::Solid, 1.0);
    canvas.rect((4.0, 4.0), (20.0, 16.0), Ink::Purple, Hatch::Full);
    canvas.text((26.0, 10.0), "alone", Anchor::Start, Ink::Purple);
    canvas.rect((74.0, 4.0), (90.0, 16.0), Ink::Purple, Hatch::Falling);
    canvas.frame((74.0, 4.0), (90.0, 16.0), pen);
    canvas.text((96.0, 10.0), "with others", Anchor::Start, Ink::Purple);
    canvas.line((182.0, 10.0), (206.0, 10.0), Pen::new(Ink::Text, Dash::Solid, 1.5));
    canvas.text((212.0, 10.0), "standard error", Anchor::Start, Ink::Text);
}

fn bars(canvas: &Canvas, panel: &Panel, influence: &Influence, bar_px: f64) {
    let layout = canvas.layout;
    let zero = panel.x(0.0);
    let row = |i: usize| {
        let from = panel.frame.top + bar_px * i as f64;
        (from, from + layout.pick(0.5 * bar_px, bar_px - 11.0))
    };
    let name = |text: &str, (from, y): (f64, f64)| match layout {
        Layout::Wide => canvas.text((zero - 10.0, y), &shortened(text, layout, zero - 14.0), Anchor::End, Ink::Text),
        Layout::Narrow => canvas.text((zero + 4.0, from + 12.0), text, Anchor::Start, Ink::Text),
    };
    let shares = main_shares(influence, MOST);
    for (i, share) in shares.iter().enumerate() {
        let (from, y) = row(i);
        name(&share.key, (from, y));
        let (first, total) = (share.first.clamp(0.0, 1.0), share.total.clamp(0.0, 1.0));
        let (a, b) = ((zero, y - 7.0), (panel.x(total), y + 7.0));
        canvas.rect(a, b, Ink::Purple, Hatch::Falling);
        canvas.frame(a, b, Pen::new(Ink::Purple, Dash::Solid, 1.0));
        canvas.rect(a, (panel.x(first.min(total)), y + 7.0), Ink::Purple, Hatch::Full);
        let error = (panel.x(total - share.total_error), panel.x(total + share.total_error));
        canvas.line((error.0, y), (error.1, y), Pen::new(Ink::Text, Dash::Solid, 1.5));
        canvas.text((canvas.layout.width() - 2.0, y), &SHARE.text(share.total), Anchor::End, Ink::Text);
    }
    let (from, y) = row(shares.len());
    name("all the rest", (from, y));
    let rest = 1.0 - influence.foretold.min(1.0);
    let (a, b) = ((zero, y - 7.0), (panel.x(rest), y + 7.0));
    canvas.rect(a, b, Ink::Slate, Hatch::Points);
    canvas.frame(a, b, Pen::new(Ink::Slate, Dash::Solid, 1.0));
    canvas.text((canvas.layout.width() - 2.0, y), &SHARE.text(rest), Anchor::End, Ink::Text);
    canvas.line((zero, panel.frame.top), (zero, panel.frame.bottom), Pen::AXIS);
}
