//! Starts of one drawn car, and the launch that suits it.

use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::car::time_of;
use super::draws::{Driven, Field};
use crate::launch::Launch;
use crate::plan::{Decision, Limits};
use crate::target::Target;

/// One car as a draw made it.
pub(super) struct Starts<'a> {
    vehicle: Vehicle,
    scenario: Scenario,
    shift_at_radps: &'a [f64],
    target: Target,
    limits: &'a Limits,
}

/// Added to the time of a start that drags the engine under its idle, s: nobody can repeat it, so it is taken only if there is no other.
const UNDER_IDLE_S: f64 = 1e3;

/// First step of the search, as a share of the way from the least to the most of each number.
const STEP: f64 = 0.08;

impl<'a> Starts<'a> {
    pub(super) fn of(field: &'a Field<'_>, car: &'a Driven<'_>, normal: &dyn Fn(&str) -> f64) -> Self {
        let (vehicle, scenario) = car.case.drawn(&car.expected.vehicle, normal);
        Self { vehicle, scenario, shift_at_radps: &car.shift_at_radps, target: field.target, limits: &field.limits }
    }

    /// The car with every value as expected.
    pub(super) fn as_expected(field: &'a Field<'_>, car: &'a Driven<'_>) -> Self {
        Self {
            vehicle: car.expected.vehicle.clone(),
            scenario: car.expected.scenario.clone(),
            shift_at_radps: &car.shift_at_radps,
            target: field.target,
            limits: &field.limits,
        }
    }

    /// Time to the target with exactly this launch, s.
    pub(super) fn time_s(&self, launch: &Launch) -> Option<f64> {
        time_of(&self.vehicle, &self.scenario, launch, self.target).map(|(_, time_s)| time_s)
    }

    /// What a launch with this car's own shift points is worth, s: less is better, without end if it does not arrive.
    pub(super) fn worth_s(&self, launch: &Launch) -> f64 {
        match time_of(&self.vehicle, &self.scenario, &self.shifted(launch), self.target) {
            Some((run, time_s)) if self.limits.kept_by(&run) => {
                let sound = run.launch.lowest_radps >= self.vehicle.engine.idle_radps;
                if sound { time_s } else { time_s + UNDER_IDLE_S }
            }
            _ => f64::INFINITY,
        }
    }

    /// The best of some launches, then `tries` more around it: a compass search, whose step is halved where nothing near is better.
    /// The launch and its worth, s; nothing if none arrives.
    pub(super) fn tuned(&self, launches: &[Launch], tries: usize) -> Option<(Launch, f64)> {
        let worth = launches.iter().map(|launch| (self.worth_s(launch), launch.clone()));
        let (mut best_s, mut best) = worth.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let (mut step, mut left) = (STEP, tries);
        while left > 0 && best_s.is_finite() {
            let before_s = best_s;
            // The number with the sharpest valleys first.
            for (decision, by) in
                Decision::LAUNCH.iter().rev().flat_map(|decision| [(*decision, -step), (*decision, step)])
            {
                let near = self.moved(&best, decision, by);
                let idle = decision == Decision::PartUntil && !best.holds_part_throttle();
                if left == 0 || idle || near == best {
                    continue;
                }
                left -= 1;
                let near_s = self.worth_s(&near);
                if near_s < best_s {
                    (best_s, best) = (near_s, near);
                }
            }
            if best_s >= before_s {
                step *= 0.5;
            }
        }
        let best = self.shifted(&best);
        best_s.is_finite().then_some((best, best_s))
    }

    /// The best of a launch with its worth and some others.
    pub(super) fn best_of(&self, own: Option<(Launch, f64)>, others: &[Launch]) -> Option<(Launch, f64)> {
        let mut best = own?;
        for other in others {
            let worth_s = self.worth_s(other);
            if worth_s < best.1 {
                best = (self.shifted(other), worth_s);
            }
        }
        Some(best)
    }

    /// The time that a worth stands for, s.
    pub(super) fn time_of_worth_s(worth_s: f64) -> f64 {
        if worth_s > UNDER_IDLE_S { worth_s - UNDER_IDLE_S } else { worth_s }
    }

    fn shifted(&self, launch: &Launch) -> Launch {
        Launch { shift_at_radps: self.shift_at_radps.to_vec(), ..launch.clone() }
    }

    fn moved(&self, launch: &Launch, decision: Decision, by: f64) -> Launch {
        let share = decision.share(decision.of(launch), &self.vehicle) + by;
        decision.with(launch, decision.at(share, &self.vehicle))
    }
}
