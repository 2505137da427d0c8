//! The parts of the page that are not tables.

use maud::{Markup, PreEscaped, html};

use crate::caution::CAUTIONS;
use crate::chart::Chart;
use crate::report::RunReport;
use crate::story;

/// What this run in particular warns of.
pub(super) fn notes(report: &RunReport) -> Markup {
    html! {
        aside.warn aria-label="Cautions of this run" {
            @if !report.notes.is_empty() {
                p { strong { "Mind in this run" } }
                ul { @for note in report.notes { li { (note) } } }
            }
            p { "Closed course only, and a prediction is not a permission: " a href="#cautions" { "read the cautions" } " before you drive." }
        }
    }
}

/// The launch in sentences.
pub(super) fn story(report: &RunReport) -> Markup {
    html! {
        section {
            h2 { "What happened" }
            ol.facts { @for fact in story::facts(report) { li { (fact) } } }
        }
    }
}

/// Every chart with its sentence above it.
pub(super) fn charts(charts: &[Chart]) -> Markup {
    html! {
        @if !charts.is_empty() {
            section {
                h2 { "The run in charts" }
                @for chart in charts {
                    figure {
                        figcaption {
                            h3 { (chart.title) }
                            p.takeaway { (chart.takeaway) }
                        }
                        (PreEscaped(&chart.inline_wide))
                        (PreEscaped(&chart.inline_narrow))
                    }
                }
            }
        }
    }
}

/// What holds for every run.
pub(super) fn cautions(report: &RunReport) -> Markup {
    html! {
        section #cautions {
            h2 { "Before you drive it" }
            @if !report.notes.is_empty() {
                h3 { "In this run" }
                ul { @for note in report.notes { li { (note) } } }
                h3 { "In every run" }
            }
            ul { @for caution in CAUTIONS { li { (caution) } } }
        }
    }
}
