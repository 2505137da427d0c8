//! A plan in the words of somebody who stands at the line.

use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::driver::ReleaseShape;
use bitepoint_physics::run::Limit;
use bitepoint_runner::plan::{
    Change, Choice, Cooling, Cost, Decision, Effort, Expectation, Level, MOST_STARTS, Plan, Trouble, WINDOW_S, Window,
};

use crate::format::{ENERGY, ENGINE_SPEED};
use crate::format::{GATE_TIME, MISSING, SHARE, SPAN, Scale, Units, band, number};
use crate::launch::Described;

/// A time that a person can hit, s.
pub const DOABLE: Scale = SPAN.decimals(1);
/// Clutch heat that hardly wears it, and that wears it as an ordinary launch does, J (common practice, no source).
const LITTLE_HEAT_J: f64 = 20e3;
const ORDINARY_HEAT_J: f64 = 60e3;
/// Shaft torque over the steady one that parts are made for, and from which it is a shock (common practice, no source).
const ORDINARY_SHAFT: f64 = 1.25;
const SHOCK_SHAFT: f64 = 1.6;

/// The recommended launch, to be put into words.
#[must_use]
pub fn described(plan: &Plan) -> Described {
    let choice = &plan.driver;
    let driver = choice.launch.by(&plan.resolved.scenario.scenario.driver);
    Described::new(&driver, &choice.run, &choice.samples)
}

/// Name of a decision.
#[must_use]
pub fn name(decision: Decision) -> String {
    match decision {
        Decision::HeldRevs => "Held revs".to_owned(),
        Decision::KeptRevs => "Kept revs".to_owned(),
        Decision::ReleaseTime => "Clutch release".to_owned(),
        Decision::ThrottleEase => "Throttle squeeze".to_owned(),
        Decision::ThrottleLead => "Throttle before bite".to_owned(),
        Decision::PartThrottle => "Part throttle".to_owned(),
        Decision::PartUntil => "Part throttle until".to_owned(),
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
        Decision::HeldRevs | Decision::KeptRevs | Decision::ShiftRevs(_) => ENGINE_SPEED,
        Decision::ReleaseTime | Decision::ThrottleEase | Decision::ThrottleLead => SPAN,
        Decision::PartThrottle => SHARE,
        Decision::PartUntil => units.speed().decimals(0),
    }
}

/// The unit in which people speak of an error of this decision: "100 rpm".
#[must_use]
pub fn unit(decision: Decision, units: Units) -> String {
    match decision {
        Decision::ReleaseTime | Decision::ThrottleEase | Decision::ThrottleLead => DOABLE.text(decision.unit()),
        _ => value(decision, decision.unit(), units),
    }
}

/// What being off to the lesser and to the greater side is called: "low" and "high", "fast" and "slow".
#[must_use]
pub const fn sides(decision: Decision) -> (&'static str, &'static str) {
    match decision {
        Decision::HeldRevs | Decision::KeptRevs => ("low", "high"),
        Decision::ReleaseTime | Decision::ThrottleEase => ("fast", "slow"),
        Decision::ThrottleLead => ("late", "early"),
        Decision::PartThrottle => ("less", "more"),
        Decision::PartUntil | Decision::ShiftRevs(_) => ("early", "late"),
    }
}

/// The movement of the pedal in a word or two.
#[must_use]
pub fn release_shape_short(shape: ReleaseShape) -> &'static str {
    match shape {
        ReleaseShape::Straight => "even",
        ReleaseShape::QuickToBite => "quick to the bite",
    }
}

/// The engine speeds of the shifts alone: "6400, 7100 rpm".
#[must_use]
pub fn shift_revs(choice: &Choice) -> String {
    let of = |gear: usize| Decision::ShiftRevs(gear).of(&choice.launch);
    let each: Vec<String> = (0..choice.run.shifts.len()).map(|gear| ENGINE_SPEED.number(of(gear))).collect();
    if each.is_empty() { "none".to_owned() } else { format!("{}\u{a0}{}", each.join(", "), ENGINE_SPEED.unit) }
}

