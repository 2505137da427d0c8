//! A plan in the words of somebody who stands at the line.

use bitepoint_physics::driver::ReleaseShape;
use bitepoint_physics::run::Limit;
use bitepoint_runner::launch::{Launch, OPEN_S};
use bitepoint_runner::plan::{Change, Choice, Cooling, Cost, Decision, MOST_STARTS, Plan, Trouble, WINDOW_S, Window};

use crate::format::{ENGINE_SPEED, MISSING, SHARE, SPAN, Scale, Units, number};

/// A time that a person can do, s.
pub const DOABLE: Scale = SPAN.decimals(1);
/// An ease shorter than this is a foot put down at once, s.
const AT_ONCE_S: f64 = 0.05;

/// Name of a decision.
#[must_use]
pub fn name(decision: Decision) -> String {
    match decision {
        Decision::HeldRevs => "Held revs".to_owned(),
        Decision::ReleaseTime => "Clutch release".to_owned(),
        Decision::ThrottleEase => "Throttle ease".to_owned(),
        Decision::PartThrottle => "Part throttle".to_owned(),
        Decision::PartUntil => "Opened from".to_owned(),
        Decision::ShiftRevs(gear) => format!("Shift {}–{}", gear + 1, gear + 2),
    }
}

/// A value of a decision, as closely as it is chosen.
#[must_use]
pub fn value(decision: Decision, value: f64, units: Units) -> String {
    scale(decision, units).text(value)
}

/// How a decision's values are printed.
#[must_use]
pub fn scale(decision: Decision, units: Units) -> Scale {
    match decision {
        Decision::HeldRevs | Decision::ShiftRevs(_) => ENGINE_SPEED,
        Decision::ReleaseTime | Decision::ThrottleEase => SPAN,
        Decision::PartThrottle => SHARE,
        Decision::PartUntil => units.speed().decimals(0),
    }
}

/// The unit in which people speak of an error of this decision: "100 rpm".
#[must_use]
pub fn unit(decision: Decision, units: Units) -> String {
    match decision {
        Decision::ReleaseTime | Decision::ThrottleEase => DOABLE.text(decision.unit()),
        _ => value(decision, decision.unit(), units),
    }
}

/// The movement of the pedal.
#[must_use]
pub fn release_shape(shape: ReleaseShape) -> &'static str {
    match shape {
        ReleaseShape::Straight => "at one even rate",
        ReleaseShape::QuickToBite => "quickly to the bite, then slowly",
    }
}

/// The same in a word or two.
#[must_use]
pub fn release_shape_short(shape: ReleaseShape) -> &'static str {
    match shape {
        ReleaseShape::Straight => "even",
        ReleaseShape::QuickToBite => "quick to the bite",
    }
}

/// What the throttle does first, and when: ("to the floor over 0.5 s", "from the bite on").
#[must_use]
pub fn throttle(plan: &Plan, launch: &Launch, units: Units) -> (String, String) {
    let driver = &plan.resolved.scenario.scenario.driver;
    let part = launch.holds_part_throttle();
    let to = if part { SHARE.text(launch.part_throttle) } else { "to the floor".to_owned() };
    let first = if launch.throttle_ease_s < AT_ONCE_S {
        format!("{to} at once")
    } else {
        format!("{to} over {}", DOABLE.text(launch.throttle_ease_s))
    };
    let begun = if driver.throttle_lead_s > 0.0 {
        format!("begun {} before the bite", DOABLE.text(driver.throttle_lead_s))
    } else {
        "from the bite on".to_owned()
    };
    if !part {
        return (first, begun);
    }
    let open_s = driver.part_throttle.map_or(OPEN_S, |part| part.open_s);
    let from = value(Decision::PartUntil, launch.part_until_mps, units);
    (first, format!("{begun}; from {from} to the floor over {}", DOABLE.text(open_s)))
}

/// The same in one.
#[must_use]
pub fn throttle_text(plan: &Plan, launch: &Launch, units: Units) -> String {
    let (first, when) = throttle(plan, launch, units);
    format!("{first}, {when}")
}

/// Each shift of a choice: "1–2 at 6900 rpm (52 mph)".
#[must_use]
pub fn shifts(choice: &Choice, units: Units) -> Vec<String> {
    let speed = units.speed().decimals(0);
    let each = choice.run.shifts.iter().map(|shift| {
        let gear = usize::from(shift.from_gear);
        let at = Decision::ShiftRevs(gear - 1).of(&choice.launch);
        format!("{gear}–{} at {} ({})", gear + 1, ENGINE_SPEED.text(at), speed.text(shift.speed_mps))
    });
    each.collect()
}

