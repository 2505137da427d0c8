//! One run: steps, located events and mode switches from held revs to the finish.

use core::fmt;

use crate::control;
use crate::dense::crossing;
use crate::events::{EVENTS, Event};
use crate::integrator::{Step, System};
use crate::mode::{Coupling, before_launch};
use crate::model::state::{self, BOOST, DISTANCE, ENGINE, FACE, FELT_REVS, MASS, SPEED, THROTTLE, TRANSFER, TWIST};
use crate::model::{Model, Unit, units};
use crate::record::{Moment, Record, limit};
use crate::road::GRAVITY_MPS2;
use crate::run::{Ending, Limit, Run, Sample, Shift, Work};
use crate::sampler::Sampler;
use crate::vehicle::{Scenario, Vehicle};

/// How exactly a run is solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerances {
    /// Error allowed per step, relative to each state's size plus an ordinary size of it. Smaller is slower, by the
    /// cube root.
    pub relative: f64,
}

impl Default for Tolerances {
    fn default() -> Self {
        Self { relative: 1.4e-4 }
    }
}

/// Why a run gave no result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunError {
    /// A value of the vehicle or scenario that no car has.
    Impossible {
        /// Which.
        what: &'static str,
        /// Its value in SI units.
        value: f64,
    },
    /// A state became infinite or not a number, or could not be followed with any step.
    Lost {
        /// Name of the state that could not be followed.
        state: &'static str,
        /// When, s from the pedal's first movement.
        time_s: f64,
    },
    /// More steps than any real start needs.
    Endless {
        /// Name of the state that asks for the shortest steps.
        state: &'static str,
        /// When, s from the pedal's first movement.
        time_s: f64,
    },
}

impl fmt::Display for RunError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Impossible { what, value } => write!(f, "{what} is {value}, which no car can have"),
            Self::Lost { state, time_s } => {
                write!(
                    f,
                    "the {state} could not be followed {time_s:.4} s after the pedal moved; some stiffness or inertia of the vehicle is far from any real one"
                )
            }
            Self::Endless { state, time_s } => write!(
                f,
                "the run needs more steps than any real start, for its {state} ({time_s:.4} s after the pedal moved); some stiffness or inertia of the vehicle is far from any real one"
            ),
        }
    }
}

impl core::error::Error for RunError {}

/// Simulates one run.
///
/// # Errors
/// A value that no car has, or a state that cannot be followed.
pub fn simulate(vehicle: &Vehicle, scenario: &Scenario, tolerances: &Tolerances) -> Result<Run, RunError> {
    Ok(dispatch(vehicle, scenario, tolerances, None)?.0)
}

/// The same, with the car's state every `every_s` seconds. The run is the same to the last bit.
///
/// # Errors
/// As for [`simulate`].
pub fn simulate_sampled(
    vehicle: &Vehicle,
    scenario: &Scenario,
    tolerances: &Tolerances,
    every_s: f64,
) -> Result<(Run, Vec<Sample>), RunError> {
    dispatch(vehicle, scenario, tolerances, Some(every_s))
}

fn dispatch(
    vehicle: &Vehicle,
    scenario: &Scenario,
    tolerances: &Tolerances,
    every_s: Option<f64>,
) -> Result<(Run, Vec<Sample>), RunError> {
    crate::possible::check(vehicle, scenario)?;
    let found = units(vehicle, scenario);
    // The state's length is a constant of the compiled code, so that its loops unroll.
    match found.len() {
        1 => Simulation::<{ state::LENGTH[0] }>::new(vehicle, scenario, &found, tolerances, every_s).go(),
        2 => Simulation::<{ state::LENGTH[1] }>::new(vehicle, scenario, &found, tolerances, every_s).go(),
        3 => Simulation::<{ state::LENGTH[2] }>::new(vehicle, scenario, &found, tolerances, every_s).go(),
        _ => Simulation::<{ state::LENGTH[3] }>::new(vehicle, scenario, &found, tolerances, every_s).go(),
    }
}

const SHORTEST_STEP_S: f64 = 1e-12;
const LONGEST_STEP_S: f64 = 0.25;
const FIRST_STEP_S: f64 = 1e-3;
const MOST_STEPS: u32 = 400_000;
/// First step after a switch that makes some rate jump, at most. After others the step goes on as it was.
const AFTER_JOLT_S: f64 = 1.2e-2;
/// Events are located to this.
const EVENT_WIDTH_S: f64 = 1e-9;

