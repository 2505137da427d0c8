//! The conditions on one screen.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::conditions::{ConditionsReport, paragraphs, words};
use bitepoint_runner::conditions::Condition;
use comfy_table::{CellAlignment, Table, presets};

use crate::screen::{noted, plain_spaces, wrapped};

/// The screen.
pub(crate) fn screen(report: &ConditionsReport<'_>) -> String {
    let study = report.study;
    let mut lines = vec![
        format!(
            "{} — {}, {}",
            study.resolved.vehicle.name,
            study.resolved.scenario.name,
            words::to_gate(study.request.target)
        ),
        String::new(),
    ];
    lines.extend(wrapped("Corrected", &format!("{}.", words::headline(report))));
    lines.push(String::new());
    lines.extend(table(report).lines().map(|line| line.trim_end().to_owned()));
    lines.push(String::new());
    for line in words::both_ways(study) {
        lines.extend(wrapped("Both ways", &line));
    }
    lines.extend(wrapped("To print", &paragraphs(report)[0]));
    lines.push(String::new());
    for note in report.notes {
        lines.extend(noted(note));
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

fn table(report: &ConditionsReport<'_>) -> String {
    let (study, units) = (report.study, report.units);
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(["", "this run", "reference", "adds", "each", "changes the time by", "90 % (car)"]);
    let shares = study.both_ways.as_ref().map_or(&study.correction.shares, |both| &both.shares);
    let shares = words::share_list(shares);
    for condition in Condition::ALL {
        let adds = shares.iter().find(|(c, _)| *c == condition).map_or("–", |(_, seconds)| seconds);
        let value = |conditions| words::value(condition, conditions, study.model.distance_m, units);
        let (seconds, band, unit) = words::per_unit(study, units, condition).unwrap_or_default();
        table.add_row([
            words::condition_heading(condition).split(',').next().unwrap_or_default().to_owned(),
            value(&study.day),
            value(&study.request.reference.conditions),
            adds.to_owned(),
            unit,
            seconds,
            band,
        ]);
    }
    for column in table.column_iter_mut().skip(1) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    table.to_string()
}
