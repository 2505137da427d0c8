//! Documents for machines, one a command. All numbers are SI; units stand in the names.

mod compare;
mod conditions;
mod fit;
mod inputs;
mod plan;
mod review;
mod run;
#[cfg(test)]
pub(crate) mod schema;
mod sweep;
mod text;

pub(crate) use compare::CompareDocument;
pub(crate) use conditions::ConditionsDocument;
pub(crate) use fit::FitDocument;
pub(crate) use inputs::InputValue;
pub(crate) use plan::PlanDocument;
pub(crate) use review::ReviewDocument;
pub(crate) use run::RunDocument;
pub(crate) use sweep::SweepDocument;
pub(crate) use text::text;
