//! Whether a log is of this car: its gears, its limiter, and what it can do at most.

use bitepoint_physics::bounds::traction_and_power_s;
use bitepoint_physics::timing::GATES;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runlog::channel::Channel;
use bitepoint_runlog::gears::known_ratios;
use bitepoint_runlog::log::Log;
use bitepoint_runlog::measure::{MeasuredGate, MeasuredPassing, MeasuredRun};
use bitepoint_runlog::suspicion::{Kind, by_gears, suspicions};

use super::fault::FaultKind;
use super::make::Review;
use super::trace::SPARSE_S;

/// Mean difference between the log's engine speed and that of the same start on the model, as a share of the limiter's speed, from which a
/// log is doubted; the same where its gears do not fit; and from which it is refused if they do not. Set on made starts of seeds 1 and 3,
/// with room for cars that are not quite as their files.
const UNLIKE: f64 = 0.05;
const UNLIKE_IN_GEARS: f64 = 0.035;
const FAR: f64 = 0.13;
/// A start is too quick for the car if it takes less than this share of the bound, its error allowed for.
const UNDER_BOUND: f64 = 0.98;
/// And too quick for the car on any surface if it takes less than this share of the bound of its power alone: some 25 % more power, which
/// neither a sheet nor a slope is off by.
const UNDER_POWER: f64 = 0.8;
/// Friction at which tyres bound nothing.
const ANY_GRIP: f64 = 5.0;
/// Errors of a measured time that are allowed for, in standard errors.
const ERRORS: f64 = 3.0;
/// An engine that stays this far over the limiter's cut is not this car's, or its limiter is not; for so long, s.
const OVER_CUT: f64 = 1.04;
const OTHER_CUT: f64 = 1.2;
const STAYS_S: f64 = 0.3;

/// What speaks against a log's being this car's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Whether it speaks so clearly that the log should not be reviewed.
    pub refuses: bool,
    /// What was found, as a sentence.
    pub what: String,
    /// What would be accepted; empty where there is nothing to say.
    pub accepted: &'static str,
}

const OWN_LOG: &str = "a log whose engine turns with the road as the vehicle file's gears, final drive and tyres say";
const OWN_PACE: &str = "a log of this car with its speed in the right unit (--map speed=COLUMN:UNIT)";

/// Doubts about a log's measured runs for a car on a day that need no model of the start.
#[must_use]
pub fn doubts(log: &Log, runs: &[MeasuredRun], vehicle: &Vehicle, scenario: &Scenario) -> Vec<Doubt> {
    let own = suspicions(log, runs, None).into_iter();
    let mut found: Vec<Doubt> =
        own.map(|s| Doubt { refuses: s.kind != Kind::SpeedScale, what: sentence(&s.what), accepted: "" }).collect();
    found.extend(by_limiter(log, runs, vehicle));
    found.extend(by_bounds(runs, vehicle, scenario));
    found
}

/// An engine that stays over where this car's limiter cuts.
fn by_limiter(log: &Log, runs: &[MeasuredRun], vehicle: &Vehicle) -> Option<Doubt> {
    let cut = vehicle.engine.limiter.cut_radps;
    let highest = runs.iter().filter_map(|run| stays_at(log, run)).fold(0.0, f64::max);
    let rpm = |radps: f64| radps * 30.0 / core::f64::consts::PI;
    (highest > OVER_CUT * cut).then(|| Doubt {
        refuses: highest > OTHER_CUT * cut,
        what: format!(
            "The engine turns at {:.0} rpm, where this car's limiter cuts at {:.0} rpm: another car's log, or another redline than the file says.",
            rpm(highest),
            rpm(cut)
        ),
        accepted: OWN_LOG,
    })
}

/// The highest engine speed that lasts, rad/s.
fn stays_at(log: &Log, run: &MeasuredRun) -> Option<f64> {
    let engine = log.stretches.get(run.start.stretch)?.known(Channel::EngineSpeed);
    let within: Vec<(f64, f64)> =
        engine.into_iter().filter(|(t, _)| (run.start.stood_until_s..=run.start.ended_s).contains(t)).collect();
    let lasts = |i: usize| {
        let window = within[i..].iter().take_while(|(t, _)| *t <= within[i].0 + STAYS_S);
        let (count, least) = window.fold((0, f64::INFINITY), |(n, least): (usize, f64), p| (n + 1, least.min(p.1)));
        (count > 1).then_some(least)
    };
    (0..within.len()).filter_map(lasts).max_by(f64::total_cmp)
}

