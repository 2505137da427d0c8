//! What becomes of a launch: its run to the target, and the verdict on it.

use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{RunError, Tolerances, simulate};
use bitepoint_physics::timing::Mark;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::limits::Limits;
use super::verdict::Verdict;
use crate::launch::Launch;
use crate::target::Target;
use crate::watch::Watch;

/// Runs launches of one car on one day to one target.
pub struct Judge<'a> {
    /// The car.
    pub vehicle: &'a Vehicle,
    /// The day, ended at the target.
    pub scenario: Scenario,
    /// What is to be reached.
    pub target: Target,
    /// What the launch done exactly may not exceed.
    pub limits: Limits,
    /// What no start of a driver may exceed either.
    pub always: Limits,
    tolerances: Tolerances,
    watch: &'a dyn Watch,
}

const HURRIED: Tolerances = Tolerances { relative: 1e-3 };

impl<'a> Judge<'a> {
    /// A judge of this car on this day.
    #[must_use]
    pub fn new(
        vehicle: &'a Vehicle,
        scenario: &Scenario,
        target: Target,
        limits: Limits,
        watch: &'a dyn Watch,
    ) -> Self {
        let (scenario, tolerances) = (target.ending(scenario), Tolerances::default());
        Self { vehicle, scenario, target, limits, always: limits, tolerances, watch }
    }

    /// The same judge in a hurry: times within some 3 ms of the exact ones, for two thirds of the work or less. Enough to tell valleys apart
    /// and for means over many starts.
    #[must_use]
    pub fn hurried(&self) -> Self {
        Self { scenario: self.scenario.clone(), tolerances: HURRIED, ..*self }
    }

    /// The same judge at the accuracy of a report.
    #[must_use]
    pub fn unhurried(&self) -> Self {
        Self { scenario: self.scenario.clone(), tolerances: Tolerances::default(), ..*self }
    }

    /// The same judge with other limits, for launches done exactly alone: what protects the car by default is for the plan, not for every
    /// error.
    #[must_use]
    pub fn protecting(&self, limits: Limits) -> Self {
        Self { scenario: self.scenario.clone(), limits, ..*self }
    }

    /// Whether the rest is no longer wanted.
    #[must_use]
    pub fn called_off(&self) -> bool {
        self.watch.called_off()
    }

    /// The scenario driven with a launch.
    #[must_use]
    pub fn driven(&self, launch: &Launch) -> Scenario {
        Scenario { driver: launch.by(&self.scenario.driver), ..self.scenario.clone() }
    }

    /// The run of a launch.
    ///
    /// # Errors
    /// A run that cannot be computed.
    pub fn run(&self, launch: &Launch) -> Result<Run, RunError> {
        self.run_of(self.vehicle, &self.driven(launch))
    }

    /// The run of a scenario that was made with [`Judge::driven`], of this car or of one that differs a little.
    ///
    /// # Errors
    /// A run that cannot be computed.
    pub fn run_of(&self, vehicle: &Vehicle, driven: &Scenario) -> Result<Run, RunError> {
        let run = simulate(vehicle, driven, &self.tolerances);
        self.watch.done(1);
        run
    }

    /// What becomes of a launch done exactly.
    #[must_use]
    pub fn verdict(&self, launch: &Launch) -> Verdict {
        self.verdict_on(launch, self.run(launch).ok().as_ref())
    }

    /// The same for a run that was made; nothing is one that could not be computed.
    #[must_use]
    pub fn verdict_on(&self, launch: &Launch, run: Option<&Run>) -> Verdict {
        let Some(run) = run.filter(|_| !self.called_off()) else { return Verdict::Failed };
        let Some(time_s) = self.target.time_s(run) else { return Verdict::NotReached(1.0 - self.progress(run)) };
        let engine = &self.vehicle.engine;
        let excess = self.limits.excess(run);
        let above = launch.held_radps.max(run.launch.bite_radps) - engine.redline_radps;
        if excess > 0.0 {
            Verdict::OverLimit(excess)
        } else if above > 1e-6 {
            Verdict::AboveRedline(above)
        } else if run.launch.lowest_radps < engine.idle_radps {
            Verdict::UnderIdle(engine.idle_radps - run.launch.lowest_radps)
        } else {
            Verdict::Arrives(time_s)
        }
    }

    /// Fraction of the way to the target that a run came.
    fn progress(&self, run: &Run) -> f64 {
        match self.target.mark().mark {
            Mark::DistanceM(at) => run.distance_m / at,
            Mark::SpeedMps(at) => run.final_speed_mps / at,
        }
        .clamp(0.0, 1.0)
    }
}
