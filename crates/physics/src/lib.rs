//! Longitudinal dynamics of a standing start in a manual-gearbox car.
//!
//! Pure: no files, no clock, no threads, no printing. Everything is SI `f64`; units stand in the names.
//! Axes are those of ISO 8855: x forward along the road. A run is a function of a [`vehicle::Vehicle`],
//! a [`vehicle::Scenario`] and tolerances, and returns the same bytes on every machine that computes in IEEE 754 doubles:
//! sines, exponentials and the like come from `libm`, not from the platform.

pub mod air;
pub mod bounds;
pub mod chassis;
pub mod clutch;
mod constants;
mod control;
pub mod curve;
mod dense;
pub mod driveline;
pub mod driver;
mod elementary;
pub mod engine;
#[doc(hidden)]
pub mod equations;
mod events;
pub mod gearbox;
mod integrator;
mod mode;
mod model;
mod outcome;
mod possible;
mod record;
pub mod road;
pub mod run;
mod sampler;
mod shape;
pub mod simulate;
mod stiff;
mod switch;
mod tableau;
pub mod timing;
pub mod tyre;
pub mod vehicle;
