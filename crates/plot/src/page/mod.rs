//! The report of one run as a page.

mod sections;
mod tables;
mod whole;

pub use whole::{files, page};
