//! Documents for machines, one a command. All numbers are SI; units stand in the names.

mod conditions;
mod inputs;
mod run;
#[cfg(test)]
pub(crate) mod schema;
mod text;

pub(crate) use conditions::ConditionsDocument;
pub(crate) use inputs::InputValue;
pub(crate) use run::RunDocument;
pub(crate) use text::text;