/// What goes wrong beyond the edge of a window, in a word or two.
#[must_use]
pub fn trouble(trouble: Option<Trouble>) -> &'static str {
    let Some(trouble) = trouble else { return MISSING };
    match trouble {
        Trouble::NoStart => "stalls",
        Trouble::OverLimit => "over a limit",
        Trouble::Bogs => "bogs",
        Trouble::Spins => "wheelspin",
        Trouble::Slips => "clutch slips too long",
        Trouble::Eases => "more throttle held back",
        Trouble::ShiftsMore => "one more shift",
        Trouble::WaitsFor(Limit::Tyre) => "more wheelspin",
        Trouble::WaitsFor(Limit::Clutch) => "more clutch slip",
        Trouble::WaitsFor(Limit::Throttle) => "throttle too late",
        Trouble::WaitsFor(Limit::Boost) => "boost too late",
        Trouble::WaitsFor(Limit::Engine) => "off the power",
        Trouble::WaitsFor(Limit::Limiter) => "on the limiter",
        Trouble::WaitsFor(Limit::Shift) => "shifts too soon",
        Trouble::WaitsFor(Limit::Air) => "slower",
    }
}

/// Less than this is no loss, s.
const NO_LOSS_S: f64 = 0.0015;

/// What an error of a unit costs, with its sign, in s; a word where it is no time.
#[must_use]
pub fn cost_number(cost: Cost) -> String {
    match cost {
        Cost::OutOfReach => MISSING.to_owned(),
        Cost::NoStart => "fails".to_owned(),
        Cost::Seconds(s) if s.abs() < NO_LOSS_S => "no loss".to_owned(),
        Cost::Seconds(s) if s < 0.0 => number(s, 3),
        Cost::Seconds(s) => format!("+{}", number(s, 3)),
    }
}

/// The same with its unit.
#[must_use]
pub fn cost(cost: Cost) -> String {
    match cost {
        // Somewhat quicker, and harder on the car: nothing that a miss loses.
        Cost::Seconds(s) if s < NO_LOSS_S => cost_number(Cost::Seconds(0.0)),
        Cost::Seconds(_) => format!("{}\u{a0}s", cost_number(cost)),
        _ => cost_number(cost),
    }
}

/// What a miss costs: "held revs 100 rpm low +0.016 s, high no loss"; nothing for a side that cannot be reached.
#[must_use]
pub fn miss(window: &Window, units: Units) -> String {
    let (less, more) = sides(window.decision);
    let sides = [(window.unit_less, less), (window.unit_more, more)];
    let each: Vec<String> = sides
        .into_iter()
        .filter(|(of, _)| *of != Cost::OutOfReach)
        .map(|(of, side)| format!("{side} {}", cost(of)))
        .collect();
    format!("{} {} {}", name(window.decision).to_lowercase(), unit(window.decision, units), each.join(", "))
}

/// A window as a range, "1700 to 2300 rpm", or as the one value it holds, "1180 rpm only".
#[must_use]
pub fn window(window: &Window, units: Units) -> String {
    let scale = scale(window.decision, units);
    let (low, high) = (scale.number(window.low), scale.text(window.high));
    if low == scale.number(window.high) { format!("{high} only") } else { format!("{low} to {high}") }
}

/// What to change when the grip is not as planned.
#[must_use]
pub fn change(change: Option<Change>, units: Units) -> String {
    let Some(change) = change else {
        return format!("no single change gains {}", SPAN.text(bitepoint_runner::plan::WORTH_IT_S));
    };
    let by = (change.to - change.from).abs();
    let more = change.to > change.from;
    let pick = |if_more, if_less| if more { if_more } else { if_less };
    let rpm = ENGINE_SPEED.text(by);
    let what = match change.decision {
        Decision::HeldRevs => format!("hold {rpm} {}", pick("more", "less")),
        Decision::KeptRevs => format!("keep {rpm} {} while the clutch slips", pick("more", "less")),
        Decision::ShiftRevs(_) => format!("shift {rpm} {}", pick("later", "earlier")),
        Decision::ReleaseTime => format!("let the pedal up {} {}", DOABLE.text(by), pick("slower", "faster")),
        Decision::PartThrottle => format!("{} {} throttle", SHARE.text(by), pick("more", "less")),
        Decision::PartUntil => {
            format!("open fully {} {}", value(change.decision, by, units), pick("later", "earlier"))
        }
        Decision::ThrottleEase => format!("squeeze the throttle {} {}", DOABLE.text(by), pick("slower", "faster")),
        Decision::ThrottleLead => format!("open the throttle {} {}", DOABLE.text(by), pick("earlier", "later")),
    };
    format!("{what} (gains {})", SPAN.text(change.gains_s))
}