/// When a gate was passed at the latest, its error allowed for, s.
fn latest_s(passed: &MeasuredPassing) -> f64 {
    passed.time_s.value + ERRORS * passed.time_s.sd
}

/// Starts that are quicker than the car can be.
fn by_bounds(runs: &[MeasuredRun], vehicle: &Vehicle, scenario: &Scenario) -> Option<Doubt> {
    let mut grips = scenario.clone();
    grips.surface.friction_scale *= ANY_GRIP;
    // One bound serves all starts: of each gate the quickest is the nearest to it.
    let quickest: Vec<(&MeasuredGate, MeasuredPassing)> = (0..GATES.len())
        .filter_map(|gate| {
            let passed = runs.iter().filter_map(|run| Some((&run.gates[gate], run.gates[gate].passed?)));
            passed.min_by(|a, b| latest_s(&a.1).total_cmp(&latest_s(&b.1)))
        })
        .collect();
    let least = |scenario: &Scenario| {
        let shares = quickest.iter().map(|(gate, passed)| {
            let latest_s = latest_s(passed);
            // A bound that is not reached by then is over it.
            let within_s = latest_s / UNDER_POWER + 1.0;
            let bound_s = traction_and_power_s(vehicle, scenario, gate.mark, within_s).unwrap_or(within_s);
            (latest_s / bound_s, gate.name, passed.time_s.value, bound_s)
        });
        shares.min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let told = |(_, gate, time_s, bound_s): (f64, &str, f64, f64)| {
        format!(
            "A start takes {time_s:.2} s to {gate}; with perfect grip of the tyres and no shifts this car needs {bound_s:.2} s"
        )
    };
    if let Some(worst) = least(&grips).filter(|w| w.0 < UNDER_POWER) {
        let what =
            format!("{} by its power alone: another car's log, or the speed's unit is another one.", told(worst));
        return Some(Doubt { refuses: true, what, accepted: OWN_PACE });
    }
    let worst = least(scenario).filter(|w| w.0 < UNDER_BOUND)?;
    let what = format!(
        "{} on this surface: do not trust what follows. Surface, slope or car are not as the files say, this is another car's log, or the speed's unit \
         is another one.",
        told(worst)
    );
    Some(Doubt { refuses: false, what, accepted: OWN_PACE })
}

/// A doubt that shows once the starts have been run again on the model: spinning wheels and slipping clutches hide a car's gears, but then
/// the model's engine turns as the log's. Engine speeds far apart in every start are another car's.
#[must_use]
pub fn unlike(log: &Log, review: &Review) -> Option<Doubt> {
    if review.starts.iter().all(|s| s.engine.is_empty()) {
        return None;
    }
    let runs: Vec<MeasuredRun> = review.starts.iter().map(|s| s.run.clone()).collect();
    let gears = by_gears(log, &runs, &known_ratios(&review.best.vehicle));
    if log.rate.is_some_and(|r| r.period_s > SPARSE_S) {
        // Between sparse rows spinning wheels and shifts look like gears.
        let spins = review.starts.iter().flat_map(|s| &s.faults).any(|f| f.kind == FaultKind::Wheelspin);
        return gears.filter(|_| !spins).map(|g| Doubt { refuses: false, what: sentence(&g.what), accepted: "" });
    }
    let nearest = review.starts.iter().filter_map(|s| s.engine_off).min_by(f64::total_cmp);
    // Starts that were broken off show too little to refuse a log by.
    let reached = review.starts.iter().any(|s| s.time_s.is_some());
    // Two things that speak against a log are enough where each alone would not be.
    let over = by_limiter(log, &runs, &review.best.vehicle).is_some();
    let far = reached && nearest.is_none_or(|off| off > if over { UNLIKE } else { FAR });
    let tells = reached || gears.is_some();
    let limit = if gears.is_some() { UNLIKE_IN_GEARS } else { UNLIKE };
    let what = match (nearest, gears) {
        (_, Some(gears)) if far => {
            return Some(Doubt { refuses: true, what: sentence(&gears.what), accepted: OWN_LOG });
        }
        (Some(off), _) if tells && off > limit => format!(
            "Driven as the log shows, the model's engine turns otherwise than the log's, by {:.0} % of the limiter's speed even in the start \
             that is most like it: do not trust what follows unless you know that this log, the gear ratios and the tyres are this car's.",
            100.0 * off
        ),
        _ => return None,
    };
    Some(Doubt { refuses: false, what, accepted: "" })
}

/// With a capital and a full stop.
fn sentence(what: &str) -> String {
    let mut letters = what.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}