/// The engine speeds of the shifts alone: "6400, 7100 rpm".
#[must_use]
pub fn shift_revs(choice: &Choice) -> String {
    let of = |gear: usize| Decision::ShiftRevs(gear).of(&choice.launch);
    let each: Vec<String> = (0..choice.run.shifts.len()).map(|gear| ENGINE_SPEED.number(of(gear))).collect();
    if each.is_empty() { "none".to_owned() } else { format!("{}\u{a0}{}", each.join(", "), ENGINE_SPEED.unit) }
}

/// The launch in one line: "hold 2000 rpm, pedal up over 0.4 s quickly to the bite, then slowly; throttle to the floor over 0.5 s".
#[must_use]
pub fn launch(plan: &Plan, choice: &Choice, units: Units) -> String {
    format!(
        "hold {}, pedal up over {}",
        ENGINE_SPEED.text(choice.launch.held_radps),
        DOABLE.text(choice.launch.release_s)
    ) + &format!(
        " {}; throttle {}",
        release_shape(choice.launch.release_shape),
        throttle_text(plan, &choice.launch, units)
    )
}

/// What goes wrong beyond the edge of a window, in a word or two.
#[must_use]
pub fn trouble(trouble: Option<Trouble>) -> &'static str {
    let Some(trouble) = trouble else { return MISSING };
    match trouble {
        Trouble::NoStart => "stalls",
        Trouble::OverLimit => "over a limit",
        Trouble::Bogs => "bogs",
        Trouble::Spins => "spins",
        Trouble::Slips => "clutch slips",
        Trouble::Eases => "more throttle held back",
        Trouble::ShiftsMore => "a shift more",
        Trouble::WaitsFor(Limit::Tyre) => "more wheelspin",
        Trouble::WaitsFor(Limit::Clutch) => "more clutch slip",
        Trouble::WaitsFor(Limit::Throttle) => "throttle is late",
        Trouble::WaitsFor(Limit::Boost) => "boost is late",
        Trouble::WaitsFor(Limit::Engine) => "off the power",
        Trouble::WaitsFor(Limit::Limiter) => "on the limiter",
        Trouble::WaitsFor(Limit::Shift) => "shifts too soon",
        Trouble::WaitsFor(Limit::Air) => "slower",
    }
}

/// What an error of a unit costs, with its sign, in s; a word where it is no time.
#[must_use]
pub fn cost_number(cost: Cost) -> String {
    match cost {
        Cost::OutOfReach => MISSING.to_owned(),
        Cost::NoStart => "fails".to_owned(),
        Cost::Seconds(s) if s.abs() < 0.0005 => "nothing".to_owned(),
        Cost::Seconds(s) if s < 0.0 => number(s, 3),
        Cost::Seconds(s) => format!("+{}", number(s, 3)),
    }
}

/// The same with its unit.
#[must_use]
pub fn cost(cost: Cost) -> String {
    match cost {
        Cost::Seconds(s) if s.abs() >= 0.0005 => format!("{}\u{a0}s", cost_number(cost)),
        _ => cost_number(cost),
    }
}

/// An error's cost in a sentence: "100 rpm less +0.016 s, more fails".
#[must_use]
pub fn costs(window: &Window, units: Units) -> String {
    format!("{} less {}, more {}", unit(window.decision, units), cost(window.unit_less), cost(window.unit_more))
}

/// A window as a range, "1700 to 2300 rpm", or as the one value it holds, "1180 rpm alone".
#[must_use]
pub fn window(window: &Window, units: Units) -> String {
    let scale = scale(window.decision, units);
    let (low, high) = (scale.number(window.low), scale.text(window.high));
    if low == scale.number(window.high) { format!("{high} alone") } else { format!("{low} to {high}") }
}

