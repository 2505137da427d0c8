//! The page as a whole, and the files of the report.

use maud::{Markup, html};

use super::charts::charts;
use super::report::CompareReport;
use super::{tables, words};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::{SHARE, SPAN, band};
use crate::page::parts::Figure;
use crate::page::{Page, parts, report_files};

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &CompareReport) -> String {
    whole(report, &charts(report)).render()
}

/// Every file of the report's folder: the page and its charts.
#[must_use]
pub fn files(report: &CompareReport) -> Vec<ReportFile> {
    let charts = charts(report);
    report_files(&whole(report, &charts), charts)
}

fn whole<'a>(report: &CompareReport<'a>, charts: &[Chart]) -> Page<'a> {
    Page {
        title: report.vehicle_name,
        header: header(report),
        main: html! {
            (parts::charts("What it is worth", charts))
            section { h2 { "In numbers" } (tables::worths(report)) @if let Some(together) = words::together(report) { p { (together) } } }
            section { h2 { "Side effects" } (tables::besides(report)) }
            section { h2 { "How each car is launched" } (tables::plans(report)) }
            section { h2 { "What went in" } (tables::fitted(report)) (tables::influences(report)) }
            (parts::cautions("With these changes", report.notes))
        },
        footer: method(report),
        command: report.command,
    }
}

fn header(report: &CompareReport) -> Markup {
    html! {
        header {
            p.eyebrow { strong { (report.vehicle_name) } " on " strong { (report.scenario_name) } ", to " (report.gate()) }
            h1 { (words::headline(report)) }
            (parts::figures(&figures(report)))
            p.small {
                "As estimated: every value as it is known best. Mean: over " (report.comparison.draws) " draws of what is not surely known, in which changed car "
                "and car as it is share their errors; the band is from the 5th to the 95th percentile."
            }
            (parts::notes("", &[]))
        }
    }
}

fn figures(report: &CompareReport) -> Vec<Figure> {
    let comparison = report.comparison;
    let base = &comparison.base;
    let driver = &comparison.driver;
    let mean = base.mean_s.map(|s| format!("{} on average over what is not known", SPAN.text(s)));
    let likely = base.likely.map(|b| format!("90 % (car): {}", band(b.low_s, b.high_s)));
    let mut figures = vec![Figure {
        label: format!("To {}, as it is, as estimated", report.gate()),
        value: SPAN.number(base.time_s),
        unit: "s",
        notes: mean.into_iter().chain(likely).collect(),
    }];
    let best = report.ranked_changes().into_iter().next().and_then(|worth| Some((worth, worth.difference?)));
    if let Some((worth, difference)) = best {
        figures.push(Figure {
            label: worth.label.clone(),
            value: SPAN.number(difference.mean_s),
            unit: "s",
            notes: [
                difference.as_expected_s.map(|s| format!("mean; {} as estimated", words::difference(s))),
                Some(format!("90 % (car): {}", words::span(difference.likely))),
                Some(format!("{} chance that it is quicker", SHARE.text(difference.quicker_share))),
            ]
            .into_iter()
            .flatten()
            .collect(),
        });
    }
    if let Some(together) = comparison.together.as_ref().and_then(|t| Some((t, t.worth.difference?))) {
        let sum = together.0.sum_of_singles_s.map(|s| format!("added up one by one: {}", SPAN.text(s)));
        figures.push(Figure {
            label: "All together".to_owned(),
            value: SPAN.number(together.1.mean_s),
            unit: "s",
            notes: sum.into_iter().collect(),
        });
    }
    figures.push(Figure {
        label: "Your own scatter".to_owned(),
        value: SPAN.number(driver.sd_s),
        unit: "s",
        notes: vec!["standard deviation from start to start".to_owned()],
    });
    figures
}

/// How it was computed.
fn method(report: &CompareReport) -> Markup {
    let comparison = report.comparison;
    html! {
        p {
            "Each changed car has the launch that is recommended for the car as it is, with its own shift points, unless a launch of its own is clearly quicker. "
            (comparison.uncertain_inputs) " inputs are not surely known; a change leaves every estimate of the car as it was, error and all, "
            "except those that go with it. What the uncertainty comes from: Sobol indices of a quadratic surface through the draws (Saltelli's and "
            "Jansen's estimators). Seed " (comparison.seed) "."
        }
    }
}
