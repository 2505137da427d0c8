//! A review as a person reads it in a terminal.

pub(crate) mod correction;
pub(crate) mod screen;
