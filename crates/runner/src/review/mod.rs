//! Measured starts held against the recommended launch of the same car: what happened, what it cost, what to change next.

mod advice;
mod belongs;
mod cause;
mod costs;
mod driven;
mod fault;
mod foot;
mod heat;
mod launch_faults;
mod likeness;
mod make;
mod power;
mod sets;
mod shift_faults;
mod trace;
mod yardstick;

pub use advice::Advice;
pub use belongs::{Doubt, doubts, unlike};
pub use cause::Cause;
pub use costs::{Cost, Costs};
pub use fault::{Fault, FaultKind};
pub use heat::{Heat, SessionHeat};
pub use make::{Review, Reviewed, Spread, review, timed};
pub use sets::{SetComparison, TELL_S, compare_sets, mann_whitney_p};
pub use yardstick::Yardstick;
