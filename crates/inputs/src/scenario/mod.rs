//! Scenario files.

mod check;
mod days;
mod file;
mod launch;
mod preset;
mod slope;
mod surface;

pub use days::{BUILT_IN_DAYS, built_in_text};
pub use file::{DriverScatter, ResolvedScenario, ScenarioFile};
pub use launch::OpenLaunch;
pub use preset::{DRIVERS, NamedDriver};
pub use surface::{NamedSurface, SURFACES};
