//! The tables of the page.

use bitepoint_physics::bounds::Standing;
use bitepoint_physics::run::Limit;
use maud::{Markup, html};

use crate::format::{ENERGY, ENGINE_SPEED, GATE_TIME, MISSING, SHARE, SPAN, band, gate_name, time_difference};
use crate::page::parts::{framed, head};

use super::report::{Band, InputRow, RunReport, is_place};

/// The run's own tables, those that have a row.
pub(super) fn numbers(report: &RunReport) -> Markup {
    html! {
        section {
            h2 { "The numbers" }
            (gates(report))
            (rolling(report))
            (shifts(report))
            (standings(report))
            (energy(report))
        }
    }
}

fn spread(spread: Option<Band>) -> String {
    spread.map_or_else(|| MISSING.to_owned(), |spread| band(spread.low_s, spread.high_s))
}

fn gates(report: &RunReport) -> Markup {
    let mut passed: Vec<_> = report.run.gates.iter().filter_map(|gate| Some((gate, gate.passed?))).collect();
    passed.sort_by(|a, b| is_place(b.0.mark).cmp(&is_place(a.0.mark)).then(a.1.time_s.total_cmp(&b.1.time_s)));
    let missed: Vec<&str> =
        report.run.gates.iter().filter(|gate| gate.passed.is_none()).map(|gate| gate_name(gate.name)).collect();
    let banded = !report.bands.is_empty();
    let mut columns = vec!["Mark", "From first movement"];
    if banded {
        columns.push("90 % (both)");
    }
    columns.push("With rollout");
    if banded {
        columns.push("90 % (both)");
    }
    columns.extend(["Speed", "Distance", "Trap speed"]);
    html! {
        @if passed.is_empty() { p { "No mark was reached." } } @else {
            (framed("Marks", html! {
                (head(&columns))
                tbody { @for (gate, at) in passed { tr {
                    th scope="row" { (gate_name(gate.name)) }
                    td { (GATE_TIME.text(at.time_s)) }
                    @if banded { td { (spread(report.band(gate.name).map(|b| b.from_movement))) } }
                    td { (GATE_TIME.text_or_dash(at.with_rollout_s)) }
                    @if banded { td { (spread(report.band(gate.name).and_then(|b| b.with_rollout))) } }
                    td { (report.units.speed().text(at.speed_mps)) }
                    td { (report.units.distance().text(at.distance_m)) }
                    td { @if is_place(gate.mark) { (report.units.trap_speed().text_or_dash(report.trap_mps(gate.name))) } @else { (MISSING) } }
                } } }
            }))
        }
        @if !missed.is_empty() { p.small { "Not reached: " (missed.join(", ")) "." } }
    }
}

fn rolling(report: &RunReport) -> Markup {
    let rows: Vec<_> = report.run.rolling.iter().filter_map(|pair| Some((pair.name, pair.time_s?))).collect();
    html! {
        @if !rows.is_empty() {
            (framed("Between speeds", html! {
                (head(&["From and to", "Time"]))
                tbody { @for (name, time_s) in rows { tr { th scope="row" { (name) } td { (GATE_TIME.text(time_s)) } } } }
            }))
        }
    }
}

fn shifts(report: &RunReport) -> Markup {
    html! {
        @if !report.run.shifts.is_empty() {
            (framed("Shifts", html! {
                (head(&["Gears", "Begins at", "Engine", "Road", "Takes", "On the limiter before"]))
                tbody { @for shift in &report.run.shifts { tr {
                    th scope="row" { (shift.from_gear) " to " (shift.from_gear + 1) }
                    td { (SPAN.text(shift.time_s)) }
                    td { (ENGINE_SPEED.text(shift.engine_radps)) }
                    td { (report.units.speed().text(shift.speed_mps)) }
                    td { (SPAN.text_or_dash(shift.duration_s)) }
                    td { (SPAN.text(shift.on_limiter_s)) }
                } } }
            }))
        }
    }
}

