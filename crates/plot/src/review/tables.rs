//! Starts, costs and clutch in numbers.

use bitepoint_runner::review::Reviewed;
use maud::{Markup, html};

use super::change::done;
use super::evidence::evidence;
use super::report::ReviewReport;
use super::words::{rest, with_error};
use crate::format::{ENERGY, ENGINE_SPEED, MISSING, SPAN, gate_name, time_difference};
use crate::page::parts::{framed, framed_words, head};

/// The tables of a review.
pub(super) fn tables(report: &ReviewReport<'_>) -> Markup {
    html! { section { h2 { "In numbers" } (starts(report)) (costs(report)) (faults(report)) (clutch(report)) } }
}

fn starts(report: &ReviewReport<'_>) -> Markup {
    let gates = report.gates();
    let mut heads = vec!["Start", "First movement"];
    heads.extend(gates.iter().map(|g| gate_name(g)));
    heads.extend(["With rollout", "Gap", "Held", "Pedal up in"]);
    framed(
        "Starts: times from first movement in s, with their standard errors",
        html! {
            (head(&heads))
            tbody {
                @for (i, start) in report.review.starts.iter().enumerate() {
                    @let passed = |name: &str| start.run.gates.iter().find(|g| g.name == name).and_then(|g| g.passed);
                    tr {
                        th scope="row" { (i + 1) }
                        td { (SPAN.decimals(1).text(start.run.first_movement_s.value)) }
                        @for gate in &gates {
                            td { (passed(gate).map_or_else(|| MISSING.to_owned(), |p| with_error(p.time_s))) }
                        }
                        td {
                            (passed(report.review.best.target.gate).and_then(|p| p.with_rollout_s)
                                .map_or_else(|| MISSING.to_owned(), with_error))
                        }
                        td { (start.costs.as_ref().map_or_else(|| MISSING.to_owned(), |c| time_difference(c.gap_s))) }
                        td { (ENGINE_SPEED.text_or_dash(start.held_radps)) }
                        td { (SPAN.decimals(1).text_or_dash(start.release_s)) }
                    }
                }
            }
        },
    )
}

fn costs(report: &ReviewReport<'_>) -> Markup {
    let best = &report.review.best;
    framed_words(
        "What each difference from the recommended launch cost; the parts of a start add up to its gap",
        html! {
            (head(&["Start", "What", "Done", "Lost", "Won if mended alone", "Shows as"]))
            tbody {
                @for (i, start) in report.review.starts.iter().enumerate() {
                    @if let Some(costs) = &start.costs {
                        @for part in &costs.parts {
                            tr {
                                th scope="row" { (i + 1) }
                                td { (part.cause.name()) }
                                td { (done(part, best, report.units)) }
                                td.number { (time_difference(part.lost_s)) }
                                td.number { (part.alone_s.map_or_else(|| "stalls".to_owned(), |s| SPAN.text(s))) }
                                td { (shows_as(start, &part.faults)) }
                            }
                        }
                        tr {
                            th scope="row" { (i + 1) }
                            td { (rest(costs)) }
                            td { "car, tyres, road or air differ from the files, or the log does not show it" }
                            td.number { (time_difference(costs.rest_s)) }
                            td {} td {}
                        }
                    }
                }
            }
        },
    )
}

/// Kinds of these faults, each once.
fn shows_as(start: &Reviewed, faults: &[usize]) -> String {
    let mut kinds: Vec<&str> = faults.iter().filter_map(|i| start.faults.get(*i)).map(|f| f.kind.name()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds.join(", ")
}

fn faults(report: &ReviewReport<'_>) -> Markup {
    framed_words(
        "Faults and what shows them",
        html! {
            (head(&["Start", "Fault", "From", "To", "What shows it"]))
            tbody {
                @for (i, start) in report.review.starts.iter().enumerate() {
                    @for fault in &start.faults {
                        tr {
                            th scope="row" { (i + 1) }
                            td { (fault.kind.name()) }
                            td.number { (SPAN.text(fault.from_s)) }
                            td.number { (SPAN.text(fault.to_s)) }
                            td { (evidence(fault, &report.review.best, report.units)) }
                        }
                    }
                }
            }
        },
    )
}

fn clutch(report: &ReviewReport<'_>) -> Markup {
    let temperature = report.units.temperature();
    framed(
        "The clutch, by the model",
        html! {
            (head(&["Start", "Began at", "Face, at most", "Heat"]))
            tbody {
                @for (i, heat) in report.review.heat.starts.iter().enumerate() {
                    tr {
                        th scope="row" { (i + 1) }
                        td { (temperature.text_or_dash(heat.map(|h| h.began_c))) }
                        td { (temperature.text_or_dash(heat.map(|h| h.face_c))) }
                        td { (ENERGY.decimals(0).text_or_dash(heat.map(|h| h.energy_j))) }
                    }
                }
            }
        },
    )
}
