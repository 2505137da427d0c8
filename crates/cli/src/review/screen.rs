//! A review on one screen.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::{gate_name, time_difference};
use bitepoint_plot::plan::target_text;
use bitepoint_plot::review::ReviewReport;
use bitepoint_plot::review::change::{change, wins};
use bitepoint_plot::review::words::{before_after, best, clutch, corrected, faults, gap, starts, with_error};
use bitepoint_runner::review::Reviewed;
use comfy_table::{Table, presets};

use crate::screen::{noted, plain_spaces, wrapped};

/// Starts that are told one by one; the report has them all.
const MOST_TOLD: usize = 6;

/// The review on one screen.
pub(crate) fn screen(told: &ReviewReport<'_>) -> String {
    let review = told.review;
    let target = target_text(review.best.target);
    let mut lines = vec![
        format!("{} on {}, {target}: {} in {}", told.vehicle_name, told.scenario_name, starts(review), told.log_name),
        String::new(),
    ];
    lines.extend(table(told));
    lines.push(String::new());
    for doubt in told.doubts {
        lines.extend(wrapped("Doubtful", doubt));
    }
    lines.extend(wrapped("Change next", &format!("{} {}", change(review, told.units), wins(review))));
    lines.extend(wrapped("Best launch", &best(&review.best, told.units)));
    if let Some(spread) = review.spread {
        let sd = spread.sd_s.map_or(String::new(), |sd| format!(", standard deviation {sd:.2} s"));
        let mean =
            format!("start {} is the quickest; mean of {} {:.2} s{sd}", spread.best + 1, spread.starts, spread.mean_s);
        lines.extend(wrapped("Spread", &mean));
    }
    for (i, start) in review.starts.iter().enumerate().take(MOST_TOLD) {
        lines.extend(wrapped(&format!("Start {}", i + 1), &gap(start, &review.best, told.units)));
        for fault in faults(start, &review.best, told.units) {
            lines.extend(wrapped("", &fault));
        }
    }
    lines.extend(wrapped("Clutch", &clutch(review, told.units)));
    if let Some(study) = told.corrected {
        lines.extend(wrapped("Corrected", &corrected(study)));
    }
    if let Some(sets) = told.sets {
        lines.extend(wrapped("Compared", &before_after(sets)));
    }
    for untold in &review.untold {
        lines.extend(wrapped("Not shown", untold));
    }
    for note in told.notes {
        lines.extend(noted(note));
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

fn table(told: &ReviewReport<'_>) -> Vec<String> {
    let passed = |start: &Reviewed, name: &str| start.run.gates.iter().find(|g| g.name == name).and_then(|g| g.passed);
    let gates = told.gates();
    let dash = || "–".to_owned();
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    let mut head = vec!["Start".to_owned(), "at, s".to_owned()];
    head.extend(gates.iter().map(|g| format!("{}, s", gate_name(g))));
    head.extend(["with rollout, s".to_owned(), "gap".to_owned()]);
    table.add_row(head);
    for (i, start) in told.review.starts.iter().enumerate() {
        let mut row = vec![format!("{}", i + 1), format!("{:.1}", start.run.first_movement_s.value)];
        row.extend(gates.iter().map(|g| passed(start, g).map_or_else(dash, |p| with_error(p.time_s))));
        let rollout = passed(start, told.review.best.target.gate).and_then(|p| p.with_rollout_s);
        row.push(rollout.map_or_else(dash, with_error));
        row.push(start.costs.as_ref().map_or_else(dash, |c| time_difference(c.gap_s)));
        table.add_row(row);
    }
    table.lines().map(|line| line.trim_end().to_owned()).collect()
}
