//! Answers that are known apart from the simulator: each a pure function or a table, with its source beside it.
//!
//! SI units throughout. Nothing in here calls the simulator.

pub mod air;
pub mod clutch;
pub mod coast_down;
pub mod feedback;
pub mod motion;
pub mod shift_points;
pub mod solid_axle;
pub mod start;
pub mod torsion;
pub mod tractive_effort;
pub mod tyre;
