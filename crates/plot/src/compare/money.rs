//! Seconds gained per unit of money.

use bitepoint_runner::compare::{Verdict, Worth};

use super::report::CompareReport;
use super::words::{currencies, gain, money, money_unit};
use super::worth::shortened;
use crate::chart::canvas::{Anchor, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel, range};
use crate::chart::{Caption, Chart};
use crate::format::SPAN;
use crate::palette::Ink;

/// Changes with a price in a currency that make the car quicker on the mean, most per unit of money first.
fn ranked<'a>(report: &'a CompareReport, currency: &str) -> Vec<(&'a Worth, f64)> {
    let mut found: Vec<(&Worth, f64)> = report
        .comparison
        .changes
        .iter()
        .filter(|c| c.price.as_ref().is_some_and(|p| p.currency == currency))
        .filter_map(|c| Some((c, c.gain_per_money_s?)))
        .filter(|(_, gain_s)| *gain_s > 0.0)
        .collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found
}

/// One currency at a time: amounts in different ones cannot be ranked. The one with most prices is drawn.
fn currency(report: &CompareReport) -> Option<String> {
    currencies(report).into_iter().rev().max_by_key(|currency| ranked(report, currency).len())
}

pub(super) fn chart(report: &CompareReport) -> Option<Chart> {
    let currency = currency(report)?;
    let ranked = ranked(report, &currency);
    let (first, _) = ranked.first()?;
    let told: Vec<String> = ranked.iter().map(|(c, _)| format!("{} {}", c.label, gain(report, c, false))).collect();
    let sure = if first.verdict == Verdict::Quicker { "" } else { ", if it is one" };
    let caption = Caption {
        name: "money",
        title: "Seconds for the money",
        takeaway: format!("Most for the money: {}, {}{sure}.", first.label, gain(report, first, false)),
        alt_text: format!("Mean gain to {} by price. {}.", report.gate(), told.join("; ")),
    };
    Chart::draw(caption, |layout| draw_money(report, &ranked, &currency, layout))
}

fn draw_money(report: &CompareReport, ranked: &[(&Worth, f64)], currency: &str, layout: Layout) -> Option<Drawing> {
    let unit = money_unit(report, currency);
    let row_px = layout.pick(28.0, 46.0);
    let (_, most) = range(ranked.iter().map(|(_, gain_s)| gain_s * unit), &[0.0]);
    let frame = Frame {
        left: layout.pick(220.0, 16.0),
        right: layout.width() - layout.pick(150.0, 12.0),
        top: 6.0,
        bottom: 6.0 + row_px * ranked.len() as f64 + 2.0,
    };
    Some(draw(layout, frame.bottom + 46.0, |canvas| {
        let panel = Panel::new(frame, (0.0, most), (0.0, 1.0));
        panel.x_grid(canvas);
        for (i, (worth, gain_s)) in ranked.iter().enumerate() {
            let from = frame.top + row_px * i as f64;
            let y = from + layout.pick(0.5 * row_px, row_px - 12.0);
            // What is too small to distinguish from zero is drawn as an outline.
            let (a, b) = ((frame.left, y - 8.0), (panel.x(gain_s * unit).max(frame.left + 1.0), y + 8.0));
            if worth.verdict == Verdict::Quicker {
                canvas.rect(a, b, Ink::Green, Hatch::Rising);
            }
            let dash = if worth.verdict == Verdict::Quicker { Dash::Solid } else { Dash::Short };
            canvas.frame(a, b, Pen::new(Ink::Green, dash, 1.0));
            let price = money(worth.price.as_ref());
            let value = format!("{} for {price}", SPAN.text(worth.difference.map_or(0.0, |d| -d.mean_s)));
            match layout {
                Layout::Wide => {
                    let label = shortened(&worth.label, layout, 205.0);
                    canvas.text((frame.left - 10.0, y), &label, Anchor::End, Ink::Text);
                    canvas.text((layout.width() - 2.0, y), &value, Anchor::End, Ink::Text);
                }
                Layout::Narrow => {
                    let label = shortened(&worth.label, layout, layout.width() - layout.text_px(&value) - 30.0);
                    canvas.text((frame.left + 4.0, from + 13.0), &label, Anchor::Start, Ink::Text);
                    canvas.text((layout.width() - 2.0, from + 13.0), &value, Anchor::End, Ink::Text);
                }
            }
        }
        canvas.line((frame.left, frame.top), (frame.left, frame.bottom), Pen::AXIS);
        canvas.line((frame.left, frame.bottom), (frame.right, frame.bottom), Pen::AXIS);
        let per = format!("{unit} {currency}");
        let outlined = ranked.iter().any(|(c, _)| c.verdict != Verdict::Quicker);
        let note = match (outlined, layout) {
            (true, Layout::Wide) => "; outlined: too small to distinguish from zero",
            (true, Layout::Narrow) => "; outlined: unsure",
            (false, _) => "",
        };
        panel.x_axis(canvas, frame.bottom, &format!("s gained per {per}{note}"));
    }))
}
