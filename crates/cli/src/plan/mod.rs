//! A plan as a person reads it in a terminal: limits asked for, cautions, the screen, why there is none.

pub(crate) mod limits;
pub(crate) mod none;
pub(crate) mod notes;
pub(crate) mod scenario;
pub(crate) mod screen;
