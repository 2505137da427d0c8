//! Documents for machines, one a command. All numbers are SI; units stand in the names.

mod inputs;
mod run;
#[cfg(test)]
pub(crate) mod schema;
mod sweep;
mod text;

pub(crate) use inputs::InputValue;
pub(crate) use run::RunDocument;
pub(crate) use sweep::SweepDocument;
pub(crate) use text::text;
