//! Starts, costs and clutch in numbers.

use maud::{Markup, html};

use super::report::ReviewReport;
use super::words::with_error;
use crate::format::{ENERGY, ENGINE_SPEED, MISSING, SPAN, gate_name, time_difference};
use crate::page::parts::{framed, framed_words, head};

/// The tables of a review.
pub(super) fn tables(report: &ReviewReport<'_>) -> Markup {
    html! { section { h2 { "In numbers" } (starts(report)) (costs(report)) (clutch(report)) } }
}

fn starts(report: &ReviewReport<'_>) -> Markup {
    let gates = report.gates();
    let mut heads = vec!["Start", "First movement"];
    heads.extend(gates.iter().map(|g| gate_name(g)));
    heads.extend(["With rollout", "Gap", "Held", "Pedal up in"]);
    framed(
        "Starts: times from first movement, with their standard errors",
        html! {
            (head(&heads))
            tbody {
                @for (i, start) in report.review.starts.iter().enumerate() {
                    @let passed = |name: &str| start.run.gates.iter().find(|g| g.name == name).and_then(|g| g.passed);
                    tr {
                        th scope="row" { (i + 1) }
                        td { (SPAN.decimals(1).text(start.run.first_movement_s.value)) }
                        @for gate in gates {
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
    framed_words(
        "What each fault cost; the parts of a start add up to its gap",
        html! {
            (head(&["Start", "Fault", "From", "To", "Lost", "What shows it"]))
            tbody {
                @for (i, start) in report.review.starts.iter().enumerate() {
                    @let lost = |at: Option<usize>| {
                        start.costs.iter().flat_map(|c| &c.parts).find(|p| p.fault == at)
                            .map_or_else(|| MISSING.to_owned(), |p| time_difference(p.lost_s))
                    };
                    @for (at, fault) in start.faults.iter().enumerate() {
                        tr {
                            th scope="row" { (i + 1) }
                            td { (fault.kind.name()) }
                            td.number { (SPAN.text(fault.from_s)) }
                            td.number { (SPAN.text(fault.to_s)) }
                            td.number { (lost(Some(at))) }
                            td { (fault.evidence) }
                        }
                    }
                    tr {
                        th scope="row" { (i + 1) }
                        td { "not explained" }
                        td {} td {}
                        td.number { (lost(None)) }
                        td { "car, air or driver" }
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
