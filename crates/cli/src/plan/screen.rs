//! Plans on one screen, the days side by side.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::SPAN;
use bitepoint_plot::plan::{PlanDay, PlanReport, target_text, words};
use bitepoint_runner::plan::{Decision, Window};
use comfy_table::{ColumnConstraint, ContentArrangement, Table, Width, presets};

use crate::screen::{noted, plain_spaces, wrapped};

/// The screen is this wide; labels take so much of it.
const SCREEN: u16 = 100;
const LABELS: u16 = 16;

/// The plans on one screen.
pub(crate) fn screen(report: &PlanReport<'_>) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic).set_width(SCREEN);
    let mut head = vec![String::new()];
    head.extend(report.days.iter().map(|day| day.name.to_owned()));
    table.add_row(head);
    for (label, of) in ROWS {
        let cells: Vec<String> = report.days.iter().map(|day| of(report, day)).collect();
        if cells.iter().any(|cell| !cell.is_empty()) {
            table.add_row(std::iter::once((*label).to_owned()).chain(cells));
        }
    }
    let days = report.days.len().max(1) as u16;
    let each = ((SCREEN - LABELS) / days).max(20);
    let widths = std::iter::once(LABELS).chain(std::iter::repeat_n(each, usize::from(days)));
    table.set_constraints(widths.map(|w| ColumnConstraint::Absolute(Width::Fixed(w))));
    let mut lines = vec![format!("{}, {}", report.vehicle_name, target_text(report.target)), String::new()];
    lines.extend(table.lines().map(|line| line.trim_end().to_owned()));
    lines.push(String::new());
    let several = report.days.len() > 1;
    for day in report.days {
        if several {
            lines.push(day.name.to_owned());
        }
        lines.extend(efforts(report, day));
        lines.push(String::new());
    }
    lines.push("Shafts: peak torque, of what full throttle in first gear gives steadily.".to_owned());
    lines.push(String::new());
    for day in report.days {
        for note in day.notes {
            let note = if several { format!("{}: {note}", day.name) } else { note.clone() };
            lines.extend(noted(&note));
        }
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

type Row = (&'static str, fn(&PlanReport<'_>, &PlanDay<'_>) -> String);

const ROWS: &[Row] = &[
    ("Launch", |report, day| words::described(day.plan).paragraph(report.units)),
    ("Expected", |_, day| {
        let expected = &day.plan.driver.expected;
        format!("{}; {}", SPAN.text(expected.mean_s), words::failed(expected))
    }),
    ("90 %", |_, day| words::bands(day.plan).map(|(covers, band)| format!("{band} {covers}")).join("; ")),
    ("60 ft", |_, day| words::sixty_feet(day.plan).unwrap_or_default()),
    ("Within 0.05 s", |report, day| {
        each(day, |window| {
            format!("{} {}", words::name(window.decision).to_lowercase(), words::window(window, report.units))
        })
    }),
    ("If you miss", |report, day| each(day, |window| words::miss(window, report.units))),
    ("If it spins", |report, day| words::change(day.plan.other_grip[0].change, report.units)),
    ("If it bogs", |report, day| words::change(day.plan.other_grip[1].change, report.units)),
    ("If it slips", |_, day| words::against_slip(&day.plan.driver)),
    ("Clutch", |report, day| words::clutch(day.plan, report.units)),
    ("Time lost to", |_, day| words::lost(day.plan)),
    ("Bound", |_, day| words::bound(day.plan)),
];

/// The decisions that a driver can miss.
const MISSED: [Decision; 4] = [Decision::HeldRevs, Decision::KeptRevs, Decision::ReleaseTime, Decision::PartThrottle];

fn each(day: &PlanDay<'_>, say: impl Fn(&Window) -> String) -> String {
    let windows = &day.plan.driver.windows;
    let of = MISSED.into_iter().filter_map(|decision| windows.iter().find(|w| w.decision == decision));
    of.map(say).collect::<Vec<_>>().join("; ")
}

/// The three efforts of a day as a table.
fn efforts(report: &PlanReport<'_>, day: &PlanDay<'_>) -> Vec<String> {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic).set_width(SCREEN);
    table.add_row(["Effort", "Time", "Hold", "Clutch", "Face", "Shafts", "What it costs the car"]);
    for row in words::efforts(day.plan, report.units) {
        table.add_row([row.name, row.time, row.revs, row.heat, row.face, row.shaft, row.costs]);
    }
    table.lines().map(|line| line.trim_end().to_owned()).collect()
}
