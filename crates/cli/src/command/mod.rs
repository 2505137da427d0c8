//! The commands, one a file.

pub(crate) mod check;
pub(crate) mod conditions;
pub(crate) mod example;
pub(crate) mod run;
pub(crate) mod sheet;
