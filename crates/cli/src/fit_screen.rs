//! A fit on one screen.

use bitepoint_plot::fit::FitReport;
use bitepoint_plot::format::SPAN;
use bitepoint_runner::fit::Told;
use comfy_table::{Table, presets};

use crate::screen::{noted, plain_spaces, wrapped};

/// Values that the logs tell, before and after.
fn table(report: &FitReport) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(["", "before", "after", "told"]);
    for input in report.fit.inputs.iter().filter(|i| i.told.is_news()) {
        let value = |after| report.value(input, after);
        table.add_row([input.key.clone(), value(false), value(true), short(input.told).to_owned()]);
    }
    table.to_string()
}

fn short(told: Told) -> &'static str {
    match told {
        Told::Well => "well",
        Told::Partly => "in part",
        Told::Together => "not alone",
        Told::Not => "no",
        Told::AtLimit => "too far",
    }
}

/// The fit on one screen.
pub(crate) fn screen(report: &FitReport) -> String {
    let fit = report.fit;
    let mut lines = vec![format!("{} — {}", report.vehicle_name, report.headline()), String::new()];
    for note in report.notes {
        lines.extend(noted(note));
    }
    lines.extend(table(report).lines().map(|line| line.trim_end().to_owned()));
    lines.push(String::new());
    if let Some(text) = report.road_load_text() {
        lines.extend(wrapped("Road load", &text));
    }
    for pair in fit.together.iter().take(6) {
        lines.extend(wrapped(
            "Together",
            &format!("{} only together with {} (correlation {:.2})", pair.one, pair.other, pair.correlation),
        ));
    }
    if fit.inputs.iter().any(|i| i.told == Told::Not) {
        lines.extend(wrapped("Not told", &report.not_told_text(8)));
    }
    for left in &fit.left_out {
        let before = left.before_s.map_or_else(|| "not reached".to_owned(), |s| SPAN.text(s));
        lines.extend(wrapped(
            "Left out",
            &format!(
                "start {}, foretold from the others: {} to {}, measured {} (with the file as it was {before})",
                left.start + 1,
                SPAN.text(left.foretold_s),
                report.units.speed().text(left.to_mps),
                SPAN.text(left.measured_s)
            ),
        ));
    }
    for refused in &fit.refused {
        lines
            .extend(wrapped("Not taken", &format!("{}: start at {:.1} s: {}", refused.log, refused.at_s, refused.why)));
    }
    for note in &fit.notes {
        lines.extend(wrapped("Mind", note));
    }
    plain_spaces(&lines.join("\n")) + "\n"
}
