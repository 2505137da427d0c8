//! A sweep in sentences and rows, each computed from its numbers.

use bitepoint_inputs::scenario_keys as keys;
use bitepoint_physics::run::Story;
use bitepoint_runner::plan::Decision;
use bitepoint_runner::sweep::{Along, Axis, Best, Fate, Field, LOSS_S, Recommendation, Side, Sweep, Times, Trouble};
use bitepoint_runner::target::{Clock, Target};

use crate::format::{SPAN, Units, count, gate_name};
use crate::launch::Described;
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
            time: field.best.as_ref().map_or_else(|| "not reached".to_owned(), |best| SPAN.text(best.time_s)),
            along: field.best.iter().flat_map(|best| sweep.axes.iter().zip(&best.along)).map(row_along).collect(),
            counts: counts(field),
        })
        .collect()
}

fn row_along((axis, along): (&Axis, &Along)) -> RowAlong {
    RowAlong {
        best: axis.show(along.value_si).replace(' ', "\u{a0}"),
        window: window(axis, along),
        below: troubles(axis, along, &along.below, Side::Lowest),
        above: troubles(axis, along, &along.above, Side::Highest),
    }
}

/// The stretch that loses less than 0.05 s, as far as it is known to reach: from one value that was tried to another.
pub(super) fn window(axis: &Axis, along: &Along) -> String {
    let window = along.window;
    let (from, to) = (axis.show(window.from_si), axis.show(window.to_si));
    match (window.open_below, window.open_above) {
        (true, true) => "the whole range".to_owned(),
        (true, false) => format!("up to {to}"),
        (false, true) => format!("{from} and up"),
        (false, false) if window.from_si == window.to_si => format!("{to} only"),
        (false, false) => format!("{} to {to}", axis.show_number(window.from_si)),
    }
    .replace(' ', "\u{a0}")
}

fn troubles(axis: &Axis, along: &Along, troubles: &[Trouble], side: Side) -> String {
    let told: Vec<String> = troubles
        .iter()
        .take(2)
        .map(|trouble| {
            if trouble.from_si == along.value_si {
                format!("{} already", trouble.fate.name())
            } else {
                format!("{} from {}", trouble.fate.name(), axis.show(trouble.from_si).replace(' ', "\u{a0}"))
            }
        })
        .collect();
    match (told.is_empty(), along.at_end) {
        (false, _) => told.join(", "),
        (true, end) if end == Some(side) => "not tried".to_owned(),
        (true, _) => "only slower".to_owned(),
    }
}

/// How the starts went, by number.
fn counts(field: &Field) -> String {
    let each: Vec<String> = field
        .counts()
        .iter()
        .map(|c| format!("{}\u{a0}×\u{a0}{}", c.cells, c.fate.name().replace(' ', "\u{a0}")))
        .collect();
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
    } else if *axis.key() == keys::KEPT_REVS {
        format!("keep {value} while the clutch slips")
    } else if *axis.key() == keys::THROTTLE_EASE {
        format!("squeeze the throttle over {value}")
    } else {
        format!("{} {value}", axis.name())
    }
}

/// Whether everything that is varied is for the driver to choose, so that the recommended launch answers the same question.
fn of_the_driver(sweep: &Sweep) -> bool {
    let decided = |axis: &Axis| Decision::LAUNCH.iter().any(|d| d.key() == axis.key()) || *axis.key() == keys::SHIFT_AT;
    sweep.axes.iter().all(decided)
}

fn described(recommended: &Recommendation) -> Described {
    Described::new(&recommended.driver, &recommended.run, &recommended.samples)
}

/// The recommended launch of each scenario, as `plan` says it, with its time.
#[must_use]
pub fn recommendations(sweep: &Sweep, units: Units) -> Vec<(String, String)> {
    let launch = |field: &Field| {
        let recommended = field.recommended.as_ref()?;
        let time = recommended.time_s.map_or_else(|| "not reached".to_owned(), |s| SPAN.text(s));
        Some((field.scenario.clone(), format!("{time}. {}", described(recommended).paragraph(units))))
    };
    sweep.fields.iter().filter_map(launch).collect()
}

