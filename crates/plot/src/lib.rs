//! Charts of one run and its self-contained report: plain data in, strings out.

pub mod caution;
pub mod chart;
pub mod folder;
pub mod format;
pub mod page;
pub mod palette;
pub mod report;

mod spans;
mod story;
