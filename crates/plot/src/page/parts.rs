//! Pieces that pages have in common.

use maud::{Markup, PreEscaped, html};

use crate::caution::CAUTIONS;
use crate::chart::Chart;

/// One of the few numbers that matter, with what is to be said about it. The unit may be empty.
#[derive(Debug)]
pub(crate) struct Figure {
    pub(crate) label: String,
    pub(crate) value: String,
    pub(crate) unit: &'static str,
    pub(crate) notes: Vec<String>,
}

/// The few numbers that matter, large.
pub(crate) fn figures(figures: &[Figure]) -> Markup {
    html! {
        @if !figures.is_empty() {
            dl.figures {
                @for figure in figures {
                    div {
                        dt { (figure.label) }
                        dd {
                            span.value {
                                (figure.value)
                                @if !figure.unit.is_empty() { span.unit { " " (figure.unit) } }
                            }
                            @for note in &figure.notes { span.note { (note) } }
                        }
                    }
                }
            }
        }
    }
}

/// Notes near the top of a page; `of_this` says about what: "Note in this run".
pub(crate) fn notes(of_this: &str, notes: &[String]) -> Markup {
    html! {
        aside.warn aria-label="Cautions of this run" {
            @if !notes.is_empty() {
                p { strong { (of_this) } }
                ul { @for note in notes { li { (note) } } }
            }
            p { "Closed course only; a prediction does not make it safe or legal: " a href="#cautions" { "read the cautions" } " before you drive." }
        }
    }
}

/// One chart with its sentence above it.
pub(crate) fn chart(chart: &Chart) -> Markup {
    html! {
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

/// Charts below a heading.
pub(crate) fn charts(heading: &str, charts: &[Chart]) -> Markup {
    html! {
        @if !charts.is_empty() {
            section {
                h2 { (heading) }
                @for each in charts { (chart(each)) }
            }
        }
    }
}

/// What holds for every run, after what holds for these (`of_these`: "In this run").
pub(crate) fn cautions(of_these: &str, notes: &[String]) -> Markup {
    html! {
        section #cautions {
            h2 { "Before you drive it" }
            @if !notes.is_empty() {
                h3 { (of_these) }
                ul { @for note in notes { li { (note) } } }
                h3 { "In every run" }
            }
            ul { @for caution in CAUTIONS { li { (caution) } } }
        }
    }
}

/// A table that scrolls by itself where it is wider than the screen.
pub(crate) fn framed(caption: &str, table: Markup) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(caption) { table { caption { h3 { (caption) } } (table) } }
    }
}

/// The same with sentences in it, which are broken; numbers that are not have the class `number`.
pub(crate) fn framed_words(caption: &str, table: Markup) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(caption) { table.wraps { caption { h3 { (caption) } } (table) } }
    }
}

/// Column heads.
pub(crate) fn head(columns: &[&str]) -> Markup {
    html! { thead { tr { @for column in columns { th scope="col" { (column) } } } } }
}
