//! The page as a whole, and the files of a report.

use bitepoint_physics::run::Ending;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::chart::{Chart, charts, text_rules};
use crate::folder::ReportFile;
use crate::palette;
use crate::report::RunReport;
use crate::story;

use super::{sections, tables};

const STYLE: &str = include_str!("style.css");

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &RunReport) -> String {
    render(report, &charts(report))
}

/// Every file of the report's folder: the page and its charts.
#[must_use]
pub fn files(report: &RunReport) -> Vec<ReportFile> {
    let charts = charts(report);
    let mut files = vec![ReportFile { name: "index.html".to_owned(), contents: render(report, &charts) }];
    files.extend(charts.into_iter().map(|chart| ReportFile { name: chart.file_name.to_owned(), contents: chart.svg }));
    files
}

fn render(report: &RunReport, charts: &[Chart]) -> String {
    let style = format!("{}{}{}\n{STYLE}", palette::page_variables(), palette::inline_rules(), text_rules());
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (report.title) }
                style { (PreEscaped(style)) }
            }
            body {
                (header(report))
                main {
                    (sections::story(report))
                    (sections::charts(charts))
                    (tables::numbers(report))
                    // Before the inputs, which run to many pages and are looked up rather than read.
                    (sections::cautions(report))
                    (tables::inputs(report))
                }
                footer {
                    p { (story::arithmetic(report.run)) }
                    @if !report.command.is_empty() { p { "Made by " code { (report.command) } } }
                }
            }
        }
    }
    .into_string()
}

fn header(report: &RunReport) -> Markup {
    let figures = story::figures(report);
    let finished = report.run.ending == Ending::Finished;
    html! {
        header {
            p.eyebrow { strong { (report.vehicle_name) } " on " strong { (report.scenario_name) } }
            h1 class=@if !finished { "unfinished" } { (story::headline(report)) }
            @for note in [report.vehicle_note, report.scenario_note] {
                @if !note.is_empty() { p.note { (note) } }
            }
            @if !figures.is_empty() {
                dl.figures {
                    @for figure in figures {
                        div {
                            dt { (figure.label) }
                            dd {
                                span.value { (figure.value) span.unit { " s" } }
                                @for note in figure.notes { span.note { (note) } }
                            }
                        }
                    }
                }
                p.small {
                    "Times run from the car's first movement. With rollout they run from "
                    (report.units.distance().text(report.rollout_m))
                    " later"
                    @if !report.bands.is_empty() {
                        "; “likely” is from the 5th to the 95th percentile of " (report.band_runs)
                        " runs over the spread of the inputs"
                    }
                    "."
                }
            }
            (sections::notes(report))
        }
    }
}
