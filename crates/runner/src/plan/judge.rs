//! What a launch is worth: its run to the target, and a number to make small.

use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{RunError, Tolerances, simulate};
use bitepoint_physics::timing::Mark;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use super::limits::Limits;
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
    /// What no start may exceed.
    pub limits: Limits,
    tolerances: Tolerances,
    watch: &'a dyn Watch,
}

/// Added to what a run is worth whose engine is dragged under its idle, that breaks a limit, and that does not arrive: no time of a
/// run comes near.
const DRAGGED: f64 = 1e3;
const BROKEN: f64 = 1e4;
const NOT_THERE: f64 = 1e6;
/// What a run that cannot be computed, or is no longer wanted, is worth.
const NOTHING: f64 = 1e9;
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
        Self { vehicle, scenario: target.ending(scenario), target, limits, tolerances: Tolerances::default(), watch }
    }

    /// The same judge in a hurry: times within some 3 ms of the exact ones, for two thirds of the work or less. Enough to tell valleys apart
    /// and for means over many starts.
    #[must_use]
    pub fn hurried(&self) -> Self {
        Self { scenario: self.scenario.clone(), tolerances: HURRIED, ..*self }
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
        self.run_of(&self.driven(launch))
    }

    /// The run of a scenario that was made with [`Judge::driven`].
    ///
    /// # Errors
    /// A run that cannot be computed.
    pub fn run_of(&self, driven: &Scenario) -> Result<Run, RunError> {
        let run = simulate(self.vehicle, driven, &self.tolerances);
        self.watch.done(1);
        run
    }

    /// What a launch is worth; less is better. Its time, if it arrives, keeps the limits and does not drag the engine under its idle: under
    /// that no torque curve says what an engine does, and within a hair of stalling the model finds starts that nobody can
    /// repeat. One that does is worth more than any that does not, and the more the further; likewise, above those, one that breaks a limit,
    /// and one that does not arrive.
    #[must_use]
    pub fn worth(&self, launch: &Launch) -> f64 {
        self.worth_by(launch, &|run, time_s| self.worth_of(run, time_s))
    }

    /// The same for a run that arrives after `time_s`.
    #[must_use]
    pub fn worth_of(&self, run: &Run, time_s: f64) -> f64 {
        let excess = self.limits.excess(run);
        let idle = self.vehicle.engine.idle_radps;
        if excess > 0.0 {
            Self::beyond_limits(excess)
        } else if run.launch.lowest_radps < idle {
            DRAGGED + (idle - run.launch.lowest_radps)
        } else {
            time_s
        }
    }

    /// What a launch is worth that exceeds the limits by so much.
    #[must_use]
    pub fn beyond_limits(excess: f64) -> f64 {
        BROKEN + excess
    }

    /// Whether that worth is a time: the launch arrives, keeps the limits and leaves the engine above its idle.
    #[must_use]
    pub fn is_time(worth: f64) -> bool {
        worth < DRAGGED
    }

    /// The same with another measure of the runs that arrive.
    #[must_use]
    pub fn worth_by(&self, launch: &Launch, measure: &dyn Fn(&Run, f64) -> f64) -> f64 {
        if self.called_off() {
            return NOTHING;
        }
        match self.run(launch) {
            Err(_) => NOTHING,
            Ok(run) => match self.target.time_s(&run) {
                Some(time_s) => measure(&run, time_s),
                None => NOT_THERE + 1e3 * (1.0 - self.progress(&run)),
            },
        }
    }

    /// Share of the way to the target that a run came.
    fn progress(&self, run: &Run) -> f64 {
        match self.target.mark().mark {
            Mark::DistanceM(at) => run.distance_m / at,
            Mark::SpeedMps(at) => run.final_speed_mps / at,
        }
        .clamp(0.0, 1.0)
    }

    /// Whether that worth is of a launch that arrives.
    #[must_use]
    pub fn arrives(worth: f64) -> bool {
        worth < NOT_THERE
    }

    /// Whether that worth is of a launch that arrives and keeps the limits.
    #[must_use]
    pub fn keeps_limits(worth: f64) -> bool {
        worth < BROKEN
    }
}
