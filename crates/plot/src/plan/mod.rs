//! The report of a plan: its data, its sentences, its charts, its launch cards and its page.

mod card;
mod curves;
mod lost;
mod page;
mod report;
mod tables;
pub mod words;

pub use card::card;
pub use page::{files, page};
pub use report::{PlanDay, PlanReport, target_text};