pub(crate) struct Simulation<'a, const N: usize> {
    pub(crate) model: Model<'a, N>,
    pub(crate) step: Step<N>,
    tolerance: f64,
    /// Event values at the beginning of the step.
    watched: [f64; EVENTS.len()],
    /// The next time at which a program of the mode has a corner, or the time limit.
    corner_s: f64,
    pub(crate) moment: Moment,
    pub(crate) record: Record,
    pub(crate) shifts: Vec<Shift>,
    pub(crate) cut_since_s: Option<f64>,
    pub(crate) limiter_in_gear_s: f64,
    pub(crate) moved_s: Option<f64>,
    /// When the clutch first bites in the launch.
    pub(crate) launch_bite_s: f64,
    /// Engine speed and boost then.
    pub(crate) bite: Option<(f64, f64)>,
    pub(crate) clutch_home: Option<(f64, f64)>,
    pub(crate) work: Work,
    pub(crate) start: [f64; N],
    pub(crate) sampler: Option<Sampler<'a, N>>,
}

impl<'a, const N: usize> Simulation<'a, N> {
    fn new(
        vehicle: &'a Vehicle,
        scenario: &'a Scenario,
        found: &[Unit],
        tolerances: &Tolerances,
        every_s: Option<f64>,
    ) -> Self {
        let engine = &vehicle.engine;
        let driver = &scenario.driver;
        let held = driver.held_radps;
        let factor = engine.rated_to.torque_factor(&scenario.air, engine.air_correction_share);
        let holding = engine.holding_throttle(held, 0.0, factor);
        let (mode, start_s) =
            before_launch(driver, vehicle.clutch.bite_point, holding, engine.launch_limiter.is_some());
        let mut y = [0.0; N];
        y[ENGINE] = held;
        y[THROTTLE] = holding;
        y[BOOST] = if engine.boost.is_some() { holding * holding } else { 0.0 };
        y[FELT_REVS] = held;
        y[FACE] = scenario.clutch_start_c;
        y[MASS] = scenario.clutch_start_c;
        y[TRANSFER] = vehicle.chassis.steady_transfer_n(0.0, GRAVITY_MPS2 * scenario.slope.sine(0.0));
        let mut step = Step::new();
        step.time_s = start_s;
        step.from = y;
        let model = Model::new(vehicle, scenario, found, mode);
        let sampler = every_s.map(|every_s| Sampler::new(Model::new(vehicle, scenario, found, mode), start_s, every_s));
        let mut simulation = Self {
            model,
            step,
            tolerance: tolerances.relative,
            watched: [0.0; EVENTS.len()],
            moment: Moment {
                limit: Limit::Clutch,
                clutch_slipping: false,
                past_peak: false,
                trimmed: false,
                front_lifted: false,
            },
            corner_s: 0.0,
            record: Record::new(scenario.rollout_m),
            shifts: Vec::with_capacity(vehicle.gearbox.gears.len()),
            cut_since_s: None,
            limiter_in_gear_s: 0.0,
            moved_s: None,
            launch_bite_s: f64::INFINITY,
            bite: None,
            clutch_home: None,
            work: Work::default(),
            start: y,
            sampler,
        };
        simulation.move_pedal();
        simulation
    }

    /// Runs with the widest vectors that the machine at hand has, which takes a tenth of the time off. Each lane does the same operations
    /// either way and nothing is fused, so that the bits are the same.
    fn go(self) -> Result<(Run, Vec<Sample>), RunError> {
        #[cfg(target_arch = "x86_64")]
        return pulp::Arch::new().dispatch(self);
        #[cfg(not(target_arch = "x86_64"))]
        self.run()
    }

