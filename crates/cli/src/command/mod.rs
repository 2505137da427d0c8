//! The commands, one a file.

pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod conditions;
pub(crate) mod example;
pub(crate) mod fit;
pub(crate) mod plan;
pub(crate) mod review;
pub(crate) mod run;
pub(crate) mod sheet;
pub(crate) mod sweep;
