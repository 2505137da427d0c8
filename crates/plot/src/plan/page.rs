//! The page of a plan, and the files of its report.

use bitepoint_runner::plan::{Decision, FAILED_COSTS_S, NEARLY_K};
use maud::{Markup, PreEscaped, html};

use super::card::card;
use super::report::{PlanDay, PlanReport, target_text};
use super::{curves, lost, tables, words};
use crate::chart::Chart;
use crate::folder::ReportFile;
use crate::format::{SPAN, Units};
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
            (tables::efforts(report))
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
                "Expected time: the mean over " (report.days.first().map_or(0, |day| day.plan.driver.expected.starts))
                " simulated launches by " (report.days.first().map_or(String::new(), |day| words::driver(day.plan)))
                ", in cars that differ from their estimates as far as those are uncertain. In brackets: where nine launches in ten lie. Times run from the car's first movement"
                @if matches!(report.target.clock, bitepoint_runner::target::Clock::Rollout) { " past the rollout" }
                "; a failed launch counts " (SPAN.decimals(0).text(FAILED_COSTS_S)) " more, for another go."
            }
            (parts::notes("Note in these plans", notes))
        }
    }
}

/// What to do, day by day.
fn headline(report: &PlanReport<'_>) -> String {
    let one = report.days.len() == 1;
    let each: Vec<String> = report
        .days
        .iter()
        .map(|day| {
            let short = words::described(day.plan).short(report.units);
            if one { short } else { format!("{}: {}", day.name, short.replacen("Hold", "hold", 1)) }
        })
        .collect();
    each.join(". ")
}

fn figure(day: &PlanDay<'_>) -> Figure {
    let driver = &day.plan.driver;
    let mut notes: Vec<String> =
        words::bands(day.plan).into_iter().map(|(covers, band)| format!("{band} {covers}")).collect();
    notes.extend(words::sixty_feet(day.plan).map(|text| format!("60\u{a0}ft in {text}")));
    notes.push(words::failed(&driver.expected));
    Figure { label: format!("{}: expected", day.name), value: SPAN.number(driver.expected.mean_s), unit: "s", notes }
}

fn at_the_line(report: &PlanReport<'_>, day: &PlanDay<'_>) -> Markup {
    let plan = day.plan;
    let driver = &plan.driver;
    let [less, more] = plan.other_grip;
    html! {
        div {
            h3 { (day.name) }
            ol.facts { @for sentence in words::described(plan).sentences(report.units) { li { (sentence) } } }
            h4 { "If you miss" }
            ul.facts {
                @for decision in [Decision::HeldRevs, Decision::KeptRevs, Decision::ReleaseTime, Decision::PartThrottle] {
                    @if let Some(text) = miss(plan, decision, report.units) { li { (text) } }
                }
            }
            h4 { "If it goes wrong, next time" }
            ul.facts {
                li { "Too much wheelspin: " (words::change(less.change, report.units)) "." }
                li { "The engine bogs: " (words::change(more.change, report.units)) "." }
                li { "The clutch slips on and on: " (words::against_slip(driver)) "." }
            }
            p { "Clutch: " (words::clutch(plan, report.units)) "." }
            p.small { "Bound: " (words::bound(plan)) "." }
        }
    }
}

/// "Held revs within 0.05 s from 2400 to 3600 rpm; 100 rpm low +0.004 s, high no loss."
fn miss(plan: &bitepoint_runner::plan::Plan, decision: Decision, units: Units) -> Option<String> {
    let window = plan.driver.windows.iter().find(|w| w.decision == decision)?;
    let miss = words::miss(window, units);
    let miss = miss.strip_prefix(&words::name(decision).to_lowercase()).unwrap_or(&miss).trim_start().to_owned();
    Some(format!("{}: within 0.05\u{a0}s from {}; {miss}.", words::name(decision), words::window(window, units)))
}

fn method(report: &PlanReport<'_>) -> String {
    let Some(plan) = report.days.first().map(|day| day.plan) else { return String::new() };
    format!(
        "Expected times come from {} launches with errors drawn by seed {}; windows, curves and efforts from a small balanced set of them. Less and \
         more grip are 15 % either way. The clutch counts as cool when face and mass are within {} of where the launch began.",
        plan.driver.expected.starts,
        plan.seed,
        report.units.temperature_difference().text(NEARLY_K)
    )
}
