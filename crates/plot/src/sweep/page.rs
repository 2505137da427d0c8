//! The pages as a whole, and the files of their folders.

use bitepoint_runner::sweep::{ShiftStudy, Sweep, Times};
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

/// What a time of the sweep is.
fn times(times: Times) -> &'static str {
    match times {
        Times::Expected => {
            "The time of a start is the driver's expected one: the mean over sixteen simulated starts with the driver's usual errors, all starts with the same ones; a failed one counts as a second go. Whether it spins, bogs or stalls, its heat and its torques are those of one more, done exactly."
        }
        Times::Exact => "Each start is one simulated run, done exactly.",
    }
}

/// How the charts and tables are to be read.
fn method(sweep: &Sweep) -> String {
    format!(
        "{} {} starts in all. The best is the quickest of them, and windows end on values that were tried, so both are known to a step of the range. What is neither varied nor in the files is the recommended launch of the car as it is, the launch that plan recommends; kept revs follow held revs in its ratio.",
        times(sweep.times),
        sweep.fields.iter().map(|field| field.cells.len()).sum::<usize>()
    )
}

/// The recommended launches in words.
fn recommended(sweep: &Sweep, units: Units) -> Markup {
    let each = story::recommendations(sweep, units);
    html! {
        @if !each.is_empty() {
            section {
                h2 { "The recommended launch" }
                @for (scenario, text) in &each { p { strong { (scenario) } ": " (text) } }
            }
        }
    }
}

/// Every file of a sweep's report: the page and its charts.
#[must_use]
pub fn sweep_files(report: &SweepReport) -> Vec<ReportFile> {
    let SweepReport { sweep, notes, command, units } = *report;
    let charts: Vec<Chart> =
        if sweep.axes.len() == 1 { one_key::chart(sweep) } else { map::chart(sweep) }.into_iter().collect();
    let title = format!("{}: {}", sweep.vehicle, story::headline(sweep, units));
    let page = Page {
        title: &title,
        header: header(
            &sweep.vehicle,
            &target_name(sweep.target),
            &story::headline(sweep, units),
            html! {
                (parts::figures(&story::figures(sweep)))
                p.small { "Times run " (story::clock(sweep.target)) ". A window is the stretch that loses less than " (SPAN.text(bitepoint_runner::sweep::LOSS_S)) " against the best." }
                (parts::notes("Note in these starts", notes))
            },
        ),
        main: html! {
            (parts::charts("The starts in charts", &charts))
            (recommended(sweep, units))
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
                (parts::notes("Note in these starts", notes))
            },
        ),
        main: html! {
            (parts::charts("The shifts in charts", &charts))
            (tables::shifts(&shift_rows(study)))
            (parts::cautions(OF_THESE, notes))
        },
        footer: html! {
            p {
                "Each gear's shift point is varied while the rest is as the scenario has it, or else the launch that plan recommends. "
                (study.gears.first().map_or("", |gear| times(gear.sweep.times)))
                " The pull of a gear is its wheel force at full load, less what its turning parts take and what holds the car back, over the car's mass."
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
