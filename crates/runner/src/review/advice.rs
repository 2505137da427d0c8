//! The one thing to change next.

use serde::Serialize;

use super::fault::FaultKind;
use super::make::Reviewed;
use super::yardstick::Yardstick;

const RPM: f64 = 30.0 / core::f64::consts::PI;
/// Less than this is not worth a change, s.
const WORTH_IT_S: f64 = 0.02;

/// What to change, and why.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Advice {
    /// The fault that it answers; nothing where no fault cost enough.
    pub fault: Option<FaultKind>,
    /// Starts that had it.
    pub starts: usize,
    /// What it cost in a start on the mean, s.
    pub mean_lost_s: f64,
    /// The change, as a sentence with its number.
    pub change: String,
}

/// What cost most over all starts with costs, and its remedy, with the numbers of the start in which it cost most.
pub(super) fn advice(starts: &[Reviewed], best: &Yardstick) -> Advice {
    let counted = starts.iter().filter(|s| s.costs.is_some()).count();
    let total = |kind: FaultKind| -> f64 { starts.iter().flat_map(|s| s.lost_to(kind)).map(|(_, lost)| lost).sum() };
    let worst = FaultKind::ALL.into_iter().map(|k| (k, total(k))).max_by(|a, b| a.1.total_cmp(&b.1));
    let none = |change: &str| Advice { fault: None, starts: 0, mean_lost_s: 0.0, change: change.to_owned() };
    let Some((kind, lost_s)) = worst.filter(|(_, lost)| *lost > WORTH_IT_S * counted.max(1) as f64) else {
        return none(if counted == 0 {
            "No start reached the gate: drive one through it."
        } else {
            "No fault was found that costs enough to say what to change: look to car, air and surface."
        });
    };
    let of_kind = starts.iter().filter(|s| s.lost_to(kind).next().is_some());
    let example = starts
        .iter()
        .flat_map(|s| s.lost_to(kind).map(move |(i, lost)| (s, i, lost)))
        .max_by(|a, b| a.2.total_cmp(&b.2));
    let change = example.map_or_else(String::new, |(start, i, _)| remedy(start, i, best));
    Advice { fault: Some(kind), starts: of_kind.count(), mean_lost_s: lost_s / counted.max(1) as f64, change }
}

fn remedy(start: &Reviewed, index: usize, best: &Yardstick) -> String {
    let fault = &start.faults[index];
    let (hold, release_s) = (best.launch.held_radps * RPM, best.launch.release_s);
    let round = |rpm: f64| 50.0 * (rpm / 50.0).round();
    let held = start.held_radps.map(|w| w * RPM);
    let from = held.map_or(String::new(), |h| format!(" instead of {:.0}", round(h)));
    match fault.kind {
        FaultKind::Wheelspin if held.is_none_or(|h| h > 1.05 * hold) => {
            format!("Hold {:.0} rpm{from}, and let the pedal up over {release_s:.1} s.", round(hold))
        }
        FaultKind::Wheelspin => format!(
            "Keep {:.0} rpm and let the pedal up over {release_s:.1} s{}; ease the throttle in over {:.1} s.",
            round(hold),
            start.release_s.map_or(String::new(), |s| format!(" instead of {s:.1} s")),
            best.launch.throttle_ease_s
        ),
        FaultKind::Bog if held.is_none_or(|h| h < 0.95 * hold) => {
            format!("Hold {:.0} rpm{from}, and let the pedal up over {release_s:.1} s.", round(hold))
        }
        FaultKind::Bog => format!(
            "Let the pedal up over {release_s:.1} s{} at {:.0} rpm.",
            start.release_s.map_or(String::new(), |s| format!(" instead of {s:.1} s")),
            round(hold)
        ),
        FaultKind::ClutchSlip => format!(
            "Let the clutch cool before the next start; if it still slips with the pedal out ({:.0} km/h ahead), have it inspected before any other.",
            3.6 * fault.measured
        ),
        FaultKind::SlowRelease => {
            format!("Let the pedal up over {:.1} s instead of {:.1} s.", fault.planned, fault.measured)
        }
        FaultKind::LateThrottle => format!(
            "Have the throttle wide open {:.1} s after the car moves instead of {:.1} s.",
            fault.planned.max(0.0),
            fault.measured
        ),
        FaultKind::EarlyLift => {
            format!(
                "Keep the throttle open through {:.1} s, where it was closed to {:.0} %.",
                fault.from_s,
                100.0 * fault.measured
            )
        }
        FaultKind::EarlyShift | FaultKind::LateShift => format!(
            "Shift {} to {} at {:.0} rpm instead of {:.0}.",
            fault.gear.unwrap_or(1),
            fault.gear.unwrap_or(1) + 1,
            round(fault.planned * RPM),
            round(fault.measured * RPM)
        ),
        FaultKind::LimiterBounce => {
            let cut = best.vehicle.engine.limiter.cut_radps;
            let shift = best.run.shifts.first().map_or(0.97 * cut, |s| s.engine_radps).min(0.97 * cut);
            format!(
                "Shift by {:.0} rpm: the engine hung at {:.0} rpm for {:.1} s.",
                round(shift * RPM),
                cut * RPM,
                fault.measured
            )
        }
        FaultKind::MissedShift => format!(
            "Practise {} to {} at rest: it took {:.1} s instead of {:.1} s.",
            fault.gear.unwrap_or(1),
            fault.gear.unwrap_or(1) + 1,
            fault.measured,
            fault.planned
        ),
    }
}
