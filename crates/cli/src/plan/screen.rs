//! Plans on one screen, the days side by side.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::{ENERGY, GATE_TIME, SPAN, band};
use bitepoint_plot::plan::{PlanDay, PlanReport, target_text, words};
use bitepoint_runner::plan::{Choice, Decision};
use comfy_table::{ColumnConstraint, ContentArrangement, Table, Width, presets};

use crate::screen::{plain_spaces, wrapped};

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
        for note in day.notes {
            let note = if several { format!("{}: {note}", day.name) } else { note.clone() };
            lines.extend(wrapped("Caution", &note));
        }
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

type Row = (&'static str, fn(&PlanReport<'_>, &PlanDay<'_>) -> String);

const ROWS: &[Row] = &[
    ("Hold", |report, day| with_window(report, day, Decision::HeldRevs)),
    ("Clutch up", |report, day| {
        let shape = words::release_shape(day.plan.driver.launch.release_shape);
        format!("{}, {shape}", with_window(report, day, Decision::ReleaseTime))
    }),
    ("Throttle", |report, day| words::throttle_text(day.plan, &day.plan.driver.launch, report.units)),
    ("Shift", |report, day| {
        let shifts = words::shifts(&day.plan.driver, report.units);
        if shifts.is_empty() { "not before the gate".to_owned() } else { shifts.join(", ") }
    }),
    ("Expected", |_, day| {
        let expected = &day.plan.driver.expected;
        let most = expected.band.map_or(String::new(), |b| format!(", most {}", band(b.low_s, b.high_s)));
        format!("{}{most}; {}", GATE_TIME.text(expected.mean_s), words::botched(&day.plan.driver))
    }),
    ("As planned", |_, day| GATE_TIME.text(day.plan.driver.time_s)),
    ("Best possible", |report, day| {
        let best = &day.plan.best;
        format!(
            "{} at {} and {}: {} expected of this driver",
            GATE_TIME.text(best.time_s),
            words::value(Decision::HeldRevs, best.launch.held_radps, report.units),
            words::value(Decision::ReleaseTime, best.launch.release_s, report.units),
            GATE_TIME.text(best.expected.mean_s)
        )
    }),
    ("Its windows", |report, day| {
        let each = [Decision::HeldRevs, Decision::ReleaseTime].map(|d| window(report, &day.plan.best, d));
        each.join(", ")
    }),
    ("Errors cost", |report, day| {
        let driver = &day.plan.driver;
        let each = [Decision::HeldRevs, Decision::ReleaseTime, Decision::ThrottleEase, Decision::PartThrottle]
            .map(|d| costs(report, driver, d));
        each.join("; ")
    }),
    ("Bound", |_, day| {
        day.plan.driver.standing.as_ref().map_or(String::new(), |s| {
            format!(
                "{} ({} with these shifts), {} under the plan",
                SPAN.text(s.traction_and_power_s),
                SPAN.text(s.with_shifts_s),
                SPAN.text(s.run_s - s.traction_and_power_s)
            )
        })
    }),
    ("Lost to", |_, day| words::lost(day.plan)),
    ("Wheels spin", |report, day| words::change(day.plan.other_grip[0].change, report.units)),
    ("Engine bogs", |report, day| words::change(day.plan.other_grip[1].change, report.units)),
    ("Clutch slips", |_, day| words::against_slip(&day.plan.driver)),
    ("Clutch", |report, day| {
        let peaks = &day.plan.driver.run.peaks;
        format!(
            "{}, face to {}; {}; {}",
            ENERGY.decimals(0).text(peaks.clutch_energy_j),
            report.units.temperature().text(peaks.clutch_face_c),
            words::pause(&day.plan.cooling),
            words::in_a_row(&day.plan.cooling)
        )
    }),
];

fn window(report: &PlanReport<'_>, choice: &Choice, decision: Decision) -> String {
    let window = choice.windows.iter().find(|w| w.decision == decision);
    window.map_or(String::new(), |w| words::window(w, report.units))
}

fn with_window(report: &PlanReport<'_>, day: &PlanDay<'_>, decision: Decision) -> String {
    let choice = &day.plan.driver;
    let value = words::value(decision, decision.of(&choice.launch), report.units);
    format!("{value} (good from {})", window(report, choice, decision))
}

fn costs(report: &PlanReport<'_>, choice: &Choice, decision: Decision) -> String {
    let window = choice.windows.iter().find(|w| w.decision == decision);
    let name = words::name(decision).to_lowercase();
    window.map_or(String::new(), |w| format!("{name} {}", words::costs(w, report.units)))
}
