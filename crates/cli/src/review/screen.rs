//! A review on one screen.

use bitepoint_plot::caution::CAUTIONS;
use bitepoint_plot::format::{ENGINE_SPEED, SPAN, Units, gate_name, time_difference};
use bitepoint_plot::plan::target_text;
use bitepoint_runlog::estimate::Estimate;
use bitepoint_runlog::log::Log;
use bitepoint_runner::review::{Review, Reviewed, SetComparison};
use comfy_table::{Table, presets};

use crate::screen::{plain_spaces, wrapped};

/// Gates in the table of starts.
const SI_GATES: [&str; 4] = ["60 ft", "50 km/h", "100 km/h", "400 m"];
const US_GATES: [&str; 4] = ["60 ft", "30 mph", "60 mph", "1320 ft"];
/// Starts that are told one by one; the report has them all.
const MOST_TOLD: usize = 6;

/// What a review is told from.
pub(crate) struct Told<'a> {
    pub(crate) vehicle_name: &'a str,
    pub(crate) scenario_name: &'a str,
    pub(crate) log: &'a Log,
    pub(crate) review: &'a Review,
    pub(crate) sets: Option<&'a SetComparison>,
    /// What to mind.
    pub(crate) notes: &'a [String],
    pub(crate) units: Units,
}

/// A time with its standard error: "4.21 ± 0.03 s".
fn with_error(estimate: Estimate) -> String {
    format!("{:.2} ± {:.2} s", estimate.value, estimate.sd)
}

/// The review on one screen.
pub(crate) fn screen(told: &Told<'_>) -> String {
    let review = told.review;
    let target = target_text(review.best.target);
    let mut lines = vec![
        format!("{} on {}, {target}: {} in {}", told.vehicle_name, told.scenario_name, starts(review), told.log.name),
        String::new(),
    ];
    lines.extend(table(told));
    lines.push(String::new());
    lines.extend(wrapped("Change next", &change(review)));
    lines.extend(wrapped("Best launch", &best(review)));
    if let Some(spread) = review.spread {
        let sd = spread.sd_s.map_or(String::new(), |sd| format!(", standard deviation {sd:.2} s"));
        let mean =
            format!("start {} is the quickest; mean of {} {:.2} s{sd}", spread.best + 1, spread.starts, spread.mean_s);
        lines.extend(wrapped("Spread", &mean));
    }
    for (i, start) in review.starts.iter().enumerate().take(MOST_TOLD) {
        for line in of_start(start) {
            lines.extend(wrapped(&format!("Start {}", i + 1), &line));
        }
    }
    lines.extend(wrapped("Clutch", &clutch(told)));
    if let Some(sets) = told.sets {
        lines.extend(wrapped("Before, after", &before_after(sets)));
    }
    for untold in &review.untold {
        lines.extend(wrapped("Not told", untold));
    }
    for note in told.notes {
        lines.extend(wrapped("Caution", note));
    }
    lines.extend(wrapped("Caution", &format!("{} {}", CAUTIONS[0], CAUTIONS[3])));
    plain_spaces(&lines.join("\n")) + "\n"
}

fn starts(review: &Review) -> String {
    match review.starts.len() {
        1 => "1 standing start".to_owned(),
        n => format!("{n} standing starts"),
    }
}

