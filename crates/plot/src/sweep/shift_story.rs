//! Shift points in sentences and rows, each computed from their numbers.

use bitepoint_runner::sweep::{Found, GearStudy, ShiftStudy, Side};

use crate::format::{ENGINE_SPEED, SHARE, SPAN};

use super::story::{by_scenario, hard_to_hit, window};

/// What is told of one gear under one scenario.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShiftRow {
    /// "1→2".
    pub gears: String,
    /// Name of the scenario.
    pub scenario: String,
    /// Engine speed at which the driver decides, best.
    pub shift_at: String,
    /// Engine speed at which the shift began.
    pub left_at: String,
    /// The stretch that loses less than 0.05 s.
    pub window: String,
    /// Where the next gear pulls as hard.
    pub crossing: String,
    /// What decides, in a few words.
    pub verdict: String,
}

/// What is told of each gear, lowest first, under each scenario.
#[must_use]
pub fn shift_rows(study: &ShiftStudy) -> Vec<ShiftRow> {
    let mut rows = Vec::new();
    for gear in &study.gears {
        for (index, found) in gear.found.iter().enumerate() {
            rows.push(row(study, gear, index, found));
        }
    }
    rows
}

fn row(study: &ShiftStudy, gear: &GearStudy, index: usize, found: &Found) -> ShiftRow {
    let axis = &gear.sweep.axes[0];
    let best = gear.sweep.fields[index].best.as_ref();
    ShiftRow {
        gears: format!("{}→{}", gear.from_gear, gear.from_gear + 1),
        scenario: study.days[index].scenario.clone(),
        shift_at: best.map_or_else(|| "–".to_owned(), |best| axis.show(best.along[0].value_si)),
        left_at: ENGINE_SPEED.text_or_dash(found.shift.map(|shift| shift.engine_radps)),
        window: best.map_or_else(|| "–".to_owned(), |best| window(axis, &best.along[0])),
        crossing: found.crossing.crossing_radps.map_or_else(
            || format!("not before the limiter ({})", ENGINE_SPEED.text(found.crossing.limiter_radps)),
            |radps| format!("from {}", ENGINE_SPEED.text(radps)),
        ),
        verdict: verdict(gear, index, found),
    }
}

/// A gear that is left this much before its crossing (or the limiter), as a share of that speed, is left early.
const EARLY_SHARE: f64 = 0.04;
/// Share of the time in a gear from which the tyres, not the engine, set its pace.
const TYRE_SHARE: f64 = 0.3;

/// What decides where this gear is left.
fn verdict(gear: &GearStudy, index: usize, found: &Found) -> String {
    let (Some(_), Some(shift)) = (&gear.sweep.fields[index].best, found.shift) else {
        return "no start gets there in a higher gear".to_owned();
    };
    let by_pull = found.crossing.crossing_radps.unwrap_or(found.crossing.limiter_radps);
    if shift.engine_radps < (1.0 - EARLY_SHARE) * by_pull {
        return if found.tyre_limited >= TYRE_SHARE {
            format!(
                "earlier than by pull: for {} of this gear the tyres set the pace, not the engine",
                SHARE.text(found.tyre_limited)
            )
        } else {
            "earlier than by pull: what the shift itself costs counts for more".to_owned()
        };
    }
    match found.crossing.crossing_radps {
        None => format!(
            "the limiter decides: even there the next gear pulls only {} as hard",
            SHARE.text(found.crossing.next_over_this_at_limiter)
        ),
        Some(_) => "the pull of the gears decides".to_owned(),
    }
}

/// What the study says, in one line.
#[must_use]
pub fn shift_headline(study: &ShiftStudy) -> String {
    let each: Vec<String> = study
        .days
        .iter()
        .enumerate()
        .map(|(index, day)| {
            let gears: Vec<String> = study
                .gears
                .iter()
                .filter_map(|gear| {
                    let best = gear.sweep.fields[index].best.as_ref()?;
                    let at = gear.sweep.axes[0].show_number(best.along[0].value_si);
                    Some(format!("{}→{}\u{a0}at\u{a0}{at}", gear.from_gear, gear.from_gear + 1))
                })
                .collect();
            format!("{}: {}\u{a0}rpm", day.scenario, gears.join(", "))
        })
        .collect();
    each.join("; ")
}

/// What to mind in reading the result.
#[must_use]
pub fn shift_notes(study: &ShiftStudy) -> Vec<String> {
    let days = study.days.iter().enumerate();
    by_scenario(days.flat_map(|(index, day)| {
        day_notes(study, index, day.reaction_s).into_iter().map(|note| (day.scenario.as_str(), note))
    }))
}

fn day_notes(study: &ShiftStudy, index: usize, reaction_s: f64) -> Vec<String> {
    let mut notes = Vec::new();
    for gear in &study.gears {
        let Some(best) = &gear.sweep.fields[index].best else { continue };
        let (along, axis, from_gear) = (&best.along[0], &gear.sweep.axes[0], gear.from_gear);
        if along.at_end == Some(Side::Lowest) {
            notes.push(format!("the best for gear {from_gear} is the lowest engine speed that was tried."));
        }
        if hard_to_hit(&gear.sweep, along) {
            notes.push(format!(
                "gear {from_gear} is best left at {}, but its window is narrower than this driver can hit: {} two times in three.",
                axis.show(along.value_si),
                axis.show(along.driver_scatter_si.unwrap_or(0.0))
            ));
        }
    }
    if reaction_s > 0.0 {
        notes.push(format!(
            "the driver is {} late at every shift (shifting.reaction): in a low gear the engine is by then well past the speed at which the driver decides.",
            SPAN.text(reaction_s)
        ));
    }
    notes
}
