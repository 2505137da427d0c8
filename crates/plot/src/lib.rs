//! Charts and self-contained reports: plain data in, strings out.

pub mod caution;
pub mod chart;
pub mod compare;
pub mod conditions;
pub mod fit;
pub mod folder;
pub mod format;
pub mod launch;
mod page;
pub mod palette;
pub mod plan;
pub mod review;
pub mod run;
pub mod sweep;

mod spans;
