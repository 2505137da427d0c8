//! Checks of the simulator against the world outside it.

pub mod bare;
pub mod cars;
pub mod known;
pub mod oracle;
pub mod strategy;
