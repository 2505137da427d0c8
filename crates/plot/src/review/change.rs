//! What was done otherwise than in the recommended launch, and the one thing to fix first, in words.

use bitepoint_runner::review::{Cause, Cost, Review, Yardstick};

use super::evidence::{gears, left_at};
use super::words::starts;
use crate::format::{ENGINE_SPEED, MISSING, SHARE, SPAN, Units, count};

/// What was done, and what the recommended launch does.
#[must_use]
pub fn done(cost: &Cost, best: &Yardstick, units: Units) -> String {
    let seconds = SPAN.decimals(1);
    match cost.cause {
        Cause::HeldRevs | Cause::KeptRevs => {
            format!("{}, recommended {}", ENGINE_SPEED.text_or_dash(cost.measured), ENGINE_SPEED.text(cost.planned))
        }
        Cause::Release => {
            format!("up in {}, recommended {}", seconds.text_or_dash(cost.measured), seconds.text(cost.planned))
        }
        Cause::Throttle => {
            let wide = cost.measured.map_or("never wide open".to_owned(), |s| format!("wide open at {}", SPAN.text(s)));
            let planned = part(best, units).unwrap_or_else(|| format!("wide open at {}", SPAN.text(cost.planned)));
            format!("{wide}, recommended {planned}")
        }
        Cause::Power => format!("as with {}, recommended {}", so_much(cost), planned_throttle(best, units)),
        Cause::ShiftRevs => format!(
            "{} at {}, {}",
            gears(cost.gear),
            ENGINE_SPEED.text_or_dash(cost.measured),
            left_at(cost.planned, best)
        ),
        Cause::ShiftTime => {
            format!("{} each, recommended {}", SPAN.text_or_dash(cost.measured), SPAN.text(cost.planned))
        }
        Cause::Clutch => format!("holds {} of a healthy clutch's torque", SHARE.text_or_dash(cost.measured)),
    }
}

/// The throttle that a car without one in its log pulls with, and when.
fn so_much(cost: &Cost) -> String {
    let seconds = SPAN.decimals(1);
    let when = cost.during_s.map_or_else(String::new, |(from_s, to_s)| {
        format!(" from {} to {}", seconds.number(from_s), seconds.text(to_s))
    });
    format!("{} throttle{when}", SHARE.text_or_dash(cost.measured))
}

fn planned_throttle(best: &Yardstick, units: Units) -> String {
    part(best, units).unwrap_or_else(|| "wide open".to_owned())
}

/// The part throttle of the recommended launch.
fn part(best: &Yardstick, units: Units) -> Option<String> {
    let launch = &best.launch;
    launch.holds_part_throttle().then(|| {
        format!("{} up to {}", SHARE.text(launch.part_throttle), units.speed().decimals(0).text(launch.part_until_mps))
    })
}

/// The one thing to fix first: one sentence with its number.
#[must_use]
pub fn change(review: &Review, units: Units) -> String {
    let advice = &review.advice;
    let start = advice.example.and_then(|i| review.starts.get(i));
    let parts = start.and_then(|s| s.costs.as_ref()).map_or(&[][..], |c| &c.parts);
    match parts.iter().find(|p| Some(p.cause) == advice.cause) {
        Some(cost) => sentence(cost, &review.best, units),
        None if advice.counted == 0 && advice.not_reproduced > 0 => format!(
            "The model cannot reproduce {}: what they lost is not explained by how they were driven. Look to the file, the tyres, the road and the air before you change anything.",
            count(advice.not_reproduced, "start", "starts")
        ),
        None if advice.counted == 0 => format!("No start reached {}: drive one through it.", review.best.target.gate),
        None if review.starts.iter().all(|s| s.engine.is_empty()) => {
            "This log shows too little to say what to change: record engine speed, throttle and clutch pedal, too."
                .to_owned()
        }
        None => "Nothing that this log shows costs enough to be changed: look to car, tyres, road and air.".to_owned(),
    }
}

fn sentence(cost: &Cost, best: &Yardstick, units: Units) -> String {
    let seconds = SPAN.decimals(1);
    let measured = |text: fn(f64) -> String| cost.measured.map_or(MISSING.to_owned(), text);
    let span = |s: f64| SPAN.decimals(1).text(s);
    let revs = |w: f64| ENGINE_SPEED.text(w);
    match cost.cause {
        Cause::HeldRevs => format!("Hold {} instead of {}.", revs(cost.planned), measured(revs)),
        Cause::KeptRevs => {
            format!("Keep {} with the pedal while the clutch slips instead of {}.", revs(cost.planned), measured(revs))
        }
        Cause::Release => {
            format!("Let the pedal up over {} instead of {}.", seconds.text(cost.planned), measured(span))
        }
        Cause::Throttle => match part(best, units) {
            Some(part) => format!("Hold the throttle at {part} instead of going wide open after {}.", measured(span)),
            None => format!(
                "Have the throttle wide open {} after the car moves instead of {}.",
                seconds.text(cost.planned.max(0.0)),
                measured(span)
            ),
        },
        Cause::Power => match part(best, units).filter(|_| cost.measured > Some(cost.planned)) {
            Some(part) => format!("Hold the throttle at {part}: by its pull the car had {}.", so_much(cost)),
            None => format!(
                "Look for missing power: the car pulls as with {}. Foot or engine, this log cannot tell which.",
                so_much(cost)
            ),
        },
        Cause::ShiftRevs if cost.planned >= best.vehicle.engine.limiter.cut_radps => {
            format!("Stay in gear {} to the gate instead of leaving it at {}.", cost.gear.unwrap_or(1), measured(revs))
        }
        Cause::ShiftRevs => {
            format!("Shift {} at {} instead of {}.", gears(cost.gear), revs(cost.planned), measured(revs))
        }
        Cause::ShiftTime => format!(
            "Practise shifts at rest: one takes {}, this gearbox needs {}.",
            SPAN.text_or_dash(cost.measured),
            SPAN.text(cost.planned)
        ),
        Cause::Clutch => format!(
            "Let the clutch cool and have it inspected before another start: it holds {} of a healthy clutch's torque.",
            SHARE.text_or_dash(cost.measured)
        ),
    }
}

/// What the change wins; empty where there is none.
#[must_use]
pub fn wins(review: &Review) -> String {
    let advice = &review.advice;
    advice.cause.map_or_else(String::new, |cause| {
        format!(
            "On its own worth {} per start on average ({} in {} of {}).",
            SPAN.text(advice.mean_won_s),
            cause.name(),
            advice.starts,
            starts(review)
        )
    })
}
