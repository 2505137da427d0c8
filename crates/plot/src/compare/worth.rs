//! Differences with their bands: a dot and a whisker for each change.

use bitepoint_runner::compare::{Difference, Verdict, Worth};

use super::report::CompareReport;
use super::words::{difference, span};
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::SPAN;
use crate::palette::Ink;

const WHISKER: Pen = Pen::new(Ink::Blue, Dash::Solid, 2.0);
const OLD: Pen = Pen::new(Ink::Vermilion, Dash::Solid, 1.5);

/// One row of the chart.
struct Row<'a> {
    worth: &'a Worth,
    /// Sum of the single changes, for the row of all together.
    sum_s: Option<f64>,
}

pub(super) fn chart(report: &CompareReport) -> Option<Chart> {
    let caption = Caption {
        name: "worth",
        title: "What each change is worth",
        takeaway: takeaway(report),
        alt_text: alt_text(report),
    };
    Chart::draw(caption, |layout| draw_worth(report, layout))
}

fn rows<'a>(report: &'a CompareReport) -> Vec<Row<'a>> {
    let singles = report.ranked_changes().into_iter().map(|worth| Row { worth, sum_s: None });
    let together = report.comparison.together.iter().map(|t| Row { worth: &t.worth, sum_s: t.sum_of_singles_s });
    singles.chain(together).collect()
}

fn takeaway(report: &CompareReport) -> String {
    let changes = &report.comparison.changes;
    let count = |verdict: Verdict| changes.iter().filter(|c| c.verdict == verdict).count();
    let sd = SPAN.text(report.comparison.driver.sd_s);
    format!(
        "Of {} quicker: {}; slower: {}; too small to distinguish from zero: {}. Your own starts scatter by {sd}.",
        crate::format::count(changes.len(), "change", "changes"),
        count(Verdict::Quicker),
        count(Verdict::Slower),
        count(Verdict::NotDistinguishable) + count(Verdict::Nothing)
    )
}

fn alt_text(report: &CompareReport) -> String {
    let told: Vec<String> = rows(report)
        .iter()
        .filter_map(|row| {
            let d = row.worth.difference?;
            Some(format!("{} {}, {}", row.worth.label, difference(d.mean_s), span(d.likely)))
        })
        .collect();
    format!(
        "Time to {} of the changed car less that of the car as it is, mean and 5th to 95th percentile. {}.",
        report.gate(),
        told.join("; ")
    )
}

fn draw_worth(report: &CompareReport, layout: Layout) -> Option<Drawing> {
    let rows = rows(report);
    let differences: Vec<Difference> =
        rows.iter().flat_map(|row| [row.worth.difference, row.worth.with_old_plan]).flatten().collect();
    if differences.is_empty() {
        return None;
    }
    let sd_s = report.comparison.driver.sd_s;
    let own = rows.iter().filter_map(|row| row.worth.difference).flat_map(|d| [d.likely.low_s, d.likely.high_s]);
    let means = differences.iter().map(|d| d.mean_s);
    let (low, high) =
        own.chain(means).chain([-sd_s, sd_s, 0.0]).fold((0.0_f64, 0.0_f64), |(l, h), s| (l.min(s), h.max(s)));
    let air = 0.04 * (high - low).max(0.01);
    let row_px = layout.pick(34.0, 50.0);
    let top = 58.0;
    let frame = Frame {
        left: layout.pick(220.0, 10.0),
        right: layout.width() - layout.pick(84.0, 12.0),
        top,
        bottom: top + row_px * rows.len() as f64 + 4.0,
    };
    Some(draw(layout, frame.bottom + layout.pick(46.0, 46.0), |canvas| {
        let panel = Panel::new(frame, (low - air, high + air), (0.0, 1.0));
        panel.x_grid(canvas);
        if layout == Layout::Wide {
            panel.stretch(canvas, (-sd_s, sd_s), Ink::Slate, Hatch::Points);
        }
        key(canvas, &panel, sd_s);
        canvas.line((panel.x(0.0), top - 8.0), (panel.x(0.0), frame.bottom), Pen::new(Ink::Text, Dash::Solid, 1.5));
        for (i, row) in rows.iter().enumerate() {
            let from = top + row_px * i as f64;
            if row.sum_s.is_some() || (i > 0 && rows.len() > report.comparison.changes.len() && i + 1 == rows.len()) {
                canvas.line((2.0, from), (layout.width() - 2.0, from), Pen::AXIS);
            }
            if layout == Layout::Narrow {
                // Between the lines of text, which it would make hard to read.
                let (top, foot) = (from + 22.0, from + row_px);
                canvas.rect((panel.x(-sd_s), top), (panel.x(sd_s), foot), Ink::Slate, Hatch::Points);
            }
            one(canvas, &panel, row, (from, row_px));
        }
        canvas.line((frame.left, frame.bottom), (frame.right, frame.bottom), Pen::AXIS);
        let title = layout.pick(
            "Time against the car as it is, s (left of 0 is quicker)",
            "Against the car as it is, s (left: quicker)",
        );
        panel.x_axis(canvas, frame.bottom, title);
    }))
}

