//! `bitepoint compare`: what a part or another change is worth.

mod changes;
mod run;
mod screen;

pub(crate) use run::run;
