//! The pages as a whole, and the files of their folders.

use bitepoint_runner::sweep::{ShiftStudy, Sweep};
use maud::{Markup, html};

use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::{SPAN, Units};
use crate::page::{Page, parts, report_files};

use super::shift_story::{shift_headline, shift_rows};
use super::story::{self, rows, target_name};
use super::tables;
use super::{map, one_key, pulls, shift_times};

/// What a sweep's report is made from.
#[derive(Debug, Clone, Copy)]
pub struct SweepReport<'a> {
    /// The runs.
    pub sweep: &'a Sweep,
    /// What to mind in reading the result.
    pub notes: &'a [String],
    /// The command that makes this report again; may be empty.
    pub command: &'a str,
    /// Units in which it is read.
    pub units: Units,
}

/// What a report of shift points is made from.
#[derive(Debug, Clone, Copy)]
pub struct ShiftReport<'a> {
    /// The runs.
    pub study: &'a ShiftStudy,
    /// What to mind in reading the result.
    pub notes: &'a [String],
    /// The command that makes this report again; may be empty.
    pub command: &'a str,
    /// Units in which it is read.
    pub units: Units,
}

const OF_THESE: &str = "In these starts";

/// How the charts and tables are to be read.
fn method(sweep: &Sweep) -> String {
    format!(
        "Each start is one simulated run, {} in all. The best is the quickest of them, so it is known to a step of the range. The edges of a window lie on the straight line between two runs. What is not varied stays as the files say or as it is estimated for car and surface.",
        sweep.fields.iter().map(|field| field.cells.len()).sum::<usize>()
    )
}

/// Every file of a sweep's report: the page and its charts.
#[must_use]
pub fn sweep_files(report: &SweepReport) -> Vec<ReportFile> {
    let SweepReport { sweep, notes, command, units } = *report;
    let charts: Vec<Chart> =
        if sweep.axes.len() == 1 { one_key::chart(sweep) } else { map::chart(sweep) }.into_iter().collect();
    let title = format!("{}: {}", sweep.vehicle, story::headline(sweep));
    let page = Page {
        title: &title,
        header: header(
            &sweep.vehicle,
            &target_name(sweep.target),
            &story::headline(sweep),
            html! {
                (parts::figures(&story::figures(sweep)))
                p.small { "Times run " (story::clock(sweep.target)) ". A window is the stretch that loses less than " (SPAN.text(bitepoint_runner::sweep::LOSS_S)) " against the best." }
                (parts::notes("Mind in these starts", notes))
            },
        ),
        main: html! {
            (parts::charts("The starts in charts", &charts))
            (tables::summary(sweep, &rows(sweep)))
            (parts::cautions(OF_THESE, notes))
            (tables::cells(sweep, units))
        },
        footer: html! { p { (method(sweep)) } },
        command,
    };
    report_files(&page, charts)
}

/// Every file of a report of shift points: the page and its charts.
#[must_use]
pub fn shift_files(report: &ShiftReport) -> Vec<ReportFile> {
    let ShiftReport { study, notes, command, units } = *report;
    let charts: Vec<Chart> = [pulls::chart(study, units), shift_times::chart(study)].into_iter().flatten().collect();
    let headline = shift_headline(study);
    let title = format!("{}: shift points", study.vehicle);
    let page = Page {
        title: &title,
        header: header(
            &study.vehicle,
            &target_name(study.target),
            &headline,
            html! {
                p.small { "Times run " (story::clock(study.target)) "." }
                (parts::notes("Mind in these starts", notes))
            },
        ),
        main: html! {
            (parts::charts("The shifts in charts", &charts))
            (tables::shifts(&shift_rows(study)))
            (parts::cautions(OF_THESE, notes))
        },
        footer: html! {
            p {
                "Each gear's shift point is varied while the others stay as the scenario has them, and each start is one simulated run. The pull of a gear is its wheel force at full load, less what its turning parts take and what holds the car back, over the car's mass."
            }
        },
        command,
    };
    report_files(&page, charts)
}

fn header(vehicle: &str, target: &str, headline: &str, below: Markup) -> Markup {
    html! {
        header {
            p.eyebrow { strong { (vehicle) } ", " (target) }
            h1 { (headline) }
            (below)
        }
    }
}
