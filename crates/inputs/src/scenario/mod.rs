//! Scenario files.

mod check;
mod file;
mod launch;
mod slope;
mod surface;

pub use file::{DriverScatter, ResolvedScenario, ScenarioFile};
pub use surface::{NamedSurface, SURFACES};