/// What the sweep says, in one line: where it is the driver's to choose, the recommended launch, so that no page says otherwise than a plan;
/// else the best of what was tried.
#[must_use]
pub fn headline(sweep: &Sweep, units: Units) -> String {
    let chosen = of_the_driver(sweep);
    let each: Vec<String> = sweep
        .fields
        .iter()
        .map(|field| match (&field.recommended, &field.best) {
            (Some(recommended), _) if chosen => {
                format!("{}: {}", field.scenario, described(recommended).short(units).replacen("Hold", "hold", 1))
            }
            (_, None) => format!("{}: no start reaches the target", field.scenario),
            (_, Some(best)) => {
                let hard = if best.along.iter().any(|along| hard_to_hit(sweep, along)) { " (hard to hit)" } else { "" };
                format!("{}: {}{hard}", field.scenario, best_values(sweep, best))
            }
        })
        .collect();
    each.join("; ")
}

/// The values of the best start, as advice.
fn best_values(sweep: &Sweep, best: &Best) -> String {
    let values = sweep.axes.iter().zip(&best.along);
    let told = |(axis, along): (&Axis, &Along)| {
        if along.all_alike {
            let (from, to) = (along.window.from_si, along.window.to_si);
            format!("{} alike", advice(axis, &format!("{} to {}", axis.show_number(from), axis.show(to))))
        } else {
            advice(axis, &axis.show(along.value_si))
        }
    };
    values.map(told).collect::<Vec<_>>().join(", ")
}

/// The recommended launch and the best start of each scenario, large.
pub(super) fn figures(sweep: &Sweep) -> Vec<Figure> {
    sweep.fields.iter().filter_map(|field| figure(sweep, field, field.best.as_ref()?)).collect()
}

fn figure(sweep: &Sweep, field: &Field, best: &Best) -> Option<Figure> {
    let of_best = match (&sweep.axes[..], &best.along[..]) {
        ([axis], [along]) => {
            format!("{}; {} loses under {}", axis.show(along.value_si), window(axis, along), SPAN.text(LOSS_S))
        }
        _ => best_values(sweep, best),
    };
    let recommended_s = field.recommended.as_ref().and_then(|r| r.time_s).filter(|_| of_the_driver(sweep));
    let (time_s, notes) = match recommended_s {
        Some(time_s) => (
            time_s,
            vec![
                "the recommended launch".to_owned(),
                format!("best of this range: {} at {of_best}", SPAN.text(best.time_s)),
            ],
        ),
        None => (best.time_s, vec![format!("at {of_best}")]),
    };
    Some(Figure { label: field.scenario.clone(), value: SPAN.number(time_s), unit: "s", notes })
}

/// What to note in reading the result: each thing once, with the scenarios that it holds for.
#[must_use]
pub fn notes(sweep: &Sweep) -> Vec<String> {
    let each = sweep
        .fields
        .iter()
        .flat_map(|field| field_notes(sweep, field).into_iter().map(|note| (field.scenario.as_str(), note)));
    by_scenario(each)
}

/// Each note once, after the scenarios that it holds for.
pub(super) fn by_scenario<'a>(notes: impl Iterator<Item = (&'a str, String)>) -> Vec<String> {
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for (scenario, note) in notes {
        match told.iter_mut().find(|(same, _)| *same == note) {
            Some((_, scenarios)) => scenarios.push(scenario),
            None => told.push((note, vec![scenario])),
        }
    }
    told.into_iter().map(|(note, scenarios)| format!("{}: {note}", scenarios.join("; "))).collect()
}

