//! The plan in numbers.

use bitepoint_runner::plan::Choice;
use maud::{Markup, html};

use super::report::{PlanDay, PlanReport};
use super::words;
use crate::format::{ENERGY, ENGINE_SPEED, GATE_TIME, MISSING, SHARE, SPAN, Units, band};
use crate::page::parts::{framed, head};

/// Tables of every day.
pub(super) fn tables(report: &PlanReport<'_>) -> Markup {
    html! {
        section {
            h2 { "In numbers" }
            (side_by_side(report))
            @for day in report.days {
                (forgiving(&format!("{}: this driver's plan, expected times", day.name), &day.plan.driver, report.units))
                (forgiving(&format!("{}: the best possible, done exactly", day.name), &day.plan.best, report.units))
            }
            p.small {
                "A window is the range of one decision in which less than 0.05 s is lost while the others are kept. "
                "“Less” and “more” are what being off by that much costs. A start that stalls is counted as the best "
                "possible time and 5 s for another go."
            }
        }
    }
}

struct Row {
    name: &'static str,
    of: fn(&PlanReport<'_>, &PlanDay<'_>, &Choice) -> String,
}

const ROWS: [Row; 15] = [
    Row { name: "Held revs", of: |_, _, c| ENGINE_SPEED.text(c.launch.held_radps) },
    Row { name: "Revs at the bite", of: |_, _, c| ENGINE_SPEED.text(c.run.launch.bite_radps) },
    Row { name: "Clutch release", of: |_, _, c| SPAN.text(c.launch.release_s) },
    Row { name: "Pedal", of: |_, _, c| words::release_shape_short(c.launch.release_shape).to_owned() },
    Row { name: "Throttle ease", of: |_, _, c| SPAN.text(c.launch.throttle_ease_s) },
    Row { name: "Part throttle", of: |_, _, c| part(c, SHARE.text(c.launch.part_throttle)) },
    Row { name: "Opened from", of: |r, _, c| part(c, r.units.speed().decimals(0).text(c.launch.part_until_mps)) },
    Row { name: "Shifts", of: |_, _, c| words::shift_revs(c) },
    Row { name: "Done as planned", of: |_, _, c| GATE_TIME.text(c.time_s) },
    Row { name: "Expected of this driver", of: |_, _, c| GATE_TIME.text(c.expected.mean_s) },
    Row { name: "5 to 95 %", of: |_, _, c| c.expected.band.map_or(String::new(), |b| band(b.low_s, b.high_s)) },
    Row { name: "Botched starts", of: |_, _, c| words::share_of(c.expected.botched, c.expected.starts) },
    Row { name: "Starts with wheelspin", of: |_, _, c| words::share_of(c.expected.spins, c.expected.starts) },
    Row { name: "Clutch heat", of: |_, _, c| ENERGY.decimals(0).text(c.run.peaks.clutch_energy_j) },
    Row { name: "Half-shafts, at most", of: |r, _, c| r.units.torque().text(c.run.peaks.shaft_torque_nm) },
];

/// What is told of a part throttle; a dash where there is none.
fn part(choice: &Choice, text: String) -> String {
    if choice.launch.holds_part_throttle() { text } else { MISSING.to_owned() }
}

fn side_by_side(report: &PlanReport<'_>) -> Markup {
    let columns: Vec<String> = report
        .days
        .iter()
        .flat_map(|day| [format!("{}: this driver", day.name), format!("{}: best possible", day.name)])
        .collect();
    let mut heads = vec![""];
    heads.extend(columns.iter().map(String::as_str));
    framed(
        "The plans side by side",
        html! {
            (head(&heads))
            tbody {
                @for row in &ROWS {
                    tr {
                        th scope="row" { (row.name) }
                        @for day in report.days {
                            td { ((row.of)(report, day, &day.plan.driver)) }
                            td { ((row.of)(report, day, &day.plan.best)) }
                        }
                    }
                }
            }
        },
    )
}

fn forgiving(caption: &str, choice: &Choice, units: Units) -> Markup {
    framed(
        caption,
        html! {
            (head(&["", "Plan", "Window", "Off by", "Less", "More", "Below", "Above"]))
            tbody {
                @for window in &choice.windows {
                    tr {
                        th scope="row" { (words::name(window.decision)) }
                        td { (words::value(window.decision, window.value, units)) }
                        td { (words::window(window, units)) }
                        td { (words::unit(window.decision, units)) }
                        td { (words::cost(window.unit_less)) }
                        td { (words::cost(window.unit_more)) }
                        td { (words::trouble(window.below)) }
                        td { (words::trouble(window.above)) }
                    }
                }
            }
        },
    )
}
