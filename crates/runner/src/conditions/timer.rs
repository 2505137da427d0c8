//! The model's time under any conditions, for one car driven one way.

use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{RunError, Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::condition::Conditions;
use crate::target::{Clock, Target};

/// A car, a driver and a surface that stay as they are while the conditions change.
#[derive(Debug, Clone, Copy)]
pub struct Timer<'a> {
    /// The car.
    pub vehicle: &'a Vehicle,
    /// Driver and surface; its own conditions are not looked at.
    pub scenario: &'a Scenario,
    /// Name of the gate.
    pub gate: &'static str,
    /// Error allowed in each run.
    pub tolerances: Tolerances,
}

/// A run's time to the gate on both clocks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// From the first movement, s.
    pub from_movement_s: f64,
    /// From the end of the rollout, s.
    pub with_rollout_s: f64,
    /// Distance covered at the gate, m.
    pub distance_m: f64,
}

impl Timer<'_> {
    /// The run under these conditions, to the gate and no further.
    ///
    /// # Errors
    /// As for [`simulate`].
    pub fn run(&self, conditions: &Conditions) -> Result<Run, RunError> {
        let target = Target { gate: self.gate, clock: Clock::FirstMovement };
        let scenario = target.ending(&conditions.put_into(self.scenario));
        let scenario = Scenario { rollout_m: conditions.rollout_m, ..scenario };
        simulate(self.vehicle, &scenario, &self.tolerances)
    }

    /// Its times; nothing if the gate was not reached, or lies within the rollout.
    #[must_use]
    pub fn times(&self, conditions: &Conditions) -> Option<Times> {
        Times::of(&self.run(conditions).ok()?, self.gate)
    }

    /// Time on the clock of the conditions, s; nothing as for [`Timer::times`].
    #[must_use]
    pub fn time_s(&self, conditions: &Conditions) -> Option<f64> {
        self.times(conditions).map(|times| times.on_clock_s(conditions.rollout_m))
    }
}

impl Times {
    /// Times of a run at a gate.
    #[must_use]
    pub fn of(run: &Run, gate: &str) -> Option<Self> {
        let passed = run.gate(gate)?;
        Some(Self {
            from_movement_s: passed.time_s,
            with_rollout_s: passed.with_rollout_s?,
            distance_m: passed.distance_m,
        })
    }

    /// From the first movement if the rollout is none, else from its end, s.
    #[must_use]
    pub fn on_clock_s(&self, rollout_m: f64) -> f64 {
        if rollout_m > 0.0 { self.with_rollout_s } else { self.from_movement_s }
    }
}
