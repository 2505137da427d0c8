//! The page as a whole, and the files of the report.

use maud::{Markup, html};

use super::report::FitReport;
use super::{curves, tables};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::page::{Page, parts, report_files};

/// The charts of a fit.
#[must_use]
pub fn charts(report: &FitReport) -> Vec<Chart> {
    curves::charts(report)
}

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &FitReport) -> String {
    whole(report, &charts(report)).render()
}

/// Every file of the report's folder: the page and its charts.
#[must_use]
pub fn files(report: &FitReport) -> Vec<ReportFile> {
    let charts = charts(report);
    report_files(&whole(report, &charts), charts)
}

fn whole<'a>(report: &FitReport<'a>, charts: &[Chart]) -> Page<'a> {
    Page {
        title: report.vehicle_name,
        header: header(report),
        main: html! {
            (parts::charts("Measured against fitted", charts))
            section { h2 { "Values before and after" } (tables::values(report)) }
            @if let Some(text) = report.road_load_text() {
                section { h2 { "Road load" } p { (text) "." } }
            }
            section { h2 { "What goes together" } (tables::correlations(report)) }
            section { h2 { "How it was driven, and how well it foretells" } (tables::drivers(report)) (tables::left_out(report)) }
            (parts::cautions("In these logs", report.notes))
        },
        footer: reckoned(report),
        command: report.command,
    }
}

fn header(report: &FitReport) -> Markup {
    html! {
        header {
            p.eyebrow { strong { (report.vehicle_name) } ", fitted to its logs" }
            h1 { (report.headline()) }
            (parts::notes("Mind in this fit", &report.fit.notes))
        }
    }
}

/// How it was reckoned.
fn reckoned(report: &FitReport) -> Markup {
    let fit = report.fit;
    html! {
        p {
            "Every input with a spread is a parameter, and its spread what was known before (one more residual). Nonlinear least squares "
            "(Levenberg-Marquardt) of the simulated speed against every measured one; residuals beyond 2.5 standard deviations weigh less "
            "(Huber). Beside its noise each speed of a start is taken to be off by 0.25 m/s for what the model leaves out. Standard errors come from the curvature at the least; where speeds stray from the model by more than their noise they are larger by "
            "that factor (starts " (crate::format::number(fit.start_misfit, 2)) ", coast-downs " (crate::format::number(fit.coast_misfit, 2)) "). "
            "A value is told if its spread falls under 90 % of what it was, well under 60 %; two are told together alone if their errors correlate by more than 0.95."
        }
    }
}
