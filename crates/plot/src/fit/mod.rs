//! The report of a fit: measured against fitted speeds, values before and after.

mod curves;
mod page;
mod report;
mod tables;

pub use page::{charts, files, page};
pub use report::FitReport;
