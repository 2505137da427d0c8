//! Solvers of other Rust crates.

use std::cell::RefCell;

use bitepoint_physics::equations::{DISTANCE_STATE, FirstGear, STATES};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use diffsol::{DenseMatrix, NalgebraLU, NalgebraMat, OdeBuilder, OdeSolverMethod};
use ode_solvers::dop_shared::OutputType;
use ode_solvers::{Dopri5, SVector, System};

use crate::{Answer, SPEED_MPS, TIMES_S};

type State = SVector<f64, STATES>;

/// The problem in units of the states' sizes, since this crate has one absolute tolerance for all.
struct Scaled<'a> {
    problem: &'a RefCell<FirstGear<'a>>,
    sizes: [f64; STATES],
}

/// Sizes of the states; sums that no rate depends on get one so large that their error does not count.
fn sizes() -> [f64; STATES] {
    FirstGear::sizes().map(|size| if size.is_finite() { size } else { 1e12 })
}

impl System<f64, State> for Scaled<'_> {
    fn system(&self, time_s: f64, scaled: &State, rates: &mut State) {
        let y: [f64; STATES] = core::array::from_fn(|n| scaled[n] * self.sizes[n]);
        let mut dy = [0.0; STATES];
        self.problem.borrow_mut().rates(time_s, &y, &mut dy);
        for n in 0..STATES {
            rates[n] = dy[n] / self.sizes[n];
        }
    }
}

/// The explicit pair of order 5.
pub(crate) fn dormand_prince(car: &Vehicle, scenario: &Scenario, tolerance: f64) -> Answer {
    let problem = RefCell::new(FirstGear::new(car, scenario, SPEED_MPS));
    let sizes = sizes();
    let start = problem.borrow().start();
    let scaled = State::from_fn(|n, _| start[n] / sizes[n]);
    let end_s = TIMES_S[3];
    let system = Scaled { problem: &problem, sizes };
    // Everything is the crate's default but that it may not give up because the problem is stiff.
    let mut solver = Dopri5::from_param(
        system,
        0.0,
        end_s,
        1.0,
        scaled,
        tolerance,
        tolerance,
        0.9,
        0.04,
        0.2,
        10.0,
        end_s,
        0.0,
        1_000_000,
        u32::MAX,
        OutputType::Dense,
    );
    solver.integrate().ok()?;
    let at = |time_s: f64| {
        let found = solver.x_out().iter().position(|x| (x - time_s).abs() < 1e-9)?;
        Some(solver.y_out()[found][DISTANCE_STATE] * sizes[DISTANCE_STATE])
    };
    let distances = [at(TIMES_S[0])?, at(TIMES_S[1])?, at(TIMES_S[2])?, at(TIMES_S[3])?];
    let evaluations = problem.borrow().evaluations();
    Some((distances, evaluations))
}

/// An implicit Runge-Kutta pair of order 4.
pub(crate) fn esdirk(car: &Vehicle, scenario: &Scenario, tolerance: f64) -> Answer {
    implicit(car, scenario, tolerance, false)
}

/// Backward differences of variable order.
pub(crate) fn bdf(car: &Vehicle, scenario: &Scenario, tolerance: f64) -> Answer {
    implicit(car, scenario, tolerance, true)
}

fn implicit(car: &Vehicle, scenario: &Scenario, tolerance: f64, backward_differences: bool) -> Answer {
    let problem = RefCell::new(FirstGear::new(car, scenario, SPEED_MPS));
    let start = problem.borrow().start();
    let sizes = sizes();
    let rates = |y: &[f64], time_s: f64, dy: &mut [f64]| {
        let y: [f64; STATES] = core::array::from_fn(|n| y[n]);
        let mut out = [0.0; STATES];
        problem.borrow_mut().rates(time_s, &y, &mut out);
        dy.copy_from_slice(&out);
    };
    // Product of the Jacobian with a direction, by a difference a millionth of the states' sizes long.
    let product = |y: &[f64], _p: &[f64], time_s: f64, direction: &[f64], out: &mut [f64]| {
        let relative = direction.iter().zip(&sizes).map(|(d, size)| (d / size).abs()).fold(1e-30, f64::max);
        let length = 1e-6 / relative;
        let moved: [f64; STATES] = core::array::from_fn(|n| y[n] + length * direction[n]);
        let mut there = [0.0; STATES];
        rates(y, time_s, out);
        rates(&moved, time_s, &mut there);
        for n in 0..STATES {
            out[n] = (there[n] - out[n]) / length;
        }
    };
    let ode = OdeBuilder::<NalgebraMat<f64>>::new()
        .rtol(tolerance)
        .atol(sizes.map(|size| size * tolerance))
        .rhs_implicit(|y: &[f64], _p: &[f64], t: f64, dy: &mut [f64]| rates(y, t, dy), product)
        .init(|_p: &[f64], _t: f64, y: &mut [f64]| y.copy_from_slice(&start), STATES)
        .build()
        .ok()?;
    let states = if backward_differences {
        ode.bdf::<NalgebraLU<f64>>().ok()?.solve_dense(&TIMES_S).ok()?.0
    } else {
        ode.esdirk34::<NalgebraLU<f64>>().ok()?.solve_dense(&TIMES_S).ok()?.0
    };
    let distances = core::array::from_fn(|i| states.get_index(DISTANCE_STATE, i));
    let evaluations = problem.borrow().evaluations();
    Some((distances, evaluations))
}