/// What the marks mean, above the rows.
fn key(canvas: &Canvas, panel: &Panel, sd_s: f64) {
    let (first, second) = (10.0, 28.0);
    let mut x = 6.0;
    canvas.line((x, first), (x + 34.0, first), WHISKER);
    canvas.dot((x + 17.0, first), 4.5, Ink::Blue);
    let own = canvas
        .layout
        .pick("launched as suits it: mean, 90 % (car) of the draws", "launched as suits it: mean, 90 % (car)");
    canvas.text((x + 40.0, first), own, Anchor::Start, Ink::Blue);
    if canvas.layout == Layout::Wide {
        x = 6.0 + 40.0 + canvas.layout.text_px(own) + 20.0;
        diamond(canvas, (x + 6.0, first));
        canvas.text((x + 18.0, first), "launched as suited the car as it is", Anchor::Start, Ink::Vermilion);
    } else {
        diamond(canvas, (x + 17.0, second));
        canvas.text((x + 40.0, second), "launched as suited the car as it is", Anchor::Start, Ink::Vermilion);
    }
    let text = format!("your own scatter, ±{}", SPAN.text(sd_s));
    let at = panel.x(0.0);
    let half = 0.5 * canvas.layout.text_px(&text) + 2.0;
    let y = canvas.layout.pick(38.0, 44.0);
    canvas.text((at.clamp(half, canvas.layout.width() - half), y), &text, Anchor::Middle, Ink::Slate);
}

fn one(canvas: &Canvas, panel: &Panel, row: &Row<'_>, (from, row_px): (f64, f64)) {
    let layout = canvas.layout;
    let y = from + layout.pick(0.5 * row_px, row_px - 16.0);
    let most = layout.pick(205.0, layout.width() - 90.0);
    let label = shortened(&row.worth.label, layout, most);
    match layout {
        Layout::Wide => canvas.text((panel.frame.left - 10.0, y), &label, Anchor::End, Ink::Text),
        Layout::Narrow => canvas.text((4.0, from + 13.0), &label, Anchor::Start, Ink::Text),
    }
    let value_y = layout.pick(y, from + 13.0);
    let Some(own) = row.worth.difference else {
        canvas.text((layout.width() - 2.0, value_y), "not there", Anchor::End, Ink::Muted);
        return;
    };
    canvas.text((layout.width() - 2.0, value_y), &difference(own.mean_s), Anchor::End, Ink::Text);
    let (a, b) = (panel.x(own.likely.low_s), panel.x(own.likely.high_s));
    canvas.line((a, y), (b, y), WHISKER);
    for x in [a, b] {
        canvas.line((x, y - 5.0), (x, y + 5.0), WHISKER);
    }
    canvas.dot((panel.x(own.mean_s), y), 4.5, Ink::Blue);
    if let Some(old) = row.worth.with_old_plan {
        diamond(canvas, (panel.x(old.mean_s), y + 9.0));
    }
    if let Some(sum_s) = row.sum_s {
        let x = panel.x(sum_s);
        let pen = Pen::new(Ink::Text, Dash::Solid, 1.5);
        canvas.frame((x - 4.5, y - 12.5), (x + 4.5, y - 3.5), pen);
        // Away from the line of 0, if there is room.
        let wide = canvas.layout.text_px("sum of the single ones") + 12.0;
        let to_right = if x < panel.x(0.0) { x - wide < panel.frame.left } else { x + wide < panel.frame.right };
        let (at, anchor) = if to_right { (x + 9.0, Anchor::Start) } else { (x - 9.0, Anchor::End) };
        canvas.text((at, y - 9.0), "sum of the single ones", anchor, Ink::Text);
    }
}

fn diamond(canvas: &Canvas, (x, y): (f64, f64)) {
    canvas.path(&[(x, y - 5.0), (x + 5.0, y), (x, y + 5.0), (x - 5.0, y), (x, y - 5.0), (x + 5.0, y)], OLD);
}

/// A label that fits into so many px.
pub(super) fn shortened(label: &str, layout: Layout, most_px: f64) -> String {
    if layout.text_px(label) <= most_px {
        return label.to_owned();
    }
    let fit = (most_px / layout.text_px("n")).floor() as usize;
    label.chars().take(fit.saturating_sub(1)).collect::<String>() + "…"
}
