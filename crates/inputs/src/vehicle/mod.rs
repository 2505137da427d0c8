//! Vehicle files.

mod body;
mod check;
mod engine;
mod file;
mod template;
mod transmission;

pub use file::{ResolvedVehicle, VehicleFile};
pub use template::sheet_template;
