//! The tables of a sweep.

use bitepoint_runner::sweep::{Figures, Sweep};
use maud::{Markup, html};

use crate::format::{ENERGY, ENGINE_SPEED, MISSING, SPAN, Units};
use crate::page::parts;

use super::shift_story::ShiftRow;
use super::story::Row;

/// Most runs that a page lists; the table that `--csv` writes has all of them.
const MOST_ROWS: usize = 60;

/// The best of each scenario, its window and what goes wrong beside it.
pub(super) fn summary(sweep: &Sweep, rows: &[Row]) -> Markup {
    let table = html! {
        (parts::head(&["Scenario", "Time", "Input", "Best", "Loses < 0.05 s", "Below", "Above"]))
        tbody {
            @for row in rows {
                @if row.along.is_empty() { tr { th scope="row" { (row.scenario) } td.number { (row.time) } td colspan="5" {} } }
                @for (i, (axis, along)) in sweep.axes.iter().zip(&row.along).enumerate() {
                    tr {
                        @if i == 0 { th scope="row" { (row.scenario) } td.number { (row.time) } } @else { th {} td {} }
                        td { (axis.name()) } td.number { (along.best) } td { (along.window) } td { (along.below) } td { (along.above) }
                    }
                }
            }
        }
    };
    html! {
        section {
            h2 { "The best, and the room around it" }
            (parts::framed_words("The quickest start of each scenario", table))
            @for row in rows { p.small { (row.scenario) ": " (row.counts) "." } }
        }
    }
}

/// Every run, or where there are too many evenly picked ones.
pub(super) fn cells(sweep: &Sweep, units: Units) -> Markup {
    let [axis] = &sweep.axes[..] else { return html! {} };
    let every = (axis.len() as usize).div_ceil(MOST_ROWS);
    let figure =
        |figures: Option<&Figures>, text: &dyn Fn(&Figures) -> String| figures.map_or_else(|| MISSING.to_owned(), text);
    html! {
        section {
            h2 { "The runs" }
            @if every > 1 { p.small { "One in " (every) " is listed; " code { "--csv" } " writes all of them." } }
            @for field in &sweep.fields {
                (parts::framed(&field.scenario, html! {
                    (parts::head(&[&axis.name(), "Time", "Start", "Lowest revs", "Slip speed", "Clutch face", "Clutch heat", "Half-shafts"]))
                    tbody {
                        @for (i, cell) in field.cells.iter().enumerate().step_by(every) {
                            tr {
                                th scope="row" { (axis.value(i as u64).text) }
                                td { (SPAN.text_or_dash(cell.time_s)) }
                                td { (cell.fate.name()) }
                                @let figures = cell.figures.as_ref();
                                td { (figure(figures, &|f| ENGINE_SPEED.text(f.lowest_engine_radps))) }
                                td { (figure(figures, &|f| units.speed().text(f.largest_slip_mps))) }
                                td { (figure(figures, &|f| units.temperature().text(f.clutch_face_c))) }
                                td { (figure(figures, &|f| ENERGY.text(f.clutch_energy_j))) }
                                td { (figure(figures, &|f| units.torque().text(f.shaft_torque_nm))) }
                            }
                        }
                    }
                }))
            }
        }
    }
}

/// Shift points, gear by gear.
pub(super) fn shifts(rows: &[ShiftRow]) -> Markup {
    let table = html! {
        (parts::head(&["Shift", "Scenario", "Decide at", "Left at", "Loses < 0.05 s", "Next gear pulls as hard", "So"]))
        tbody {
            @for row in rows {
                tr {
                    th scope="row" { (row.gears) } td { (row.scenario) } td.number { (row.shift_at) } td.number { (row.left_at) }
                    td { (row.window) } td { (row.crossing) } td { (row.verdict) }
                }
            }
        }
    };
    html! { section { h2 { "The shift points" } (parts::framed_words("Where each gear is best left", table)) } }
}