fn field_notes(sweep: &Sweep, field: &Field) -> Vec<String> {
    let Some(best) = &field.best else {
        return vec![format!("none of the {} starts reaches the target.", field.cells.len())];
    };
    let axes = || sweep.axes.iter().zip(&best.along);
    let mut notes: Vec<String> = axes().filter_map(|(axis, along)| end_note(axis, along)).collect();
    let narrow: Vec<String> = axes()
        .filter(|(_, along)| hard_to_hit(sweep, along))
        .map(|(axis, along)| {
            format!(
                "{}, but a driver is only within {} two times in three",
                window(axis, along),
                axis.show(along.driver_scatter_si.unwrap_or(0.0))
            )
        })
        .collect();
    notes.extend(against_recommended(sweep, field, best));
    if !narrow.is_empty() {
        notes.push(format!(
            "the window is narrower than this driver can hit: {}. Without --exact, times are the driver's expected ones.",
            narrow.join(", and ")
        ));
    }
    notes.extend(own_trouble(field, best.fate).map(str::to_owned));
    notes.extend(no_run_note(field));
    let burns = field.cells.iter().filter(|c| c.fate == Fate::Burn).count();
    if burns > 0 && best.fate != Fate::Burn {
        notes.push(format!("{} the clutch for good.", count(burns, "of these starts harms", "of these starts harm")));
    }
    notes
}

fn end_note(axis: &Axis, along: &Along) -> Option<String> {
    if along.all_alike {
        return Some(format!(
            "every value of {} that gets there loses under {}: it hardly matters here.",
            axis.name(),
            SPAN.text(LOSS_S)
        ));
    }
    let end = match along.at_end? {
        Side::Lowest => "lowest",
        Side::Highest => "highest",
    };
    Some(format!(
        "the best is at {}, the {end} value of {} that was tried. Something better may lie beyond: widen the range.",
        axis.show(along.value_si),
        axis.name()
    ))
}

/// Whether the window is narrower than one standard deviation to both sides of the driver's aim. Expected times have that in them already.
pub(super) fn hard_to_hit(sweep: &Sweep, along: &Along) -> bool {
    let window = along.window;
    let known = !window.open_below && !window.open_above && sweep.times == Times::Exact;
    known && along.driver_scatter_si.is_some_and(|scatter| window.to_si - window.from_si < 2.0 * scatter)
}

/// Where the best of a range and the recommended launch lie apart, and why.
fn against_recommended(sweep: &Sweep, field: &Field, best: &Best) -> Option<String> {
    if !of_the_driver(sweep) {
        return None;
    }
    let Some(recommended) = &field.recommended else {
        return Some(
            "no launch can be recommended here, so that what is not varied is as by rule of thumb.".to_owned(),
        );
    };
    let slower_s = best.time_s - recommended.time_s?;
    if slower_s > LOSS_S {
        Some(format!(
            "the best of this range is {} slower than the recommended launch: do that instead, or widen the range.",
            SPAN.text(slower_s)
        ))
    } else if slower_s < -LOSS_S {
        Some(format!(
            "the best of this range is {} quicker than the recommended launch, but harder on clutch or driveline (see plan --effort all-out).",
            SPAN.text(-slower_s)
        ))
    } else {
        None
    }
}

/// What to say where even the best start is not clean, and the recommended launch is.
fn own_trouble(field: &Field, fate: Fate) -> Option<&'static str> {
    let also = |story: Story| field.recommended.as_ref().is_some_and(|r| r.run.launch.story == story);
    match fate {
        Fate::Spin if !also(Story::Spin) => Some("even the quickest of these starts spins its tyres for long."),
        Fate::Bog if !also(Story::Bog) => Some("even the quickest of these starts bogs."),
        Fate::Slip if !also(Story::Slip) => {
            Some("even the quickest of these starts slips its clutch for long, which wears it.")
        }
        Fate::Burn => Some("even the quickest of these starts harms the clutch for good. Do not start like this."),
        _ => None,
    }
}

/// Why some starts could not be run.
fn no_run_note(field: &Field) -> Option<String> {
    let without: Vec<&str> = field.cells.iter().filter_map(|cell| cell.reason.as_deref()).collect();
    let first = without.first()?;
    Some(format!("{} could not be run: {first}.", count(without.len(), "start", "starts")))
}
