//! The launch and shift points that give the shortest time: for a hand that never errs, and for this driver's.

mod best;
mod decision;
mod judge;
mod limits;
pub mod minimise;

pub use best::{Best, NoLaunch, best_launch, best_launch_near, find_best};
pub use decision::Decision;
pub use judge::Judge;
pub use limits::{LimitKind, Limits, Shortfall};