    #[inline(always)]
    fn run(mut self) -> Result<(Run, Vec<Sample>), RunError> {
        let mut length_s = FIRST_STEP_S;
        if let Some(ending) = self.restart()? {
            return Ok(self.finish(ending));
        }
        let limit_s = self.model.scenario.time_limit_s;
        loop {
            let room_s = self.corner_s - self.step.time_s;
            let driveline = &self.model.vehicle.driveline;
            let flank_s = driveline.step_to_flank_s(self.step.from[TWIST], self.step.from_rates[TWIST]);
            length_s = length_s.min(flank_s).min(self.road_s());
            // Two even steps to a corner rather than one long and one tiny.
            let tried_s = if length_s >= room_s {
                room_s
            } else if 2.0 * length_s > room_s {
                0.5 * room_s
            } else {
                length_s
            };
            self.step.advance(&mut self.model, tried_s);
            let error = control::error(&self.step, self.tolerance);
            if error.is_nan() || error > 1.0 {
                length_s = tried_s * control::after_refusal(error);
                self.refuse(length_s)?;
                continue;
            }
            self.work.steps += 1;
            if self.work.steps > MOST_STEPS {
                return Err(RunError::Endless { state: control::worst_state(&self.step), time_s: self.step.time_s });
            }
            length_s = (tried_s * control::after_success(error)).min(LONGEST_STEP_S);
            self.model.rates_and_terms(self.step.time_s + tried_s, &self.step.to, &mut self.step.to_rates);
            let ahead = self.watch(&self.step.to);
            let rates_before;
            let ending = if let Some((event, share)) = self.first_event(&ahead) {
                self.note(share);
                rates_before = self.step.rates_at(share);
                self.step.from = self.step.at(share);
                self.step.time_s += share * tried_s;
                match self.switch(event) {
                    None => {
                        self.turn_corner();
                        self.restart()?
                    }
                    some => some,
                }
            } else {
                self.note(1.0);
                rates_before = self.step.to_rates;
                self.step.go_on();
                self.read_instant();
                if tried_s < room_s {
                    self.watched = ahead;
                    continue;
                }
                // Land on the corner itself, not a rounding error beside it.
                self.step.time_s = self.corner_s;
                if self.corner_s >= limit_s {
                    Some(Ending::OutOfTime)
                } else {
                    let mode = self.model.mode;
                    self.turn_corner();
                    if self.model.mode == mode {
                        // A bend of pedal or foot; no rate jumps there.
                        self.watched = ahead;
                        self.find_corner();
                        continue;
                    }
                    self.restart()?
                }
            };
            if let Some(ending) = ending {
                self.evaluate();
                self.read_instant();
                return Ok(self.finish(ending));
            }
            if control::is_jolt(&rates_before, &self.step.from_rates, &self.step.from, self.tolerance) {
                length_s = length_s.min(AFTER_JOLT_S);
            }
        }
    }

    /// Longest step that sees every piece of the road, s.
    #[inline]
    fn road_s(&self) -> f64 {
        let y = &self.step.from;
        // Room for what the car gains within a step.
        self.model.scenario.slope.reach_m(y[DISTANCE]) / (1.1 * y[SPEED].max(1.0))
    }

    /// Prepares another try from the same state with a shorter step.
    fn refuse(&mut self, length_s: f64) -> Result<(), RunError> {
        self.work.refused += 1;
        if length_s < SHORTEST_STEP_S {
            return Err(RunError::Lost { state: control::worst_state(&self.step), time_s: self.step.time_s });
        }
        Ok(())
    }

    /// Evaluates the rates at the beginning of the step; out of line, so that the step's own code holds the one evaluation that every step needs.
    #[inline(never)]
    pub(crate) fn evaluate(&mut self) {
        self.model.rates_and_terms(self.step.time_s, &self.step.from, &mut self.step.from_rates);
    }

    /// Takes up the state at the beginning of the step under a new mode; events that are already due are dealt with.
    fn restart(&mut self) -> Result<Option<Ending>, RunError> {
        for _ in 0..20 {
            self.model.mode.land_feet(self.step.time_s);
            self.evaluate();
            self.moment = self.moment_at(&self.step.from);
            self.watched = self.watch(&self.step.from);
            self.work.switches += 1;
            let Some(due) = EVENTS.into_iter().zip(self.watched).find(|(_, value)| *value > 0.0) else {
                self.read_instant();
                self.find_corner();
                return Ok(None);
            };
            if let Some(ending) = self.switch(due.0) {
                return Ok(Some(ending));
            }
        }
        Err(RunError::Endless { state: control::worst_state(&self.step), time_s: self.step.time_s })
    }

    fn find_corner(&mut self) {
        let next_s = self.model.mode.next_corner(self.step.time_s);
        self.corner_s = next_s.min(self.model.scenario.time_limit_s);
    }

    /// Values of the events at a state whose rates were evaluated last; above zero is due.
    #[inline(always)]
    fn watch(&self, y: &[f64; N]) -> [f64; EVENTS.len()] {
        let mut values = [0.0; EVENTS.len()];
        for (value, event) in values.iter_mut().zip(EVENTS) {
            *value = event.value(&self.model, |n| y[n], self.moved_s.is_some());
        }
        values
    }

