//! The report of what slope, wind, air and rollout are worth.

mod page;
mod paragraph;
mod report;
mod responses;
mod rounding;
mod shares;
mod tables;
mod unit;
pub mod words;

pub use page::{files, page};
pub use paragraph::paragraphs;
pub use report::ConditionsReport;
pub use rounding::adding_up;
