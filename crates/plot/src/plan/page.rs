//! The page of a plan, and the files of its report.

use bitepoint_runner::plan::{BOTCHED_COSTS_S, NEARLY_K};
use maud::{Markup, PreEscaped, html};

use super::card::card;
use super::report::{PlanDay, PlanReport, target_text};
use super::{curves, lost, tables, words};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::{ENGINE_SPEED, GATE_TIME, SPAN, band};
use crate::page::parts::Figure;
use crate::page::{Page, parts, report_files};

/// One self-contained HTML page: no script, nothing from the network.
#[must_use]
pub fn page(report: &PlanReport<'_>) -> String {
    whole(report, &charts(report)).render()
}

/// Every file of the report's folder: the page, its charts, and a card for each day.
#[must_use]
pub fn files(report: &PlanReport<'_>) -> Vec<ReportFile> {
    let charts = charts(report);
    let page = whole(report, &charts);
    let mut files = report_files(&page, charts);
    files.extend(
        report
            .days
            .iter()
            .enumerate()
            .map(|(i, day)| ReportFile { name: format!("card-{}.svg", i + 1), contents: card(report, day) }),
    );
    files
}

fn charts(report: &PlanReport<'_>) -> Vec<Chart> {
    curves::charts(report).into_iter().chain(lost::chart(report)).collect()
}

fn whole<'a>(report: &PlanReport<'a>, charts: &[Chart]) -> Page<'a> {
    let notes: Vec<String> = notes(report);
    Page {
        title: report.title,
        header: header(report, &notes),
        main: html! {
            section {
                h2 { "At the line" }
                div.sides { @for day in report.days { (at_the_line(report, day)) } }
            }
            (parts::charts("How forgiving it is", charts))
            (tables::tables(report))
            section.cards-section {
                h2 { "Launch cards" }
                p.small { "One A5 page each, also as " code { "card-1.svg" } " and so on beside this page." }
                div.sides { @for day in report.days { figure.paper { (PreEscaped(card(report, day))) } } }
            }
            (parts::cautions("In these plans", &notes))
        },
        footer: html! { p { (method(report)) } },
        command: report.command,
    }
}

/// Cautions of all days; those of one day say of which, where there are several.
fn notes(report: &PlanReport<'_>) -> Vec<String> {
    let several = report.days.len() > 1;
    let of_day = |day: &PlanDay<'_>| {
        let name = day.name.to_owned();
        let say = move |note: &String| if several { format!("{name}: {note}") } else { note.clone() };
        day.notes.iter().map(say).collect::<Vec<_>>()
    };
    report.days.iter().flat_map(of_day).collect()
}

fn header(report: &PlanReport<'_>, notes: &[String]) -> Markup {
    let figures: Vec<Figure> = report.days.iter().map(figure).collect();
    html! {
        header {
            p.eyebrow { strong { (report.vehicle_name) } ", " (target_text(report.target)) }
            h1 { (headline(report)) }
            (parts::figures(&figures))
            p.small {
                "Expected: the mean over starts that stray as this driver does, from the car's first movement"
                @if matches!(report.target.clock, bitepoint_runner::target::Clock::Rollout) { " past the rollout" }
                "; a stall is counted as the best possible time and " (SPAN.decimals(0).text(BOTCHED_COSTS_S)) " for another go."
            }
            (parts::notes("Mind in these plans", notes))
        }
    }
}

fn headline(report: &PlanReport<'_>) -> String {
    let each: Vec<String> = report
        .days
        .iter()
        .map(|day| {
            let launch = &day.plan.driver.launch;
            format!(
                "{}: hold {}, pedal up over {}",
                day.name,
                ENGINE_SPEED.text(launch.held_radps),
                words::DOABLE.text(launch.release_s)
            )
        })
        .collect();
    each.join(". ")
}

fn figure(day: &PlanDay<'_>) -> Figure {
    let driver = &day.plan.driver;
    let mut notes = Vec::new();
    if let Some(spread) = driver.expected.band {
        notes.push(format!("most starts {}", band(spread.low_s, spread.high_s)));
    }
    notes.push(words::botched(driver));
    notes.push(format!("best possible {}", GATE_TIME.text(day.plan.best.time_s)));
    Figure { label: format!("{}, expected", day.name), value: SPAN.number(driver.expected.mean_s), unit: "s", notes }
}

fn at_the_line(report: &PlanReport<'_>, day: &PlanDay<'_>) -> Markup {
    let plan = day.plan;
    let driver = &plan.driver;
    let [less, more] = plan.other_grip;
    let shifts = words::shifts(driver, report.units);
    html! {
        div {
            h3 { (day.name) }
            ol.facts {
                li { "Hold " strong { (ENGINE_SPEED.text(driver.launch.held_radps)) } "; the clutch bites at " (ENGINE_SPEED.text(driver.run.launch.bite_radps)) "." }
                li { "Let the pedal up over " strong { (words::DOABLE.text(driver.launch.release_s)) } ", " (words::release_shape(driver.launch.release_shape)) "." }
                li { "Throttle " strong { (words::throttle(plan, &driver.launch)) } "." }
                @if shifts.is_empty() {
                    li { "No shift before the gate." }
                } @else {
                    li { "Shift " strong { (shifts.join(", ")) } "." }
                }
                li { "Wheels spin, less grip than planned: " (words::change(less.change)) "." }
                li { "Engine bogs, more grip than planned: " (words::change(more.change)) "." }
                li { "Clutch slips on and on: " (words::against_slip(driver)) "." }
                li { "Then " (words::pause(&plan.cooling)) "; " (words::in_a_row(&plan.cooling)) "." }
            }
        }
    }
}

fn method(report: &PlanReport<'_>) -> String {
    let Some(plan) = report.days.first().map(|day| day.plan) else { return String::new() };
    format!(
        "Expected times are of {} starts with errors drawn by seed {}; more or less grip is 15 % either way. The clutch counts as cool \
         when face and mass are within {} of where the start began.",
        plan.driver.expected.starts,
        plan.seed,
        report.units.temperature_difference().text(NEARLY_K)
    )
}
