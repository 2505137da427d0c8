//! A sweep in sentences and rows, each computed from its numbers.

use bitepoint_inputs::scenario_keys as keys;
use bitepoint_runner::sweep::{Along, Axis, Best, Fate, Field, LOSS_S, Side, Sweep, Trouble};
use bitepoint_runner::target::{Clock, Target};

use crate::format::{GATE_TIME, SPAN, count, gate_name};
use crate::page::parts::Figure;

/// What is told of one scenario.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Name of the scenario.
    pub scenario: String,
    /// Time of the quickest start.
    pub time: String,
    /// One for each axis.
    pub along: Vec<RowAlong>,
    /// How the starts went, by number: "12 stall".
    pub counts: String,
}

/// One axis through the quickest start.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowAlong {
    /// Its value there.
    pub best: String,
    /// The stretch that loses less than 0.05 s.
    pub window: String,
    /// What goes wrong below.
    pub below: String,
    /// What goes wrong above.
    pub above: String,
}

/// What is told of each scenario.
#[must_use]
pub fn rows(sweep: &Sweep) -> Vec<Row> {
    sweep
        .fields
        .iter()
        .map(|field| Row {
            scenario: field.scenario.clone(),
            time: field.best.as_ref().map_or_else(|| "not reached".to_owned(), |best| GATE_TIME.text(best.time_s)),
            along: field.best.iter().flat_map(|best| sweep.axes.iter().zip(&best.along)).map(row_along).collect(),
            counts: counts(field),
        })
        .collect()
}

fn row_along((axis, along): (&Axis, &Along)) -> RowAlong {
    RowAlong {
        best: axis.show(along.value_si),
        window: window(axis, along),
        below: troubles(axis, along, &along.below, Side::Lowest),
        above: troubles(axis, along, &along.above, Side::Highest),
    }
}

/// The stretch that loses less than 0.05 s; an end of the range at which it is not known to end has a mark.
pub(super) fn window(axis: &Axis, along: &Along) -> String {
    let number = |si| axis.show_number(si);
    let (open_below, open_above) = (along.window.open_below, along.window.open_above);
    let (from, to) = (number(along.window.from_si), number(along.window.to_si));
    let text =
        format!("{}{from} to {to}{}", if open_below { "≤ " } else { "" }, if open_above { " or more" } else { "" });
    if axis.unit().is_empty() { text } else { format!("{text}\u{a0}{}", axis.unit()) }
}

fn troubles(axis: &Axis, along: &Along, troubles: &[Trouble], side: Side) -> String {
    let told: Vec<String> = troubles
        .iter()
        .take(2)
        .map(|trouble| {
            if trouble.from_si == along.value_si {
                format!("{} from the best on", trouble.fate.name())
            } else {
                format!("{} from {}", trouble.fate.name(), axis.show(trouble.from_si))
            }
        })
        .collect();
    match (told.is_empty(), along.at_end) {
        (false, _) => told.join(", "),
        (true, end) if end == Some(side) => "end of the range: not known".to_owned(),
        (true, _) => "only slower".to_owned(),
    }
}

/// How the starts went, by number.
fn counts(field: &Field) -> String {
    let each: Vec<String> =
        field.counts().iter().map(|c| format!("{}\u{a0}{}", c.cells, c.fate.name().replace(' ', "\u{a0}"))).collect();
    each.join(", ")
}

/// The gate and the clock: "0–60 mph", "1/4 mile with rollout".
#[must_use]
pub fn target_name(target: Target) -> String {
    let gate = match target.mark().mark {
        bitepoint_physics::timing::Mark::SpeedMps(_) => format!("0–{}", target.gate),
        bitepoint_physics::timing::Mark::DistanceM(_) => gate_name(target.gate).to_owned(),
    };
    match target.clock {
        Clock::FirstMovement => gate,
        Clock::Rollout => format!("{gate} with rollout"),
    }
}

