//! What shows a fault, in words.

use bitepoint_runner::review::{Fault, FaultKind, Yardstick};

use crate::format::{ACCELERATION, ENGINE_SPEED, SHARE, SPAN, Units};

/// What shows a fault, as a sentence without a full stop.
#[must_use]
pub fn evidence(fault: &Fault, best: &Yardstick, units: Units) -> String {
    let seconds = SPAN.decimals(1);
    let lasts = seconds.text(fault.to_s - fault.from_s);
    let pull = ACCELERATION.text_or_dash(fault.pull_mps2);
    let ahead = || units.speed().decimals(0).text(fault.measured);
    match fault.kind {
        FaultKind::Wheelspin => {
            format!("driven wheels up to {} ahead of the road for {lasts}; the car pulls {pull}", ahead())
        }
        FaultKind::ClutchSlip => format!(
            "engine up to {} ahead of the road for {lasts} with the pedal out; the car pulls {pull}, its tyres could give {}",
            ahead(),
            ACCELERATION.text_or_dash(fault.grip_mps2)
        ),
        FaultKind::Bog => format!(
            "revs fall to {} after the bite; in the recommended launch to {}",
            ENGINE_SPEED.text(fault.measured),
            ENGINE_SPEED.text(fault.planned)
        ),
        FaultKind::SlowRelease => {
            format!(
                "pedal up in {}; in the recommended launch {}",
                seconds.text(fault.measured),
                seconds.text(fault.planned)
            )
        }
        FaultKind::LateThrottle => format!(
            "wide open {} after the car moves; in the recommended launch {}",
            seconds.text(fault.measured),
            seconds.text(fault.planned)
        ),
        FaultKind::EarlyLift if fault.to_s <= fault.from_s => "the car slows before the gate".to_owned(),
        FaultKind::EarlyLift => format!("throttle down to {} for {lasts} in gear", SHARE.text(fault.measured)),
        FaultKind::EarlyShift | FaultKind::LateShift => {
            format!("{} at {}; {}", gears(fault.gear), ENGINE_SPEED.text(fault.measured), left_at(fault.planned, best))
        }
        FaultKind::LimiterBounce => {
            let cut = ENGINE_SPEED.text(best.vehicle.engine.limiter.cut_radps);
            format!("engine at its limiter ({cut}) for {}", seconds.text(fault.measured))
        }
        FaultKind::MissedShift => format!(
            "{} takes {}; this gearbox needs {}",
            gears(fault.gear),
            seconds.text(fault.measured),
            seconds.text(fault.planned)
        ),
    }
}

/// The two gears of a shift: "1 to 2".
pub(super) fn gears(from: Option<u8>) -> String {
    from.map_or_else(String::new, |from| format!("{from} to {}", from + 1))
}

/// Where the best run leaves a gear.
pub(super) fn left_at(planned_radps: f64, best: &Yardstick) -> String {
    if planned_radps < best.vehicle.engine.limiter.cut_radps {
        format!("recommended {}", ENGINE_SPEED.text(planned_radps))
    } else {
        "the best run does not leave that gear".to_owned()
    }
}
