//! Checks of the simulator against the world outside it.

pub mod bare;
pub mod benched;
pub mod cars;
pub mod coverage;
pub mod drawn_inputs;
pub mod faulty_starts;
pub mod fit_truth;
pub mod fuzz_bodies;
pub mod gate_bits;
pub mod known;
pub mod made_coasts;
pub mod made_log;
pub mod made_runs;
pub mod oracle;
pub mod ordinary;
pub mod ordinary_launch;
pub mod plan_grid;
pub mod real;
pub mod strategy;
