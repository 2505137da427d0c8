//! Tables of a fit.

use maud::{Markup, html};

use super::report::FitReport;
use crate::format::{ENGINE_SPEED, SHARE, SPAN, number};
use crate::page::parts::{framed, head};

/// Values before and after.
pub(super) fn values(report: &FitReport) -> Markup {
    let told = || report.fit.inputs.iter().filter(|i| i.told.is_news());
    html! {
        (framed("Values that the logs tell", html! {
            (head(&["Value", "Before", "After", "Moved", "Spread left", "Verdict"]))
            tbody { @for input in told() { tr {
                th scope="row" { (input.key) }
                td { (report.value(input, false)) }
                td { (report.value(input, true)) }
                td { (number(input.moved, 2)) }
                td { (SHARE.text(input.spread_left)) }
                td { (input.told.text()) }
            } } }
        }))
        p { "After ± stands one standard error; a value has moved by so many of its spreads before. The rest is " (report.not_told_text(usize::MAX)) "." }
    }
}

/// What says how the clutch came in.
fn clutch(report: &FitReport) -> &'static str {
    let kept = report.fit.starts.iter().flat_map(|start| &start.driver).any(|value| value.name == "kept revs");
    if kept { "Kept revs" } else { "Clutch release" }
}

fn is_revs(name: &str) -> bool {
    matches!(name, "kept revs" | "held revs" | "first shift")
}

/// How each start was driven.
pub(super) fn drivers(report: &FitReport) -> Markup {
    html! {
        @if !report.fit.starts.is_empty() {
            (framed("How each start was driven, as fitted", html! {
                (head(&["Start", "Moved after the log's own moment", clutch(report), "Throttle squeeze", "Held revs", "First shift"]))
                tbody { @for (i, start) in report.fit.starts.iter().enumerate() { tr {
                    th scope="row" { (i + 1) ", " (start.log) }
                    @for value in &start.driver { td {
                        @if !is_revs(value.name) { (SPAN.text(value.value_si)) " ± " (SPAN.number(value.sd_si)) }
                        @else { (ENGINE_SPEED.text(value.value_si)) " ± " (ENGINE_SPEED.number(value.sd_si)) }
                    } }
                } } }
            }))
        }
    }
}

/// Each start foretold by the others.
pub(super) fn left_out(report: &FitReport) -> Markup {
    let speed = report.units.speed();
    html! {
        @if !report.fit.left_out.is_empty() {
            (framed("Each start foretold from the others", html! {
                (head(&["Start", "To", "Measured", "Foretold", "With the file as it was", "Speed off by (rms)"]))
                tbody { @for left in &report.fit.left_out { tr {
                    th scope="row" { (left.start + 1) }
                    td { (speed.text(left.to_mps)) }
                    td { (SPAN.text(left.measured_s)) }
                    td { (SPAN.text(left.foretold_s)) }
                    td { (SPAN.text_or_dash(left.before_s)) }
                    td { (speed.text(left.rms_mps)) }
                } } }
            }))
            p { "The driver of a start that is foretold is the mean of the others'; held revs and shifts are the log's own where it has engine speed." }
        }
    }
}

/// Pairs that are told together, and all correlations.
pub(super) fn correlations(report: &FitReport) -> Markup {
    let fit = report.fit;
    html! {
        @for pair in &fit.together {
            p.note { strong { (pair.one) } " only together with " strong { (pair.other) } " (correlation " (number(pair.correlation, 2)) ")." }
        }
        @if fit.correlated.len() > 1 {
            (framed("Correlation of their errors", html! {
                thead { tr { th scope="col" { "" } @for i in 1..=fit.correlated.len() { th scope="col" { (i) } } } }
                tbody { @for (i, row) in fit.correlation.iter().enumerate() { tr {
                    th scope="row" { (i + 1) " " (fit.correlated[i]) }
                    @for (j, c) in row.iter().enumerate() { td { @if j <= i { (number(*c, 2)) } } }
                } } }
            }))
        }
    }
}
