//! What `bitepoint conditions` reads, warns of and prints.

pub(crate) mod asked;
pub(crate) mod none;
pub(crate) mod notes;
pub(crate) mod screen;
