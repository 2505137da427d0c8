//! The launch and shift points to recommend, what they cost the car, and how forgiving they are.

mod cooling;
mod decision;
mod effort;
mod expected;
mod grip;
mod judge;
mod limits;
mod make;
pub mod minimise;
mod recommend;
mod trouble;
mod verdict;
mod window;

pub use cooling::{BETWEEN_STARTS_S, Cooling, LONGEST_S, MOST_STARTS, NEARLY_K};
pub(crate) use cooling::{cooled, time_until};
pub use decision::Decision;
pub use effort::{Effort, harshness};
pub(crate) use expected::scattered;
pub use expected::{Expectation, FAILED_COSTS_S, MAY_EXCEED, Starts};
pub use grip::{Change, OtherGrip, WORTH_IT_S};
pub use judge::Judge;
pub use limits::{LimitKind, Limits, Shortfall};
pub use make::{Choice, Exact, Level, Plan, PlanError, RUNS, plan};
pub use recommend::{Known, NoLaunch, Recommended, Wanted, recommend};
pub use trouble::Trouble;
pub use verdict::Verdict;
pub use window::{Cost, Point, WINDOW_S, Window};
