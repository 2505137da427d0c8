//! The report of measured starts: its data, its sentences, its charts and its page.

pub mod change;
mod chart;
pub mod evidence;
mod page;
mod report;
mod tables;
pub mod words;

pub use page::{files, page};
pub use report::ReviewReport;
