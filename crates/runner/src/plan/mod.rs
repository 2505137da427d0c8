//! The launch and shift points that give the shortest time: for a hand that never errs, and for this driver's.

mod best;
mod cooling;
mod decision;
mod expected;
mod for_driver;
mod grip;
mod judge;
mod limits;
mod make;
pub mod minimise;
mod trouble;
mod window;

pub use best::{Best, NoLaunch, best_launch, best_launch_near, find_best};
pub use cooling::{BETWEEN_STARTS_S, Cooling, LONGEST_S, MOST_STARTS, NEARLY_K};
pub(crate) use cooling::{cooled, time_until};
pub use decision::Decision;
pub use expected::{BOTCHED_COSTS_S, Expectation, MAY_EXCEED, Starts};
pub use grip::{Change, OtherGrip, WORTH_IT_S};
pub use judge::Judge;
pub use limits::{LimitKind, Limits, Shortfall};
pub use make::{Choice, Plan, PlanError, RUNS, plan};
pub use trouble::Trouble;
pub use window::{Cost, Point, WINDOW_S, Window};
