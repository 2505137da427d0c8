//! Seconds per unit of each condition, around the day as it is.

use rayon::prelude::*;
use serde::Serialize;

use super::condition::{CONDITIONS, Condition, Conditions};
use super::timer::Timer;
use crate::bands::Band;

/// How a time answers to one condition.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Sensitivity {
    /// The condition.
    pub condition: Condition,
    /// Lower end of the step over which it was taken, SI (a slope as rise over run, a humidity from 0 to 1).
    pub from_si: f64,
    /// Upper end, SI.
    pub to_si: f64,
    /// Change of the time over the step divided by the step, s per SI unit.
    pub s_per_si: f64,
    /// Its spread from the inputs' spreads; nothing if none was computed.
    pub band_s_per_si: Option<Band>,
}

/// A step: from one side of the day to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Step {
    pub(super) condition: Condition,
    /// Below the day, SI; not positive.
    below_si: f64,
    /// Above it, SI.
    above_si: f64,
}

/// Half of the step of each condition, SI: 0.5 %, 2 m/s, 5 K, 10 hPa, 20 points. Each changes a time by milliseconds at least,
/// some thousand times what the solver leaves uncertain, and by little enough that the answer is still straight.
const HALF_STEPS: [f64; CONDITIONS - 1] = [0.005, 2.0, 5.0, 1000.0, 0.2];

impl Step {
    /// The steps around a day: central, but for humidity, which stays between 0 and 1, and the rollout, whose step is the whole of it.
    pub(super) fn around(day: &Conditions, rollout_m: f64) -> Vec<Self> {
        let driven = Condition::ALL.into_iter().zip(HALF_STEPS).map(|(condition, half)| {
            let shift = if condition == Condition::Humidity {
                let humidity = day.air.relative_humidity;
                (half - humidity).max(0.0) - (humidity + half - 1.0).max(0.0)
            } else {
                0.0
            };
            Self { condition, below_si: shift - half, above_si: shift + half }
        });
        let rollout =
            Self { condition: Condition::Rollout, below_si: -day.rollout_m, above_si: rollout_m - day.rollout_m };
        driven.chain((rollout_m > 0.0).then_some(rollout)).collect()
    }

    /// Change of the time over the step divided by it, s per SI unit; nothing if a run does not reach the gate.
    pub(super) fn slope(&self, timer: &Timer<'_>, day: &Conditions) -> Option<f64> {
        let at = |by_si: f64| timer.time_s(&day.moved(self.condition, by_si));
        Some((at(self.above_si)? - at(self.below_si)?) / (self.above_si - self.below_si))
    }

    fn sensitivity(&self, at_si: f64, s_per_si: f64, band_s_per_si: Option<Band>) -> Sensitivity {
        Sensitivity {
            condition: self.condition,
            from_si: at_si + self.below_si,
            to_si: at_si + self.above_si,
            s_per_si,
            band_s_per_si,
        }
    }
}

/// How the time on a day answers to each condition; nothing if a run does not reach the gate. `rollout_m` is what the rollout would be, on
/// whichever clock.
#[must_use]
pub fn sensitivities(timer: &Timer<'_>, day: &Conditions, rollout_m: f64, distance_m: f64) -> Option<Vec<Sensitivity>> {
    Step::around(day, rollout_m)
        .par_iter()
        .map(|step| Some(step.sensitivity(day.value(step.condition, distance_m), step.slope(timer, day)?, None)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conditions::{Reference, StandardAir};
    use crate::target::Clock;

    fn level() -> Conditions {
        Reference::level_and_still(StandardAir::Iso2533, Clock::FirstMovement).conditions
    }

    #[test]
    fn a_step_in_humidity_stays_within_what_air_can_hold() {
        for humidity in [0.0, 0.1, 0.5, 0.95, 1.0] {
            let mut day = level();
            day.air.relative_humidity = humidity;
            let step = Step::around(&day, 0.3)[4];
            assert_eq!(step.condition, Condition::Humidity);
            let (from, to) = (humidity + step.below_si, humidity + step.above_si);
            assert!(from >= -1e-12 && to <= 1.0 + 1e-12 && (to - from - 0.4).abs() < 1e-12, "{from} to {to}");
        }
    }

    #[test]
    fn the_rollout_is_stepped_over_as_a_whole() {
        let day = Conditions { rollout_m: 0.3, ..level() };
        let step = Step::around(&day, 0.3)[5];
        assert_eq!((step.below_si, step.above_si), (-0.3, 0.0));
    }
}
