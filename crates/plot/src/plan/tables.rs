//! The plan in numbers.

use bitepoint_runner::plan::Choice;
use maud::{Markup, html};

use super::report::{PlanDay, PlanReport};
use super::words;
use crate::format::{ENERGY, ENGINE_SPEED, GATE_TIME, MISSING, SHARE, SPAN, Units, band};
use crate::page::parts::{framed, framed_words, head};

/// What each effort does to time and car, for every day.
pub(super) fn efforts(report: &PlanReport<'_>) -> Markup {
    html! {
        section {
            h2 { "How hard to try" }
            @for day in report.days {
                (framed_words(&format!("{}: three efforts", day.name), html! {
                    (head(&["Effort", "Time", "Hold", "Clutch heat", "Clutch face", "Shaft torque", "What it costs the car"]))
                    tbody { @for row in words::efforts(day.plan, report.units) { tr {
                        th scope="row" { (row.name) }
                        @for number in [row.time, row.revs, row.heat, row.face, row.shaft] { td.number { (number) } }
                        td { (row.costs) }
                    } } }
                }))
            }
            p.small {
                "Easy is the gentlest launch within 0.2 s of the quickest, normal the gentlest within 0.05 s; both keep the clutch face below its fade "
                "temperature and the shafts within 120 % of full throttle in first gear, where the car can start so at all. All-out is the quickest, short of "
                "lasting harm to the clutch. Shaft torque is the peak over what full throttle in first gear gives steadily."
            }
        }
    }
}

/// Tables of every day.
pub(super) fn tables(report: &PlanReport<'_>) -> Markup {
    html! {
        section {
            h2 { "In numbers" }
            (side_by_side(report))
            @for day in report.days {
                (forgiving(&format!("{}: if you miss", day.name), &day.plan.driver, report.units))
            }
            p.small {
                "A window is the range of one decision within which less than 0.05 s is lost, the others being kept. "
                "The two columns in seconds are what it costs to be off by that much; “fails” is a start that stalls, drags the engine below "
                "its idle or breaks a limit."
            }
        }
    }
}

struct Row {
    name: &'static str,
    of: fn(&PlanReport<'_>, &PlanDay<'_>, &Choice) -> String,
}

const ROWS: [Row; 18] = [
    Row { name: "Held revs", of: |_, _, c| ENGINE_SPEED.text(c.launch.held_radps) },
    Row { name: "Kept revs while the clutch slips", of: |_, _, c| ENGINE_SPEED.text(c.launch.kept_radps) },
    Row { name: "Revs at the bite", of: |_, _, c| ENGINE_SPEED.text(c.run.launch.bite_radps) },
    Row { name: "Clutch release, at the fastest", of: |_, _, c| SPAN.text(c.launch.release_s) },
    Row { name: "Pedal", of: |_, _, c| words::release_shape_short(c.launch.release_shape).to_owned() },
    Row { name: "Clutch fully engaged at", of: |r, _, c| r.units.speed().text_or_dash(c.run.launch.clutch_home_mps) },
    Row { name: "Throttle opens before the bite", of: |_, _, c| SPAN.text(c.launch.throttle_lead_s) },
    Row { name: "Throttle squeeze", of: |_, _, c| SPAN.text(c.launch.throttle_ease_s) },
    Row { name: "Part throttle", of: |_, _, c| part(c, SHARE.text(c.launch.part_throttle)) },
    Row {
        name: "Part throttle until",
        of: |r, _, c| part(c, r.units.speed().decimals(0).text(c.launch.part_until_mps)),
    },
    Row { name: "Throttle held back for wheelspin", of: |_, _, c| SPAN.text(c.run.launch.trimmed_s) },
    Row { name: "Shifts", of: |_, _, c| words::shift_revs(c) },
    Row { name: "Expected time", of: |_, _, c| SPAN.text(c.expected.mean_s) },
    Row {
        name: "90 % (driver): car as estimated",
        of: |_, _, c| c.expected.band.map_or(String::new(), |b| band(b.low_s, b.high_s)),
    },
    Row {
        name: "90 % (both): driver and unknowns of the car",
        of: |_, _, c| c.likely.band.map_or(String::new(), |b| band(b.low_s, b.high_s)),
    },
    Row { name: "With no driver error", of: |_, _, c| GATE_TIME.decimals(2).text(c.time_s) },
    Row { name: "Clutch heat", of: |_, _, c| ENERGY.decimals(0).text(c.run.peaks.clutch_energy_j) },
    Row { name: "Peak half-shaft torque", of: |r, _, c| r.units.torque().text(c.run.peaks.shaft_torque_nm) },
];

/// What is said of a part throttle; a dash where there is none.
fn part(choice: &Choice, text: String) -> String {
    if choice.launch.holds_part_throttle() { text } else { MISSING.to_owned() }
}

fn side_by_side(report: &PlanReport<'_>) -> Markup {
    let mut heads = vec![""];
    heads.extend(report.days.iter().map(|day| day.name));
    framed(
        "The plan",
        html! {
            (head(&heads))
            tbody {
                @for row in &ROWS {
                    tr {
                        th scope="row" { (row.name) }
                        @for day in report.days { td { ((row.of)(report, day, &day.plan.driver)) } }
                    }
                }
            }
        },
    )
}

fn forgiving(caption: &str, choice: &Choice, units: Units) -> Markup {
    framed_words(
        caption,
        html! {
            (head(&["", "Plan", "Within 0.05 s", "Off by", "Less, s", "More, s", "Below", "Above"]))
            tbody {
                @for window in &choice.windows {
                    tr {
                        th scope="row" { (words::name(window.decision)) }
                        td.number { (words::value(window.decision, window.value, units)) }
                        td.number { (words::window(window, units)) }
                        td.number { (words::unit(window.decision, units)) }
                        td.number { (words::cost_number(window.unit_less)) }
                        td.number { (words::cost_number(window.unit_more)) }
                        td { (words::trouble(window.below)) }
                        td { (words::trouble(window.above)) }
                    }
                }
            }
        },
    )
}
