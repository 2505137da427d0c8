//! What a sweep looks like on a terminal: one screen.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::Units;
use bitepoint_plot::sweep::{recommendations, rows, shift_rows, target_name};
use bitepoint_runner::sweep::{ShiftStudy, Sweep};
use comfy_table::{ContentArrangement, Table, presets};

use crate::screen::{noted, plain_spaces, wrapped};

/// Width where there is no terminal to ask.
const PIPE_WIDTH: u16 = 120;

/// A sweep on one screen.
pub(crate) fn sweep(sweep: &Sweep, notes: &[String], units: Units) -> String {
    let varied: Vec<String> = sweep
        .axes
        .iter()
        .map(|axis| {
            let (first, last) = (axis.value(0).si, axis.value(axis.len() - 1).si);
            format!("{} from {} to {} ({} values)", axis.name(), axis.show_number(first), axis.show(last), axis.len())
        })
        .collect();
    let mut table = table(&["", "time", "input", "best", "loses < 0.05 s", "below", "above"]);
    let mut counts = Vec::new();
    for row in rows(sweep) {
        let mut lead = [row.scenario.clone(), row.time.clone()];
        for (axis, along) in sweep.axes.iter().zip(row.along) {
            let [scenario, time] = std::mem::take(&mut lead);
            table.add_row([scenario, time, axis.name(), along.best, along.window, along.below, along.above]);
        }
        if !lead[0].is_empty() {
            table.add_row(lead);
        }
        counts.push(format!("{}: {}", row.scenario, row.counts));
    }
    let head = format!("{} — {}; {}", sweep.vehicle, target_name(sweep.target), varied.join(", "));
    let mut lines = vec![head, String::new(), table.to_string(), String::new()];
    lines.extend(wrapped("Starts", &counts.join("; ")));
    let one = sweep.fields.len() == 1;
    for (scenario, launch) in recommendations(sweep, units) {
        lines.extend(wrapped("Recommended", &if one { launch } else { format!("{scenario}: {launch}") }));
    }
    closed(lines, notes)
}

/// A study of shift points on one screen.
pub(crate) fn shifts(study: &ShiftStudy, notes: &[String]) -> String {
    let mut table = table(&["shift", "", "shift at", "left at", "loses < 0.05 s", "next gear pulls as hard", "so"]);
    for row in shift_rows(study) {
        table.add_row([row.gears, row.scenario, row.shift_at, row.left_at, row.window, row.crossing, row.verdict]);
    }
    let head = format!("{} — {}; engine speed at which each gear is left", study.vehicle, target_name(study.target));
    closed(vec![head, String::new(), table.to_string(), String::new()], notes)
}

fn table(heads: &[&str]) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic);
    if table.width().is_none() {
        table.set_width(PIPE_WIDTH);
    }
    table.set_header(heads);
    table
}

/// Notes and cautions below what was said.
fn closed(mut lines: Vec<String>, notes: &[String]) -> String {
    for note in notes {
        lines.extend(noted(note));
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    // Columns leave blanks at the ends of lines.
    let text = lines.join("\n");
    let trimmed: Vec<&str> = text.lines().map(str::trim_end).collect();
    plain_spaces(&trimmed.join("\n")) + "\n"
}