/// What to change when the grip is not as planned.
#[must_use]
pub fn change(change: Option<Change>, units: Units) -> String {
    let Some(change) = change else {
        return "no single change gains 0.02\u{a0}s".to_owned();
    };
    let by = (change.to - change.from).abs();
    let more = change.to > change.from;
    let gains = format!("gains {}", SPAN.text(change.gains_s));
    match change.decision {
        Decision::HeldRevs | Decision::ShiftRevs(_) => {
            format!("hold {} {}: {gains}", ENGINE_SPEED.text(by), if more { "more" } else { "less" })
        }
        Decision::ReleaseTime => {
            format!("pedal up {} {}: {gains}", DOABLE.text(by), if more { "slower" } else { "sooner" })
        }
        Decision::PartThrottle => {
            format!("throttle {} {}: {gains}", SHARE.text(by), if more { "more" } else { "less" })
        }
        Decision::PartUntil => format!(
            "to the floor {} {}: {gains}",
            value(change.decision, by, units),
            if more { "later" } else { "sooner" }
        ),
        Decision::ThrottleEase => {
            format!("throttle {} {}: {gains}", DOABLE.text(by), if more { "slower" } else { "sooner" })
        }
    }
}

/// What to change when the clutch slips on and on.
#[must_use]
pub fn against_slip(choice: &Choice) -> String {
    let of = |decision: Decision| choice.windows.iter().find(|w| w.decision == decision);
    let sooner = of(Decision::ReleaseTime).map_or(0.0, |w| ((w.value - w.low) * 10.0 + 1e-6).floor() / 10.0);
    if sooner >= 0.1 {
        return format!("pedal up {} sooner: loses under {}", DOABLE.text(sooner), SPAN.text(WINDOW_S));
    }
    let unit = Decision::HeldRevs.unit();
    let fewer = of(Decision::HeldRevs).map_or(0.0, |w| ((w.value - w.low) / unit).floor() * unit);
    if fewer > 0.0 {
        format!("hold {} less: loses under {}", ENGINE_SPEED.text(fewer), SPAN.text(WINDOW_S))
    } else {
        "stop: plan and window leave no quicker release".to_owned()
    }
}

/// How long a time is: "40 s", "3 min", "1 h 20 min".
#[must_use]
pub fn long_time(seconds: f64) -> String {
    let minutes = (seconds / 60.0).ceil();
    if seconds <= 90.0 {
        format!("{}\u{a0}s", number((seconds / 10.0).ceil() * 10.0, 0))
    } else if minutes < 100.0 {
        format!("{}\u{a0}min", number(minutes, 0))
    } else {
        format!("{}\u{a0}h", number(minutes / 60.0, 1))
    }
}

/// The pause before the next start.
#[must_use]
pub fn pause(cooling: &Cooling) -> String {
    match cooling.until_cool_s {
        Some(s) if s <= 0.0 => "ready again at once".to_owned(),
        Some(s) => format!("let it cool for {}", long_time(s)),
        None => "does not cool to where it began within hours".to_owned(),
    }
}

/// Starts in a row before it fades.
#[must_use]
pub fn in_a_row(cooling: &Cooling) -> String {
    match cooling.fades_in_start {
        Some(1) => "it fades in the first start".to_owned(),
        Some(n) => format!(
            "{} in a row, two minutes apart, before it fades",
            crate::format::count(n as usize - 1, "start", "starts")
        ),
        None => format!("{MOST_STARTS} in a row, two minutes apart, do not make it fade"),
    }
}

/// How often a start goes wrong altogether.
#[must_use]
pub fn botched(choice: &Choice) -> String {
    let expected = &choice.expected;
    if expected.botched == 0 {
        format!("none of {} starts botched", expected.starts)
    } else {
        format!("{} of starts botched", crate::format::share(f64::from(expected.botched) / f64::from(expected.starts)))
    }
}

/// Share of starts, as printed.
#[must_use]
pub fn share_of(starts: u32, of: u32) -> String {
    SHARE.text(f64::from(starts) / f64::from(of.max(1)))
}

/// What the plan loses against the bound, most first: "clutch 0.42 s, tyre 0.31 s".
#[must_use]
pub fn lost(plan: &Plan) -> String {
    let Some(standing) = &plan.driver.standing else { return String::new() };
    let mut lost: Vec<(Limit, f64)> =
        Limit::ALL.into_iter().zip(standing.lost_s).filter(|(_, s)| s.abs() >= 0.005).collect();
    lost.sort_by(|a, b| b.1.total_cmp(&a.1));
    let each: Vec<String> = lost.iter().map(|(limit, s)| format!("{} {}", limit.name(), SPAN.text(*s))).collect();
    if each.is_empty() { "nothing".to_owned() } else { each.join(", ") }
}
