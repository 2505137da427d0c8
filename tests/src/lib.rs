//! Checks of the simulator against the world outside it.

pub mod cars;
pub mod drawn_inputs;
pub mod fuzz_bodies;
pub mod oracle;
