//! The tables of a comparison.

use bitepoint_physics::run::Story;
use bitepoint_runner::compare::{Car, Worth};
use maud::{Markup, html};

use super::report::CompareReport;
use super::words::{
    costs, currencies, described, difference, gain, launched_as_base, launches, measure_first, money, money_unit_text,
    span, verdict,
};
use crate::format::{MISSING, SHARE, SPAN, band};
use crate::page::parts::{framed, framed_words, head};

/// Every change with what it is worth, ranked.
pub(super) fn worths(report: &CompareReport) -> Markup {
    let sd_s = report.comparison.driver.sd_s;
    let together = report.comparison.together.iter().map(|t| &t.worth);
    let rows: Vec<&Worth> = report.ranked_changes().into_iter().chain(together).collect();
    let currencies = currencies(report);
    let one = (currencies.len() == 1).then(|| money_unit_text(report, &currencies[0]));
    let per = one.as_ref().map_or_else(|| "Gain for the money".to_owned(), |unit| format!("Gain per {unit}"));
    html! {
        (framed("Changes, the quickest first", html! {
            (head(&["Change", "As estimated", "Mean over the unknown", "90 % (car)", "Chance that it is quicker", "Price", &per]))
            tbody { @for worth in &rows { tr {
                th scope="row" { (worth.label) }
                td { (worth.difference.and_then(|d| d.as_expected_s).map_or_else(|| MISSING.to_owned(), difference)) }
                td { (worth.difference.map_or_else(|| MISSING.to_owned(), |d| difference(d.mean_s))) }
                td { (worth.difference.map_or_else(|| MISSING.to_owned(), |d| span(d.likely))) }
                td { (SHARE.text_or_dash(worth.difference.map(|d| d.quicker_share))) }
                td { (money(worth.price.as_ref())) }
                td { (gain(report, worth, one.is_some())) }
            } } }
        }))
        ul.facts { @for worth in &rows { li { strong { (worth.label) } ": " (verdict(worth, sd_s)) "." } } }
    }
}

/// Side effects of the changes.
pub(super) fn besides(report: &CompareReport) -> Markup {
    let together = report.comparison.together.iter().map(|t| &t.worth);
    let rows: Vec<(&Worth, Vec<String>)> =
        report.ranked_changes().into_iter().chain(together).map(|worth| (worth, costs(report, worth))).collect();
    html! {
        @if rows.iter().all(|(_, costs)| costs.is_empty()) {
            p { "No more shifts, heat in the clutch or torque in the shafts than on the car as it is." }
        } @else {
            ul.facts { @for (worth, costs) in rows.iter().filter(|(_, costs)| !costs.is_empty()) {
                li { strong { (worth.label) } ": " (costs.join("; ")) "." }
            } }
            p.small { "Of each car with its launch below and every value as estimated." }
        }
    }
}

/// How each car is launched and shifted.
pub(super) fn plans(report: &CompareReport) -> Markup {
    let base = ("as it is", Some(&report.comparison.base));
    let changes = report.ranked_changes().into_iter().map(|worth| (worth.label.as_str(), worth.car.as_ref()));
    let together = report.comparison.together.iter().map(|t| (t.worth.label.as_str(), t.worth.car.as_ref()));
    html! {
        p { "Launched " (launches(report)) }
        (framed_words("Each car with its launch", html! {
            (head(&["Car", "As estimated", "Mean", "90 % (car)", "Launch", "Shifts", "Start"]))
            tbody { @for (name, car) in [base].into_iter().chain(changes).chain(together) { tr {
                th scope="row" { (name) }
                @match car {
                    Some(car) => (plan(report, car)),
                    None => td colspan="6" { "no launch gets there" },
                }
            } } }
        }))
        p.small { "The mean is over what is not known of the car and the day; it is higher than the time as estimated where errors cost more to one side than they gain to the other." }
    }
}

fn plan(report: &CompareReport, car: &Car) -> Markup {
    let story = match car.story {
        Story::Clean => "clean",
        Story::Spin => "wheelspin",
        Story::Bog => "bogs",
        Story::Slip => "clutch slips long",
        Story::Stall => "stalls",
    };
    let described = described(car);
    let shifts = described.each_shift(report.units);
    let which = if launched_as_base(&report.comparison.base, car) { "" } else { " (its own)" };
    html! {
        td.number { (SPAN.text(car.time_s)) }
        td.number { (SPAN.text_or_dash(car.mean_s)) }
        td.number { (car.likely.map_or_else(|| MISSING.to_owned(), |b| band(b.low_s, b.high_s))) }
        td { (described.short(report.units)) (which) }
        td { @if shifts.is_empty() { "no shift" } @else { (shifts.join(", ")) } }
        td { (story) }
    }
}

/// What each change does to the car's values.
pub(super) fn fitted(report: &CompareReport) -> Markup {
    let rows = || report.comparison.changes.iter().zip(report.fitted);
    html! {
        @for (worth, fitted) in rows() { @if !fitted.note.is_empty() { p.note { strong { (worth.label) } ": " (fitted.note) } } }
        (framed_words("What each part changes", html! {
            (head(&["Change", "Key", "As it is", "Changed"]))
            tbody { @for (worth, fitted) in rows() { @for (i, input) in fitted.inputs.iter().enumerate() { tr {
                th scope="row" { @if i == 0 { (worth.label) } }
                td { (input.key) }
                td { @if input.before.is_empty() { (MISSING) } @else { (input.before) } }
                td { (input.after) }
            } } } }
        }))
    }
}

/// What every difference hangs on.
pub(super) fn influences(report: &CompareReport) -> Markup {
    let base = ("time as it is", report.comparison.base_influence.as_ref());
    let changes = report.ranked_changes().into_iter().map(|worth| (worth.label.as_str(), worth.influence.as_ref()));
    let rows: Vec<_> = [base].into_iter().chain(changes).filter_map(|(name, i)| Some((name, i?))).collect();
    html! {
        @if !rows.is_empty() {
            h3 { "What the uncertainty comes from" }
            ul.facts { @for (name, influence) in rows { li {
                strong { (name) } " varies by " (difference(influence.sd_s).trim_start_matches('+')) " (1 sd): "
                (measure_first(Some(influence)).unwrap_or_else(|| "no input stands out".to_owned()))
                "."
            } } }
        }
    }
}
