//! Charts and self-contained reports: plain data in, strings out.

pub mod caution;
pub mod chart;
pub mod conditions;
pub mod folder;
pub mod format;
mod page;
pub mod palette;
pub mod run;

mod spans;
