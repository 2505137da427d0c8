//! The report of a comparison: what parts are worth.

mod charts;
mod influence;
mod money;
mod page;
mod report;
mod tables;
pub mod words;
mod worth;

pub use charts::charts;
pub use page::{files, page};
pub use report::{ChangedInput, CompareReport, Fitted};
