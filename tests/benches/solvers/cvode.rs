//! SUNDIALS CVODE 6.x through its C interface, as far as it is wanted here.

#![allow(unsafe_code, reason = "a C library")]
#![allow(non_snake_case, reason = "names of the C library")]

use std::ffi::{c_int, c_long, c_void};
use std::ptr::null_mut;

use bitepoint_physics::equations::{DISTANCE_STATE, FirstGear, STATES};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use crate::{Answer, SPEED_MPS, TIMES_S};

type Pointer = *mut c_void;
type Rates = extern "C" fn(f64, Pointer, Pointer, Pointer) -> c_int;

#[link(name = "sundials_cvode")]
#[link(name = "sundials_nvecserial")]
unsafe extern "C" {
    fn SUNContext_Create(communicator: Pointer, context: *mut Pointer) -> c_int;
    fn N_VMake_Serial(length: i64, data: *mut f64, context: Pointer) -> Pointer;
    fn N_VGetArrayPointer(vector: Pointer) -> *mut f64;
    fn N_VDestroy(vector: Pointer);
    fn SUNDenseMatrix(rows: i64, columns: i64, context: Pointer) -> Pointer;
    fn SUNMatDestroy(matrix: Pointer);
    fn SUNLinSol_Dense(vector: Pointer, matrix: Pointer, context: Pointer) -> Pointer;
    fn SUNLinSolFree(solver: Pointer) -> c_int;
    fn CVodeCreate(method: c_int, context: Pointer) -> Pointer;
    fn CVodeFree(memory: *mut Pointer);
    fn CVodeInit(memory: Pointer, rates: Rates, start_s: f64, start: Pointer) -> c_int;
    fn CVodeSVtolerances(memory: Pointer, relative: f64, absolute: Pointer) -> c_int;
    fn CVodeSetLinearSolver(memory: Pointer, solver: Pointer, matrix: Pointer) -> c_int;
    fn CVodeSetUserData(memory: Pointer, data: Pointer) -> c_int;
    fn CVodeSetMaxNumSteps(memory: Pointer, steps: c_long) -> c_int;
    fn CVode(memory: Pointer, to_s: f64, state: Pointer, reached_s: *mut f64, task: c_int) -> c_int;
}

thread_local! {
    /// The library's context, made once and so not counted.
    static CONTEXT: Pointer = {
        let mut context = null_mut();
        // SAFETY: no communicator is wanted, and the context is never freed.
        unsafe { SUNContext_Create(null_mut(), &raw mut context) };
        context
    };
}

const CV_BDF: c_int = 2;
const CV_NORMAL: c_int = 1;

extern "C" fn rates(time_s: f64, y: Pointer, dy: Pointer, problem: Pointer) -> c_int {
    // SAFETY: both vectors were made of `STATES` doubles, and `problem` is the one given to CVodeSetUserData below.
    let (problem, y, dy) = unsafe {
        (
            &mut *problem.cast::<FirstGear<'_>>(),
            &*N_VGetArrayPointer(y).cast::<[f64; STATES]>(),
            &mut *N_VGetArrayPointer(dy).cast::<[f64; STATES]>(),
        )
    };
    problem.rates(time_s, y, dy);
    0
}

/// Backward differences with a dense Jacobian by differences.
pub(crate) fn bdf(car: &Vehicle, scenario: &Scenario, tolerance: f64) -> Answer {
    let mut problem = FirstGear::new(car, scenario, SPEED_MPS);
    let mut start = problem.start();
    let mut absolute = FirstGear::sizes().map(|size| tolerance * if size.is_finite() { size } else { 1e12 });
    let mut distances = [0.0; 4];
    // SAFETY: the calls and their order are those of the CVODE user guide, every pointer given outlives its use, and what is
    // made is freed in the opposite order.
    let reached = unsafe {
        let context = CONTEXT.with(|context| *context);
        let state = N_VMake_Serial(STATES as i64, start.as_mut_ptr(), context);
        let allowed = N_VMake_Serial(STATES as i64, absolute.as_mut_ptr(), context);
        let matrix = SUNDenseMatrix(STATES as i64, STATES as i64, context);
        let linear = SUNLinSol_Dense(state, matrix, context);
        let mut memory = CVodeCreate(CV_BDF, context);
        let ready = CVodeInit(memory, rates, 0.0, state) == 0
            && CVodeSVtolerances(memory, tolerance, allowed) == 0
            && CVodeSetLinearSolver(memory, linear, matrix) == 0
            && CVodeSetUserData(memory, (&raw mut problem).cast()) == 0
            && CVodeSetMaxNumSteps(memory, 10_000_000) == 0;
        let reached = ready
            && TIMES_S.iter().zip(&mut distances).all(|(&to_s, distance)| {
                let mut reached_s = 0.0;
                let flag = CVode(memory, to_s, state, &raw mut reached_s, CV_NORMAL);
                *distance = *N_VGetArrayPointer(state).add(DISTANCE_STATE);
                flag == 0
            });
        CVodeFree(&raw mut memory);
        SUNLinSolFree(linear);
        SUNMatDestroy(matrix);
        N_VDestroy(allowed);
        N_VDestroy(state);
        reached
    };
    reached.then(|| (distances, problem.evaluations()))
}