fn standings(report: &RunReport) -> Markup {
    let standings = report.standings;
    let row = |name: &str, value: &dyn Fn(&Standing) -> String| {
        html! { tr { th scope="row" { (name) } @for standing in standings { td { (value(standing)) } } } }
    };
    html! {
        @if !standings.is_empty() {
            (framed("Against the theoretical limit", html! {
                thead { tr { th scope="col" { "To" } @for standing in standings { th scope="col" { (gate_name(standing.gate)) } } } }
                tbody {
                    (row("This run", &|s| SPAN.text(s.run_s)))
                    (row("Theoretical limit: perfect grip, peak power throughout", &|s| SPAN.text(s.traction_and_power_s)))
                    (row("With this gearbox's shifts", &|s| SPAN.text(s.with_shifts_s)))
                    @for (i, limit) in Limit::ALL.into_iter().enumerate().filter(|(i, _)| standings.iter().any(|s| s.lost_s[*i] != 0.0)) {
                        (row(&format!("Time lost to the {}", limit.name()), &|s| time_difference(s.lost_s[i])))
                    }
                }
            }))
        }
    }
}

fn energy(report: &RunReport) -> Markup {
    let e = &report.run.energy;
    let rows = [
        ("Engine work", e.engine_work_j),
        ("Engine's own motion at the beginning", e.engine_kinetic_start_j),
        ("Car's motion at the end", e.translation_j),
        ("Engine and gearbox, turning", e.engine_and_gearbox_j),
        ("Wheels and final drive, turning", e.wheels_j),
        ("Height gained", e.height_j),
        ("Air drag", e.aero_j),
        ("Rolling resistance", e.rolling_j),
        ("Tyre slip", e.tyre_slip_j),
        ("Clutch slip", e.clutch_j),
        ("Driveline", e.driveline_j),
        ("Wound up in the shafts", e.shafts_j),
        ("Left over by the arithmetic", e.residual_j),
    ];
    html! {
        (framed("Energy", html! {
            (head(&["Account", "Energy", "Share of engine work"]))
            tbody { @for (name, energy_j) in rows { tr {
                th scope="row" { (name) }
                td { (ENERGY.text(energy_j)) }
                td { (SHARE.decimals(1).text(if e.engine_work_j > 1.0 { energy_j / e.engine_work_j } else { f64::NAN })) }
            } } }
        }))
    }
}

/// Every input, below the part that it belongs to.
pub(super) fn inputs(report: &RunReport) -> Markup {
    let (given, estimated): (Vec<&InputRow>, Vec<&InputRow>) = report.inputs.iter().partition(|row| row.given);
    html! {
        @if !report.inputs.is_empty() {
            section {
                h2 { "What went in" }
                p { (given.len()) " of " (report.inputs.len()) " values were given; the others are estimated by the rule named beside them. "
                    "Giving more of them narrows the bands." }
                @if !given.is_empty() { (inputs_table("Inputs, given", report, &given)) }
                // They run to many pages and are looked up rather than read.
                details {
                    summary { "Show the " (estimated.len()) " estimated values, with rule and source" }
                    (inputs_table("Inputs, estimated", report, &estimated))
                }
            }
        }
    }
}

fn inputs_table(caption: &str, report: &RunReport, rows: &[&InputRow]) -> Markup {
    html! {
        // Roles are said because a telephone shows these rows as blocks, which takes the table's own away.
        table.inputs role="table" {
            caption { h3 { (caption) } }
            thead role="rowgroup" { tr role="row" {
                @for column in ["Input", "Value and spread", "Where it comes from"] { th scope="col" role="columnheader" { (column) } }
            } }
            @for part in rows.chunk_by(|a, b| a.part == b.part) {
                tbody role="rowgroup" {
                    tr.part role="row" { th scope="rowgroup" role="rowheader" colspan="3" { (part[0].part) } }
                    @for row in part { (input(report, row)) }
                }
            }
        }
    }
}

fn input(report: &RunReport, row: &InputRow) -> Markup {
    html! {
        tr role="row" {
            th scope="row" role="rowheader" {
                // Long keys may be parted where their words are.
                @for word in row.key.split_inclusive(['.', '_']) { (word) wbr; }
            }
            td role="cell" {
                (row.value(report.units))
                @if !row.spread(report.units).is_empty() { " " span.spread { (row.spread(report.units)) } }
            }
            td role="cell" {
                @if row.given { strong { "given" } } @else {
                    em { "estimated" } ": " (row.rule)
                    @if !row.origin.is_empty() { " (" (row.origin) ")" }
                }
            }
        }
    }
}
