//! Many runs with one or two inputs varied.

mod axis;
mod axis_error;
mod best;
mod cell;
mod grid;
mod shifts;
mod spelling;

pub use axis::{Axis, AxisValue};
pub use axis_error::{AxisError, NotVaried};
pub use best::{Along, Best, LOSS_S, Side, Trouble, Window};
pub use cell::{Cell, Fate, Figures, Times};
pub use grid::{CalledOff, FateCount, Field, Plan, Recommendation, Sweep, one_cell, sweep};
pub use shifts::{Day, Found, GearStudy, ShiftStudy, ShiftStudyError, shift_plans, shift_study};
