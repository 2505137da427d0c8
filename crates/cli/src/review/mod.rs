//! A review as a person reads it in a terminal.

pub(crate) mod screen;
