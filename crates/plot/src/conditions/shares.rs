//! From the time as it was to the corrected one, a step for each condition.

use bitepoint_runner::bands::Band;
use bitepoint_runner::conditions::Share;

use super::report::ConditionsReport;
use super::rounding::adding_up;
use super::unit::name;
use super::words;
use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel, range};
use crate::chart::{Caption, Chart};
use crate::format::{number, time_difference};
use crate::palette::Ink;

/// A line of the staircase.
struct Row {
    name: String,
    from_s: f64,
    to_s: f64,
    text: String,
    band: Option<Band>,
    is_end: bool,
}

/// The chart; nothing where nothing is corrected.
pub(super) fn chart(report: &ConditionsReport<'_>) -> Option<Chart> {
    let rows = rows(report);
    if rows.len() < 3 {
        return None;
    }
    let told: Vec<String> = rows.iter().map(|row| format!("{} {}", row.name, row.text)).collect();
    let caption = Caption {
        name: "shares",
        title: "What makes up the correction",
        takeaway: takeaway(report),
        alt_text: format!("Steps from the first time to the corrected one: {}.", told.join("; ")),
    };
    Chart::draw(caption, |layout| Some(staircase(&rows, layout)))
}

fn parts<'a>(report: &ConditionsReport<'a>) -> (f64, f64, Option<Band>, &'a [Share], &'static str) {
    let study = report.study;
    match (&study.both_ways, study.request.measurement) {
        (Some(both), _) => (both.of_times.time_s, both.corrected_s, both.band_s, &both.shares, "mean of both"),
        (None, measured) => {
            let name = if measured.is_some() { "as measured" } else { "as simulated" };
            let c = &study.correction;
            (c.time_s, c.corrected_s, c.band_s, &c.shares, name)
        }
    }
}

fn takeaway(report: &ConditionsReport<'_>) -> String {
    let (from_s, to_s, _, shares, _) = parts(report);
    let largest = words::share_list(shares).into_iter().next().map_or_else(String::new, |(condition, seconds)| {
        format!("; the largest part is {}, {seconds}", name(condition))
    });
    format!("The correction is {}{largest}.", time_difference(to_s - from_s))
}

fn rows(report: &ConditionsReport<'_>) -> Vec<Row> {
    let (from_s, to_s, band, shares, first) = parts(report);
    let end = |name: &str, time_s: f64, band| Row {
        name: name.to_owned(),
        from_s: time_s,
        to_s: time_s,
        text: words::time(time_s),
        band,
        is_end: true,
    };
    let mut sorted: Vec<&Share> = shares.iter().collect();
    sorted.sort_by(|a, b| b.change_s.abs().total_cmp(&a.change_s.abs()));
    let rounded = adding_up(&sorted.iter().map(|s| s.change_s).collect::<Vec<_>>(), 2);
    let mut rows = vec![end(first, from_s, None)];
    let mut at_s = from_s;
    for (share, seconds) in sorted.iter().zip(rounded) {
        let next_s = at_s + share.change_s;
        let text = time_difference(seconds);
        rows.push(Row {
            name: name(share.condition).to_owned(),
            from_s: at_s,
            to_s: next_s,
            text,
            band: None,
            is_end: false,
        });
        at_s = next_s;
    }
    rows.push(end("corrected", to_s, band));
    rows
}