fn table(told: &Told<'_>) -> Vec<String> {
    let gates = match told.units {
        Units::Us => US_GATES,
        Units::Si => SI_GATES,
    };
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    let mut head = vec!["Start".to_owned(), "at".to_owned()];
    head.extend(gates.iter().map(|g| gate_name(g).to_owned()));
    head.extend(["with rollout".to_owned(), "gap".to_owned()]);
    table.add_row(head);
    for (i, start) in told.review.starts.iter().enumerate() {
        let mut row = vec![format!("{}", i + 1), format!("{:.1} s", start.run.first_movement_s.value)];
        let passed = |name: &str| start.run.gates.iter().find(|g| g.name == name).and_then(|g| g.passed);
        row.extend(gates.iter().map(|g| passed(g).map_or_else(|| "–".to_owned(), |p| with_error(p.time_s))));
        let rollout = passed(told.review.best.target.gate).and_then(|p| p.with_rollout_s);
        row.push(rollout.map_or_else(|| "–".to_owned(), with_error));
        row.push(start.costs.as_ref().map_or_else(|| "–".to_owned(), |c| time_difference(c.gap_s)));
        table.add_row(row);
    }
    table.lines().map(|line| line.trim_end().to_owned()).collect()
}

fn change(review: &Review) -> String {
    let advice = &review.advice;
    advice.fault.map_or_else(
        || advice.change.clone(),
        |fault| {
            format!(
                "{} ({} in {} of {}; {} a start on the mean)",
                advice.change,
                fault.name(),
                advice.starts,
                starts(review),
                SPAN.text(advice.mean_lost_s)
            )
        },
    )
}

fn best(review: &Review) -> String {
    let launch = &review.best.launch;
    let shifts: Vec<String> = review
        .best
        .run
        .shifts
        .iter()
        .map(|s| format!("{} to {} at {}", s.from_gear, s.from_gear + 1, ENGINE_SPEED.text(s.engine_radps)))
        .collect();
    let shifts = if shifts.is_empty() { "no shift".to_owned() } else { shifts.join(", ") };
    format!(
        "{} by the model: hold {}, pedal up over {:.1} s, {shifts}",
        SPAN.text(review.best.time_s),
        ENGINE_SPEED.text(launch.held_radps),
        launch.release_s
    )
}

fn of_start(start: &Reviewed) -> Vec<String> {
    let mut lines = Vec::new();
    let lost = |i: Option<usize>| start.costs.iter().flat_map(|c| &c.parts).find(|p| p.fault == i).map(|p| p.lost_s);
    for (i, fault) in start.faults.iter().enumerate() {
        let cost = lost(Some(i)).map_or(String::new(), |s| format!(", {}", time_difference(s)));
        lines.push(format!("{} at {:.1} s{cost}: {}", fault.kind.name(), fault.from_s, fault.evidence));
    }
    if let (Some(rest), Some(costs)) = (lost(None), &start.costs) {
        lines.push(format!(
            "not explained (car, air or driver) {}; gap {}",
            time_difference(rest),
            time_difference(costs.gap_s)
        ));
    }
    lines
}

fn clutch(told: &Told<'_>) -> String {
    let heat = &told.review.heat;
    let temperature = told.units.temperature();
    let energy_j: f64 = heat.starts.iter().flatten().map(|h| h.energy_j).sum();
    let hottest = heat.starts.iter().flatten().map(|h| h.face_c).fold(f64::NEG_INFINITY, f64::max);
    if !hottest.is_finite() {
        return "the model stalls with these launches: its heat is not known".to_owned();
    }
    let cool = heat.cool_after_s.map_or("not cool again within hours".to_owned(), |s| {
        format!("cool again {:.0} min after the last", (s / 60.0).ceil())
    });
    let by = if heat.as_launched { "" } else { "; where the log lacks revs or pedal the best launch stands in" };
    format!(
        "{:.0} kJ over the session by the model, face up to {}; {cool}{by}",
        1e-3 * energy_j,
        temperature.text(hottest)
    )
}

fn before_after(sets: &SetComparison) -> String {
    format!(
        "{} over {} and {} starts, 95 % from {} to {} (Welch, p {:.3}; ranks, p {:.3}); to tell 0.05 s takes {} starts in each",
        time_difference(sets.difference_s),
        sets.before,
        sets.after,
        time_difference(sets.low95_s),
        time_difference(sets.high95_s),
        sets.welch_p,
        sets.rank_p,
        sets.runs_to_tell
    )
}
