//! Checks of the simulator against the world outside it.

pub mod cars;
pub mod oracle;
pub mod real;
