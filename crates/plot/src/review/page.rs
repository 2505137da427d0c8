//! The page of a review, and the files of its report.

use maud::{Markup, html};

use super::change::{change, wins};
use super::report::ReviewReport;
use super::{chart, tables, words};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::SPAN;
use crate::page::parts::Figure;
use crate::page::{Page, parts, report_files};
use crate::plan::target_text;

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &ReviewReport<'_>) -> String {
    let title = title(report);
    whole(report, &title, &chart::charts(report)).render()
}

/// Every file of the report's folder.
#[must_use]
pub fn files(report: &ReviewReport<'_>) -> Vec<ReportFile> {
    let (title, charts) = (title(report), chart::charts(report));
    let page = whole(report, &title, &charts);
    report_files(&page, charts)
}

fn title(report: &ReviewReport<'_>) -> String {
    format!("Measured starts: {}", report.vehicle_name)
}

fn whole<'a>(report: &ReviewReport<'a>, title: &'a str, charts: &[Chart]) -> Page<'a> {
    let review = report.review;
    Page {
        title,
        header: header(report),
        main: html! {
            section {
                h2 { "What to make of it" }
                ul {
                    li { "Best launch: " (words::best(&review.best, report.units)) "." }
                    li { "Clutch: " (words::clutch(review, report.units)) "." }
                    @if let Some(study) = report.corrected { li { "Corrected: " (words::corrected(study)) "." } }
                    @if let Some(sets) = report.sets { li { "Before and after: " (words::before_after(sets)) "." } }
                    @for untold in &review.untold { li { "Not shown: " (untold) "." } }
                }
            }
            (parts::charts("Measured and simulated", charts))
            (tables::tables(report))
            (parts::cautions("In these starts", report.notes))
        },
        footer: html! {
            p {
                "Each start is run again on the model as the log shows that it was driven, then with one thing after the other as in the best \
                 launch. What a thing cost is the mean over all orders of mending them; what is left of the gap is not explained: car, tyres, \
                 road or air differ from what the files say. The line \
                 “as driven” is that run; the band about a measured speed is its 95 % interval."
            }
        },
        command: report.command,
    }
}

/// What to change; first, where that is doubtful, whether the log is this car's at all.
fn headline(report: &ReviewReport<'_>) -> String {
    if report.doubts.is_empty() { change(report.review, report.units) } else { words::DOUBTFUL.to_owned() }
}

fn header(report: &ReviewReport<'_>) -> Markup {
    let review = report.review;
    let mut figures = Vec::new();
    if let Some(spread) = review.spread
        && let Some(time_s) = review.starts[spread.best].time_s
    {
        figures.push(Figure {
            label: format!("Quickest: start {}", spread.best + 1),
            value: SPAN.number(time_s.value),
            unit: "s",
            notes: vec![format!("± {:.2} s", time_s.sd)],
        });
        figures.push(Figure {
            label: format!("Mean of {}", spread.starts),
            value: SPAN.number(spread.mean_s),
            unit: "s",
            notes: spread.sd_s.map(|sd| format!("standard deviation {sd:.2} s")).into_iter().collect(),
        });
    }
    figures.push(Figure {
        label: "Best launch, by the model".to_owned(),
        value: SPAN.number(review.best.time_s),
        unit: "s",
        notes: Vec::new(),
    });
    html! {
        header {
            p.eyebrow {
                strong { (report.vehicle_name) } " on " (report.scenario_name) ", " (target_text(review.best.target)) ", "
                (words::starts(review)) " in " (report.log_name)
            }
            h1 { (headline(report)) }
            @for doubt in report.doubts { p { (doubt) } }
            (parts::figures(&figures))
            p.small {
                @if !report.doubts.is_empty() { "If it is this car's: " (change(review, report.units)) " " }
                (wins(review))
            }
            (parts::notes("Before you go by this", report.notes))
        }
    }
}