fn staircase(rows: &[Row], layout: Layout) -> Drawing {
    let row_px = layout.pick(30.0, 28.0);
    let (left, right) = (layout.pick(150.0, 116.0), layout.width() - layout.pick(96.0, 72.0));
    let top = 28.0;
    let frame = Frame { left, right, top, bottom: top + row_px * rows.len() as f64 };
    let ends = rows.iter().flat_map(|row| [row.from_s, row.to_s]);
    let bands = rows.iter().filter_map(|row| row.band).flat_map(|b| [b.low_s, b.high_s]);
    let (low, high) = range(ends.chain(bands), &[]);
    let panel = Panel::new(frame, (low - 0.06 * (high - low), high), (0.0, 1.0)).with_x_numbers(layout.pick(9, 5));
    draw(layout, frame.bottom + 44.0, |canvas| {
        canvas.text((2.0, 10.0), "Each condition of the run replaced by the reference's", Anchor::Start, Ink::Text);
        panel.x_grid(canvas);
        for (i, row) in rows.iter().enumerate() {
            let y = top + row_px * (i as f64 + 0.5);
            if let Some(next) = rows.get(i + 1) {
                let x = panel.x(row.to_s);
                let step = Pen::new(Ink::Axis, Dash::Short, 1.0);
                let below = if next.is_end { 0.5 } else { 0.5 - BAR };
                canvas.line((x, y), (x, y + row_px * (1.0 - below)), step);
            }
        }
        for (i, row) in rows.iter().enumerate() {
            let y = top + row_px * (i as f64 + 0.5);
            if row.is_end {
                end_row(canvas, &panel, row, y)
            } else {
                step_row(canvas, &panel, row, y, row_px)
            }
            let x = canvas.layout.width() - 2.0;
            if row.is_end {
                canvas.bold((x, y), &row.text, Anchor::End, Ink::Text);
            } else {
                canvas.text((x, y), &row.text, Anchor::End, Ink::Text);
            }
        }
        canvas.line((left, frame.bottom), (right, frame.bottom), Pen::AXIS);
        panel.x_axis(canvas, frame.bottom, "Time, s");
    })
}

/// Half the height of a bar over that of its row.
const BAR: f64 = 0.32;

fn step_row(canvas: &Canvas, panel: &Panel, row: &Row, y: f64, row_px: f64) {
    let (a, b) = (panel.x(row.from_s.min(row.to_s)), panel.x(row.from_s.max(row.to_s)));
    let adds = row.to_s >= row.from_s;
    let (ink, hatch) = if adds { (Ink::Vermilion, Hatch::Rising) } else { (Ink::Blue, Hatch::Falling) };
    let (from, to) = ((a, y - BAR * row_px), (b.max(a + 1.0), y + BAR * row_px));
    canvas.rect(from, to, ink, hatch);
    canvas.frame(from, to, Pen::new(ink, Dash::Solid, 1.25));
    canvas.text((2.0, y), &row.name, Anchor::Start, ink);
    // Which way a step goes, beside it: colour alone does not tell.
    let (x, anchor, text) =
        if adds { (to.0 + 5.0, Anchor::Start, "slower") } else { (a - 5.0, Anchor::End, "quicker") };
    let width = canvas.layout.text_px(text);
    // A step that rounds to nothing goes neither way.
    let fits = row.text != time_difference(0.0)
        && if adds { x + width < panel.frame.right } else { x - width > panel.frame.left };
    if fits {
        canvas.text((x, y), text, anchor, ink);
    }
}

fn end_row(canvas: &Canvas, panel: &Panel, row: &Row, y: f64) {
    if let Some(band) = row.band {
        let (a, b) = (panel.x(band.low_s), panel.x(band.high_s));
        canvas.rect((a, y - 5.0), (b, y + 5.0), Ink::Green, Hatch::Tint);
        for x in [a, b] {
            canvas.line((x, y - 5.0), (x, y + 5.0), Pen::new(Ink::Green, Dash::Solid, 1.5));
        }
        let text = format!("90 % (car): {} to {}", number(band.low_s, 2), number(band.high_s, 2));
        let width = canvas.layout.text_px(&text);
        if a - width - 6.0 > panel.frame.left {
            canvas.text((a - 6.0, y), &text, Anchor::End, Ink::Green);
        }
    }
    canvas.dot((panel.x(row.to_s), y), 4.5, Ink::Text);
    canvas.bold((2.0, y), &row.name, Anchor::Start, Ink::Text);
}
