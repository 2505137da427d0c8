//! The bare equations of one mode, for solvers to be measured against: not part of the interface.
//!
//! The problem has no switches, so that solvers without events can take part: a car with one unit of driven wheels rolls in
//! first gear with the clutch locked and nothing wound up, and the throttle is opened at time 0. Lash, shuffle, wheelspin
//! and pitch are all in it. There is no limiter and no shift.

use crate::control;
use crate::integrator::{Step, System};
use crate::mode::{Coupling, Mesh, Mode, PedalMove, Ramp, ShiftPhase};
use crate::model::state::{self, AXLE, DISTANCE, ENGINE, FACE, INPUT, MASS, PEDAL, SPEED, WHEELS};
use crate::model::{Model, units};
use crate::vehicle::{Scenario, Vehicle};

/// Number of states.
pub const STATES: usize = state::LENGTH[0];
/// Index of the distance, m.
pub const DISTANCE_STATE: usize = DISTANCE;
/// Index of the road speed, m/s.
pub const SPEED_STATE: usize = SPEED;

/// A car in first gear.
pub struct FirstGear<'a> {
    model: Model<'a, STATES>,
    start: [f64; STATES],
}

impl<'a> FirstGear<'a> {
    /// The car rolling at `speed_mps`.
    ///
    /// # Panics
    /// If the car has more than one unit of driven wheels.
    #[must_use]
    pub fn new(vehicle: &'a Vehicle, scenario: &'a Scenario, speed_mps: f64) -> Self {
        let found = units(vehicle, scenario);
        assert_eq!(found.len(), 1, "a problem for cars with one driven axle, sides alike");
        let mode = Mode {
            held: false,
            gear: 0,
            mesh: Mesh::Engaged,
            coupling: Coupling::Locked,
            pedal: PedalMove::still(1.0),
            throttle: Ramp::still(1.0),
            part_throttle: false,
            shift: ShiftPhase::Driving,
            fuel_cut: false,
            launch_limited: false,
        };
        let mut start = [0.0; STATES];
        let turning_radps = speed_mps / found[0].radius_m;
        start[SPEED] = speed_mps;
        start[AXLE] = turning_radps;
        start[WHEELS] = turning_radps;
        start[INPUT] = vehicle.gearbox.overall_ratio(0) * turning_radps;
        start[ENGINE] = start[INPUT];
        start[FACE] = scenario.clutch_start_c;
        start[MASS] = scenario.clutch_start_c;
        start[PEDAL] = 1.0;
        Self { model: Model::new(vehicle, scenario, &found, mode), start }
    }

    /// The state at time 0.
    #[must_use]
    pub fn start(&self) -> [f64; STATES] {
        self.start
    }

    /// Ordinary sizes of the states, as the integrator's error control has them; infinite for sums.
    #[must_use]
    pub fn sizes() -> [f64; STATES] {
        control::sizes()
    }

    /// Rates of `y`.
    pub fn rates(&mut self, time_s: f64, y: &[f64; STATES], rates: &mut [f64; STATES]) {
        System::rates(&mut self.model, time_s, y, rates);
    }

    /// Evaluations so far.
    #[must_use]
    pub fn evaluations(&self) -> u32 {
        self.model.evaluations
    }

    /// Solves by this crate's integrator and returns the states at `times_s`.
    #[must_use]
    pub fn solve<const M: usize>(&mut self, tolerance: f64, times_s: [f64; M]) -> [[f64; STATES]; M] {
        let mut step = Step::new();
        step.from = self.start;
        self.model.rates_and_terms(0.0, &step.from, &mut step.from_rates);
        let mut length_s = 1e-3;
        times_s.map(|to_s| {
            while step.time_s < to_s {
                let driveline = &self.model.vehicle.driveline;
                let to_flank_s = driveline.step_to_flank_s(step.from[state::TWIST], step.from_rates[state::TWIST]);
                let tried_s = to_flank_s.min(length_s).min(to_s - step.time_s);
                step.advance(&mut self.model, tried_s);
                let error = control::error(&step, tolerance);
                if error > 1.0 {
                    length_s = tried_s * control::after_refusal(error);
                    continue;
                }
                length_s = tried_s * control::after_success(error);
                self.model.rates_and_terms(step.time_s + tried_s, &step.to, &mut step.to_rates);
                step.go_on();
            }
            step.from
        })
    }
}
