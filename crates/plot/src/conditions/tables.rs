//! The tables of the page.

use bitepoint_runner::bands::Band;
use bitepoint_runner::conditions::Condition;
use maud::{Markup, html};

use super::report::ConditionsReport;
use super::rounding::adding_up;
use super::unit::heading;
use super::words;
use crate::format::{DENSITY, MISSING, SHARE, number, time_difference};
use crate::page::parts::{framed, head};

/// All tables.
pub(super) fn tables(report: &ConditionsReport<'_>) -> Markup {
    html! {
        section {
            h2 { "The numbers" }
            (per_unit(report))
            (shares(report))
            (model(report))
        }
    }
}

fn per_unit(report: &ConditionsReport<'_>) -> Markup {
    let (study, units) = (report.study, report.units);
    let rows = Condition::ALL.into_iter().filter_map(|c| words::per_unit(study, units, c).map(|row| (c, row)));
    html! {
        (framed("Seconds per unit, around this run", html! {
            (head(&["Condition", "More by", "Changes the time by", "90 % (car)", "Taken between"]))
            tbody { @for (condition, (seconds, band, unit)) in rows { tr {
                th scope="row" { (heading(condition)) }
                td { (unit) }
                td { (seconds) }
                td { @if band.is_empty() { (MISSING) } @else { (band) } }
                td { (words::step(study, units, condition)) }
            } } }
        }))
        p.small {
            "The launch is held as the scenario states or estimates it: nobody plans a start anew for a slope of 1 %. "
            "Each is the difference of two runs on either side of this one over the step between them; the rollout's is all of it."
        }
    }
}

fn shares(report: &ConditionsReport<'_>) -> Markup {
    let (study, units) = (report.study, report.units);
    let list = study.both_ways.as_ref().map_or(&study.correction.shares, |both| &both.shares);
    let rounded = adding_up(&list.iter().map(|s| s.change_s).collect::<Vec<_>>(), 3);
    let band = |b: Option<Band>| {
        b.map_or_else(|| MISSING.to_owned(), |b| format!("{} to {}", number(b.low_s, 3), number(b.high_s, 3)))
    };
    let over_m = study.model.distance_m;
    let value = |conditions, condition| words::value(condition, conditions, over_m, units);
    html! {
        (framed("What the correction is made of", html! {
            (head(&["Condition", "This run", "Reference", "Adds", "90 % (car)"]))
            tbody {
                @for condition in Condition::ALL {
                    @let share = list.iter().zip(&rounded).find(|(share, _)| share.condition == condition);
                    tr {
                        th scope="row" { (heading(condition)) }
                        td { (value(&study.day, condition)) }
                        td { (value(&study.request.reference.conditions, condition)) }
                        td { (share.map_or_else(|| MISSING.to_owned(), |(_, seconds)| format!("{}\u{a0}s", number(*seconds, 3)))) }
                        td { (share.map_or_else(|| MISSING.to_owned(), |(share, _)| band(share.band_s))) }
                    }
                }
                tr {
                    th scope="row" { "All together" }
                    td { } td { }
                    td { (number(rounded.iter().sum(), 3)) "\u{a0}s" }
                    td { }
                }
            }
        }))
    }
}

fn model(report: &ConditionsReport<'_>) -> Markup {
    let model = &report.study.model;
    html! {
        (framed("The model's two runs", html! {
            (head(&["", "This run", "Reference"]))
            tbody {
                tr { th scope="row" { "Time" } td { (words::time(model.day_s)) } td { (words::time(model.reference_s)) } }
                tr { th scope="row" { "Density of the air" } td { (DENSITY.text(model.day_air.density_kg_per_m3)) } td { (DENSITY.text(model.reference_air.density_kg_per_m3)) } }
                tr { th scope="row" { "Torque over the rated" } td { (SHARE.decimals(1).text(model.day_air.torque_factor)) } td { (SHARE.decimals(1).text(model.reference_air.torque_factor)) } }
                tr { th scope="row" { "Within what the rating standard covers" } td { (yes(model.day_air.within_standard)) } td { (yes(model.reference_air.within_standard)) } }
                tr { th scope="row" { "Reference against this run" } td { } td { (time_difference(model.reference_s - model.day_s)) } }
            }
        }))
    }
}

fn yes(is: bool) -> &'static str {
    if is { "yes" } else { "no" }
}
