//! The page, and the files of the report's folder.

use maud::{Markup, html};

use super::paragraph::paragraphs;
use super::report::ConditionsReport;
use super::{responses, shares, tables, words};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::{SPAN, band, time_difference};
use crate::page::parts::Figure;
use crate::page::{Page, parts, report_files};

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &ConditionsReport<'_>) -> String {
    whole(report, &charts(report)).render()
}

/// Every file of the report's folder: the page and its charts.
#[must_use]
pub fn files(report: &ConditionsReport<'_>) -> Vec<ReportFile> {
    let charts = charts(report);
    report_files(&whole(report, &charts), charts)
}

fn charts(report: &ConditionsReport<'_>) -> Vec<Chart> {
    shares::chart(report).into_iter().chain(responses::chart(report)).collect()
}

fn whole<'a>(report: &ConditionsReport<'a>, charts: &[Chart]) -> Page<'a> {
    Page {
        title: report.title,
        header: header(report),
        main: html! {
            section {
                h2 { "To print beside it" }
                blockquote.printable { @for paragraph in paragraphs(report) { p { (paragraph) } } }
            }
            (there_and_back(report))
            (parts::charts("The conditions in charts", charts))
            (tables::tables(report))
            (parts::cautions("In this correction", report.notes))
        },
        footer: html! { p { (footer(report)) } },
        command: report.command,
    }
}

fn header(report: &ConditionsReport<'_>) -> Markup {
    let study = report.study;
    html! {
        header {
            p.eyebrow {
                strong { (study.resolved.vehicle.name) } " " (words::to_gate(study.request.target)) ", "
                strong { (study.resolved.scenario.name) }
            }
            h1 { (words::headline(report)) }
            (parts::figures(&figures(report)))
            (parts::notes("Mind in this correction", report.notes))
        }
    }
}

fn figures(report: &ConditionsReport<'_>) -> Vec<Figure> {
    let study = report.study;
    let seconds = |label: &str, value: f64, notes: Vec<String>| Figure {
        label: label.to_owned(),
        value: SPAN.number(value),
        unit: "s",
        notes,
    };
    let clock = |conditions| vec![words::clock(conditions, report.units)];
    let mut figures = Vec::new();
    let mut corrected = (study.correction.corrected_s, study.correction.band_s);
    if let Some(measured) = study.request.measurement {
        figures.push(seconds("Measured", measured.time_s, clock(&study.day)));
        if let (Some(back_s), Some(both)) = (measured.back_s, &study.both_ways) {
            figures.push(seconds("Measured back", back_s, clock(&study.day)));
            corrected = (both.corrected_s, both.band_s);
        }
    }
    let likely = words::model_band(study);
    let likely = if likely.is_empty() { Vec::new() } else { vec![format!("90 % (car) {likely}")] };
    if figures.len() < 2 {
        figures.push(seconds("By the model", study.model.day_s, likely));
    }
    let mut notes = clock(&study.request.reference.conditions);
    notes.extend(corrected.1.map(|b| format!("90 % (car) {}", band(b.low_s, b.high_s))));
    figures.push(seconds("Corrected", corrected.0, notes));
    let before = study.both_ways.as_ref().map_or(study.correction.time_s, |both| both.of_times.time_s);
    figures.push(Figure {
        label: "Correction".to_owned(),
        value: time_difference(corrected.0 - before).trim_end_matches(['s', '\u{a0}']).to_owned(),
        unit: "s",
        notes: vec!["all conditions together".to_owned()],
    });
    figures
}

fn there_and_back(report: &ConditionsReport<'_>) -> Markup {
    let lines = words::both_ways(report.study);
    html! {
        @if !lines.is_empty() {
            section {
                h2 { "There and back" }
                ol.facts { @for line in lines { li { (line) } } }
            }
        }
    }
}

fn footer(report: &ConditionsReport<'_>) -> String {
    let study = report.study;
    let draws = study.request.draws;
    if draws == 0 {
        return "No spread was computed.".to_owned();
    }
    let failed = match study.failed_draws {
        0 => String::new(),
        n => format!(" {n} of them did not reach the gate and are in no band."),
    };
    format!(
        "Bands run from the 5th to the 95th percentile of {draws} draws of every uncertain input; within a draw all runs are of the same car.{failed}"
    )
}