    /// The first event of the step and where in it, if any is due by its end or was due within it.
    #[inline(always)]
    fn first_event(&mut self, ahead: &[f64; EVENTS.len()]) -> Option<(Event, f64)> {
        let none_ahead = ahead.iter().all(|value| *value <= 0.0);
        let some_turn = Event::some_turn(&self.step);
        debug_assert!(some_turn || EVENTS.iter().all(|event| event.top(&self.model.mode, &self.step).is_none()));
        if none_ahead && !some_turn { None } else { self.seek_event(ahead) }
    }

    #[cold]
    #[inline(never)]
    fn seek_event(&mut self, ahead: &[f64; EVENTS.len()]) -> Option<(Event, f64)> {
        let mut first: Option<(Event, f64)> = None;
        for (i, event) in EVENTS.into_iter().enumerate() {
            if self.watched[i] > 0.0 {
                continue;
            }
            let (until, value) = if ahead[i] > 0.0 {
                (1.0, ahead[i])
            } else if let Some(top) = event.top(&self.model.mode, &self.step) {
                (top, event.value(&self.model, |n| self.step.component_at(n, top), self.moved_s.is_some()))
            } else {
                continue;
            };
            if value > 0.0 {
                let share = until * self.crossing(event, self.watched[i], until, value);
                if first.is_none_or(|(_, earlier)| share < earlier) {
                    first = Some((event, share));
                }
            }
        }
        first
    }

    /// Where an event becomes due that is not yet at the step's beginning but at its share `until`, as a share of that.
    fn crossing(&mut self, event: Event, before: f64, until: f64, then: f64) -> f64 {
        let width = (EVENT_WIDTH_S / (until * self.step.length_s)).max(1e-13);
        let of_forces = event.looks_at_forces(&self.model.mode);
        let (model, step, moved) = (&mut self.model, &self.step, self.moved_s.is_some());
        let mut unused = [0.0; N];
        let value = |share: f64| {
            let share = until * share;
            if of_forces {
                model.rates_and_terms(step.time_s + share * step.length_s, &step.at(share), &mut unused);
            }
            event.value(model, |n| step.component_at(n, share), moved)
        };
        crossing(value, before, then, width)
    }

    /// Takes notes over the first `share` of an accepted step.
    ///
    /// What limits the car at the end is taken from the whole step's end, even if the step is cut short. Forces and slips at a cut are read after
    /// the switch ([`Simulation::read_instant`] in [`Simulation::restart`]): they follow from speeds, wind-up and slips, so that no switch makes
    /// them jump.
    #[inline(always)]
    fn note(&mut self, share: f64) {
        let moved = self.moved_s.is_some();
        let ahead = self.moment_at(&self.step.to);
        self.record.read_gates(&self.step, share);
        self.record.read_peaks(&self.step, share, &self.model.vehicle.driveline, &self.model.mode);
        if moved {
            self.record.read_slip(&self.step, share, self.model.wheels());
        }
        self.record.read_time(share * self.step.length_s, [self.moment, ahead], moved);
        if let Some(sampler) = &mut self.sampler {
            sampler.take(&self.step, share, &self.model.mode);
        }
        self.moment = ahead;
    }

    /// Takes note of the forces and slips at the beginning of the step, where the rates were evaluated last.
    #[inline(always)]
    fn read_instant(&mut self) {
        let slip_mps = self.slip_mps();
        self.record.read_instant(&self.model.instant, slip_mps, self.moved_s.is_some());
    }

    /// What holds at a state whose rates were evaluated last.
    #[inline]
    fn moment_at(&self, y: &[f64; N]) -> Moment {
        let (mode, instant) = (&self.model.mode, &self.model.instant);
        Moment {
            limit: limit(instant, mode, || self.model.boost_shortfall(y)),
            clutch_slipping: matches!(mode.coupling, Coupling::Slipping(_)) && instant.clutch_capacity_nm > 0.0,
            past_peak: instant.past_peak,
            trimmed: instant.trimmed && !mode.shifting(),
            front_lifted: instant.front_load_n <= 0.0,
        }
    }
}

#[cfg(target_arch = "x86_64")]
impl<const N: usize> pulp::NullaryFnOnce for Simulation<'_, N> {
    type Output = Result<(Run, Vec<Sample>), RunError>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.run()
    }
}