/// What to change when the clutch slips on and on.
#[must_use]
pub fn against_slip(choice: &Choice) -> String {
    let of = |decision: Decision| choice.windows.iter().find(|w| w.decision == decision);
    let under = SPAN.text(WINDOW_S);
    let sooner = of(Decision::ReleaseTime).map_or(0.0, |w| ((w.value - w.low) * 10.0 + 1e-6).floor() / 10.0);
    if sooner >= 0.1 {
        return format!("let the pedal up {} faster (costs under {under})", DOABLE.text(sooner));
    }
    let unit = Decision::HeldRevs.unit();
    let fewer = of(Decision::HeldRevs).map_or(0.0, |w| ((w.value - w.low) / unit).floor() * unit);
    if fewer > 0.0 {
        format!("hold {} less (costs under {under})", ENGINE_SPEED.text(fewer))
    } else {
        "stop and let it cool; there is no quicker release that costs little".to_owned()
    }
}

/// How long a time is: "40 s", "3 min", "1.8 h".
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
        Some(s) if s <= 0.0 => "no cool-down needed".to_owned(),
        Some(s) => format!("let it cool for {}", long_time(s)),
        None => "it does not cool down within hours".to_owned(),
    }
}

/// Starts in a row before it fades.
#[must_use]
pub fn in_a_row(cooling: &Cooling) -> String {
    match cooling.fades_in_start {
        Some(1) => "it fades in the first launch".to_owned(),
        Some(n) => {
            format!("{} two minutes apart before it fades", crate::format::count(n as usize - 1, "launch", "launches"))
        }
        None => format!("{MOST_STARTS} launches two minutes apart won't fade it"),
    }
}

/// Heat, temperature and pause of the clutch.
#[must_use]
pub fn clutch(plan: &Plan, units: Units) -> String {
    let peaks = &plan.driver.run.peaks;
    format!(
        "{} per launch, face up to {}; {}; {}",
        ENERGY.decimals(0).text(peaks.clutch_energy_j),
        units.temperature().text(peaks.clutch_face_c),
        pause(&plan.cooling),
        in_a_row(&plan.cooling)
    )
}

/// How often a start goes wrong altogether: "0 of 200 simulated launches failed".
#[must_use]
pub fn failed(expected: &Expectation) -> String {
    format!("{} of {} simulated launches failed", expected.failed, expected.starts)
}

/// Fraction of starts, as printed.
#[must_use]
pub fn share_of(starts: u32, of: u32) -> String {
    SHARE.text(f64::from(starts) / f64::from(of.max(1)))
}

/// Who drives: "a keen driver".
#[must_use]
pub fn driver(plan: &Plan) -> String {
    let entries = &plan.resolved.scenario.entries;
    let name = entries.iter().find(|entry| entry.key.path == "driver");
    match name.map(|entry| entry.value_text(bitepoint_inputs::quantity::UnitSystem::Si)).as_deref() {
        Some("owner") => "an owner who drives the car every day".to_owned(),
        Some("tester") => "a professional tester".to_owned(),
        _ => "a keen driver with normal consistency".to_owned(),
    }
}