/// When the clock starts.
pub(super) fn clock(target: Target) -> &'static str {
    match target.clock {
        Clock::FirstMovement => "from the car's first movement",
        Clock::Rollout => "from the end of the rollout",
    }
}

/// What an axis is, for a title: "Engine speed held before the start, rpm".
pub(super) fn axis_title(axis: &Axis) -> String {
    let about = match axis.item() {
        Some(gear) if *axis.key() == keys::SHIFT_AT => format!("Engine speed at which gear {gear} is left"),
        Some(item) => format!("{} of gear {item}", clause(axis.about())),
        None => clause(axis.about()).to_owned(),
    };
    if axis.unit().is_empty() { about } else { format!("{about}, {}", axis.unit()) }
}

/// A description up to where it goes into detail.
fn clause(about: &str) -> &str {
    about.split([',', ';', ':']).next().unwrap_or(about)
}

/// What to do, for the keys of a launch; for others their name.
fn advice(axis: &Axis, value: &str) -> String {
    let value = value.replace(' ', "\u{a0}");
    if *axis.key() == keys::REVS {
        format!("hold {value}")
    } else if *axis.key() == keys::RELEASE_TIME {
        format!("let the clutch in over {value}")
    } else if *axis.key() == keys::THROTTLE_EASE {
        format!("ease the throttle in over {value}")
    } else {
        format!("{} {value}", axis.name())
    }
}

/// What the sweep says, in one line.
#[must_use]
pub fn headline(sweep: &Sweep) -> String {
    let each: Vec<String> = sweep
        .fields
        .iter()
        .map(|field| match &field.best {
            None => format!("{}: no start reaches the target", field.scenario),
            Some(best) => {
                let values = sweep.axes.iter().zip(&best.along);
                let advice: Vec<String> =
                    values.map(|(axis, along)| advice(axis, &axis.show(along.value_si))).collect();
                format!("{}: {}", field.scenario, advice.join(", "))
            }
        })
        .collect();
    each.join("; ")
}

/// The quickest start of each scenario, large.
pub(super) fn figures(sweep: &Sweep) -> Vec<Figure> {
    sweep.fields.iter().filter_map(|field| field.best.as_ref().map(|best| figure(sweep, field, best))).collect()
}

fn figure(sweep: &Sweep, field: &Field, best: &Best) -> Figure {
    let notes = sweep
        .axes
        .iter()
        .zip(&best.along)
        .map(|(axis, along)| match sweep.axes.len() {
            1 => format!("at {}; {} loses under {}", axis.show(along.value_si), window(axis, along), SPAN.text(LOSS_S)),
            _ => format!("{}: {}", axis.name(), axis.show(along.value_si)),
        })
        .collect();
    Figure { label: field.scenario.clone(), value: GATE_TIME.number(best.time_s), unit: "s", notes }
}

/// What to mind in reading the result.
#[must_use]
pub fn notes(sweep: &Sweep) -> Vec<String> {
    let mut notes = Vec::new();
    for field in &sweep.fields {
        let name = &field.scenario;
        let Some(best) = &field.best else {
            notes.push(format!("{name}: none of the {} starts reaches the target.", field.cells.len()));
            continue;
        };
        for (axis, along) in sweep.axes.iter().zip(&best.along) {
            let end = match along.at_end {
                Some(Side::Lowest) => "lowest",
                Some(Side::Highest) => "highest",
                None => continue,
            };
            notes.push(format!(
                "{name}: the best is at {}, the {end} value of {} that was tried. Something better may lie beyond: widen the range.",
                axis.show(along.value_si),
                axis.name()
            ));
        }
        if best.fate == Fate::Burn {
            notes.push(format!("{name}: even the quickest start harms the clutch for good. Do not start like this."));
        }
        let burns = field.cells.iter().filter(|c| c.fate == Fate::Burn).count();
        if burns > 0 && best.fate != Fate::Burn {
            notes.push(format!(
                "{name}: {} would harm the clutch for good.",
                count(burns, "of these starts", "of these starts")
            ));
        }
    }
    notes
}
