//! Scenario files.

mod check;
mod file;
mod launch;
mod preset;
mod slope;
mod surface;

pub use file::{DriverScatter, ResolvedScenario, ScenarioFile};
pub use launch::OpenLaunch;
pub use preset::{DRIVERS, NamedDriver};
pub use surface::{NamedSurface, SURFACES};