/// Mean time and band, each with what it covers: the driver's scatter alone, and that with what is not known of the car.
#[must_use]
pub fn bands(plan: &Plan) -> [(&'static str, String); 2] {
    let of = |expected: &Expectation| {
        let band = expected.band.map_or(MISSING.to_owned(), |b| band(b.low_s, b.high_s));
        format!("{} ({band})", SPAN.text(expected.mean_s))
    };
    [
        ("over the scatter of the driver alone (driver)", of(&plan.driver.expected)),
        ("over that and what is not known of the car (both)", of(&plan.driver.likely)),
    ]
}

/// The time to 60 ft, with rollout where it is known.
#[must_use]
pub fn sixty_feet(plan: &Plan) -> Option<String> {
    let passed = plan.driver.run.gate("60 ft")?;
    let rolled = passed.with_rollout_s.map_or(String::new(), |s| format!(" ({} with rollout)", SPAN.text(s)));
    Some(format!("{}{rolled}", SPAN.text(passed.time_s)))
}

/// The bound in one line: what is not advice.
#[must_use]
pub fn bound(plan: &Plan) -> String {
    let exact = format!("quickest exact run found {}", GATE_TIME.decimals(2).text(plan.best.time_s));
    match &plan.driver.standing {
        Some(standing) => format!(
            "theoretical limit {} ({} with these shifts); {exact}: a bound, not advice",
            SPAN.text(standing.traction_and_power_s),
            SPAN.text(standing.with_shifts_s)
        ),
        None => format!("{exact}: a bound, not advice"),
    }
}

/// Where the plan's time over the theoretical limit goes, most first: "clutch 0.42 s, tyre 0.31 s".
#[must_use]
pub fn lost(plan: &Plan) -> String {
    let Some(standing) = &plan.driver.standing else { return String::new() };
    let mut lost: Vec<(Limit, f64)> =
        Limit::ALL.into_iter().zip(standing.lost_s).filter(|(_, s)| s.abs() >= 0.005).collect();
    lost.sort_by(|a, b| b.1.total_cmp(&a.1));
    let each: Vec<String> = lost.iter().map(|(limit, s)| format!("{} {}", limit.name(), SPAN.text(*s))).collect();
    if each.is_empty() { "nothing".to_owned() } else { each.join(", ") }
}

/// One effort, as a row of the table of efforts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EffortRow {
    /// Its name, marked where the plan is at this effort.
    pub name: String,
    /// Expected time.
    pub time: String,
    /// Held revs.
    pub revs: String,
    /// Heat made in the clutch.
    pub heat: String,
    /// Highest temperature of the clutch face.
    pub face: String,
    /// Largest shaft torque, of the steady one at full throttle in first gear.
    pub shaft: String,
    /// What it costs the car.
    pub costs: String,
}

/// The efforts, gentlest first. Every effort was searched with a few starts; their differences are put on the plan's expected time, which
/// comes from many.
#[must_use]
pub fn efforts(plan: &Plan, units: Units) -> Vec<EffortRow> {
    let clutch = &plan.resolved.vehicle.vehicle.clutch;
    let at = |effort: Effort| plan.levels.iter().find(|level| level.effort == effort);
    let chosen_s = at(plan.wanted.effort).map_or(plan.driver.expected.mean_s, |level| level.expected_s);
    let row = |level: &Level| EffortRow {
        name: if level.effort == plan.wanted.effort {
            format!("{} (this plan)", level.effort.name())
        } else {
            level.effort.name().to_owned()
        },
        time: SPAN.text(plan.driver.expected.mean_s + level.expected_s - chosen_s),
        revs: ENGINE_SPEED.text(level.launch.held_radps),
        heat: ENERGY.decimals(0).text(level.clutch_energy_j),
        face: units.temperature().text(level.clutch_face_c),
        shaft: SHARE.text(level.shaft_over_steady),
        costs: costs_the_car(level, clutch),
    };
    plan.levels.iter().map(row).collect()
}

/// What an effort costs the car, in words.
fn costs_the_car(level: &Level, clutch: &Clutch) -> String {
    let of_clutch = if level.clutch_face_c >= clutch.harm_c {
        "burns the clutch"
    } else if level.clutch_face_c >= clutch.fade_start_c {
        "clutch fades, heavy wear"
    } else if level.clutch_energy_j > ORDINARY_HEAT_J {
        "hard on the clutch"
    } else if level.clutch_energy_j > LITTLE_HEAT_J {
        "ordinary clutch wear"
    } else {
        "little clutch wear"
    };
    let of_shafts = if level.shaft_over_steady > SHOCK_SHAFT {
        "a shock that can break the driveline"
    } else if level.shaft_over_steady > ORDINARY_SHAFT {
        "hard on the driveline"
    } else {
        "easy on the driveline"
    };
    format!("{of_clutch}, {of_shafts}")
}
