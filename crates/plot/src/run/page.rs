//! The page as a whole, and the files of a report.

use bitepoint_physics::run::Ending;
use maud::{Markup, html};

use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::page::{Page, parts, report_files};

use super::charts::charts;
use super::report::RunReport;
use super::story;
use super::tables;

const OF_THIS: &str = "In this run";

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &RunReport) -> String {
    whole(report, &charts(report)).render()
}

/// Every file of the report's folder: the page and its charts.
#[must_use]
pub fn files(report: &RunReport) -> Vec<ReportFile> {
    let charts = charts(report);
    report_files(&whole(report, &charts), charts)
}

fn whole<'a>(report: &RunReport<'a>, charts: &[Chart]) -> Page<'a> {
    Page {
        title: report.title,
        header: header(report),
        main: html! {
            section {
                h2 { "The launch" }
                p.small { "Where it comes from: " (report.launch_from) "." }
                ol.facts { @for sentence in report.launch.sentences(report.units) { li { (sentence) } } }
            }
            section {
                h2 { "What happened" }
                ol.facts { @for fact in story::facts(report) { li { (fact) } } }
            }
            (parts::charts("The run in charts", charts))
            (tables::numbers(report))
            // Before the inputs, which run to many pages and are looked up rather than read.
            (parts::cautions(OF_THIS, report.notes))
            (tables::inputs(report))
        },
        footer: html! { p { (story::arithmetic(report.run)) } },
        command: report.command,
    }
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
                (parts::figures(&figures))
                p.small {
                    "Times run from the car's first movement. With rollout they run from "
                    (report.units.distance().text(report.rollout_m))
                    " later"
                    @if !report.bands.is_empty() {
                        "; “90 % (both)” is from the 5th to the 95th percentile of " (report.band_runs)
                        " starts with the car as uncertain as its estimates are and a driver who is as consistent as this one"
                    }
                    "."
                }
            }
            @if !report.advice.is_empty() { p.note { strong { "What would help: " } (report.advice) } }
            (parts::notes("Note in this run", report.notes))
        }
    }
}
