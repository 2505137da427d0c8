//! What a comparison looks like on a terminal: one screen.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::compare::CompareReport;
use bitepoint_plot::compare::words::{
    base, costs, difference, gain, launches, measure_first, money, sorted, span, together, within_scatter,
};
use bitepoint_plot::format::{SHARE, SPAN};
use bitepoint_runner::compare::Worth;
use comfy_table::{CellAlignment, Table, presets};

use crate::screen::{noted, plain_spaces, wrapped};

/// The comparison on one screen.
pub(super) fn summary(report: &CompareReport) -> String {
    let comparison = report.comparison;
    let mut lines = wrapped("", &format!("{} ({})", base(report), report.scenario_name));
    if let Some(first) = lines.first_mut() {
        *first = first.trim_start().to_owned();
    }
    lines.push(format!("Your own starts scatter by {} (1 sd).", SPAN.text(comparison.driver.sd_s)));
    for note in report.notes {
        lines.extend(noted(note));
    }
    lines.extend(wrapped("Launched", &launches(report)));
    lines.push(String::new());
    lines.extend(table(report).lines().map(|line| line.trim_end().to_owned()));
    lines.push(String::new());
    if let Some(text) = together(report) {
        lines.extend(wrapped("Together", &text));
    }
    for (head, text) in sorted(report) {
        lines.extend(wrapped(head, &text));
    }
    if let Some(text) = within_scatter(report) {
        lines.extend(wrapped("Scatter", &text));
    }
    for worth in all(report) {
        let costs = costs(report, worth);
        if !costs.is_empty() {
            lines.extend(wrapped("Side effect", &format!("{}: {}", worth.label, costs.join("; "))));
        }
    }
    if let Some(text) = measure_first(comparison.base_influence.as_ref()) {
        lines.extend(wrapped("Measure", &format!("the biggest unknowns of the time are {text}")));
    }
    let best = report.ranked_changes().into_iter().find_map(|w| Some((w, measure_first(w.influence.as_ref())?)));
    if let Some((worth, text)) = best {
        lines.extend(wrapped(
            "Measure",
            &format!("the biggest unknowns of the difference made by {} are {text}", worth.label),
        ));
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

fn all<'a>(report: &'a CompareReport) -> Vec<&'a Worth> {
    report.ranked_changes().into_iter().chain(report.comparison.together.iter().map(|t| &t.worth)).collect()
}

fn table(report: &CompareReport) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    let mut head = vec!["change", "as estimated", "mean", "90 % (car)", "quicker in"];
    let priced = report.comparison.changes.iter().any(|change| change.price.is_some());
    if priced {
        head.extend(["price", "for the money"]);
    }
    table.set_header(head.clone());
    for worth in all(report) {
        let mut row = vec![
            worth.label.clone(),
            worth.difference.and_then(|d| d.as_expected_s).map_or_else(String::new, difference),
            worth.difference.map_or_else(|| "does not arrive".to_owned(), |d| difference(d.mean_s)),
            worth.difference.map_or_else(String::new, |d| span(d.likely)),
            worth.difference.map_or_else(String::new, |d| SHARE.text(d.quicker_share)),
        ];
        if priced {
            row.extend([money(worth.price.as_ref()), gain(report, worth, false)]);
        }
        table.add_row(row);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_cell_alignment(if i == 0 { CellAlignment::Left } else { CellAlignment::Right });
    }
    table.to_string()
}
