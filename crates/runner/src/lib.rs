//! Runs, and many runs at once, of vehicles and scenarios that come from files.
//!
//! Threads are rayon's; results do not depend on how many there are.

pub mod bands;
pub mod case;
pub mod compare;
pub mod conditions;
pub mod fit;
pub mod influences;
pub mod known;
pub mod launch;
pub mod plan;
pub mod review;
mod shapley;
mod slope;
pub mod sweep;
pub mod target;
pub mod timed_run;
pub mod tractive_effort;
pub mod unfinished;
pub mod watch;
