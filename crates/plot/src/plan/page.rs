//! The page of a plan, and the files of its report.

use bitepoint_runner::plan::{BOTCHED_COSTS_S, Decision, NEARLY_K};
use maud::{Markup, PreEscaped, html};

use super::card::card;
use super::report::{PlanDay, PlanReport, target_text};
use super::{curves, lost, tables, words};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::{ENGINE_SPEED, GATE_TIME, SPAN, Units, band};
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
    let figures: Vec<Figure> = report.days.iter().flat_map(|day| figures(day, report.units)).collect();
    html! {
        header {
            p.eyebrow { strong { (report.vehicle_name) } ", " (target_text(report.target)) }
            h1 { (headline(report)) }
            (parts::figures(&figures))
            p.small {
                "Expected: the mean over starts that stray as this driver does; best possible: done exactly, which nobody can. Times run from the car's first movement"
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

fn figures(day: &PlanDay<'_>, units: Units) -> [Figure; 2] {
    let (driver, best) = (&day.plan.driver, &day.plan.best);
    let mut of_driver: Vec<String> =
        driver.expected.band.map(|b| format!("most {}", band(b.low_s, b.high_s))).into_iter().collect();
    of_driver.push(words::botched(driver));
    of_driver.push(format!("{} as planned", GATE_TIME.text(driver.time_s)));
    let of_best = vec![
        format!("at {}", words::value(Decision::HeldRevs, best.launch.held_radps, units)),
        format!("in {}", words::value(Decision::ReleaseTime, best.launch.release_s, units)),
        format!("{} expected", GATE_TIME.text(best.expected.mean_s)),
    ];
    [
        Figure {
            label: format!("{}: expected", day.name),
            value: SPAN.number(driver.expected.mean_s),
            unit: "s",
            notes: of_driver,
        },
        Figure {
            label: format!("{}: best possible", day.name),
            value: SPAN.number(best.time_s),
            unit: "s",
            notes: of_best,
        },
    ]
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
                li { "Throttle " strong { (words::throttle_text(plan, &driver.launch, report.units)) } "." }
                @if shifts.is_empty() {
                    li { "No shift before the gate." }
                } @else {
                    li { "Shift " strong { (shifts.join(", ")) } "." }
                }
                li { "Wheels spin, less grip than planned: " (words::change(less.change, report.units)) "." }
                li { "Engine bogs, more grip than planned: " (words::change(more.change, report.units)) "." }
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
