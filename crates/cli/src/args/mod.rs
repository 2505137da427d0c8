//! What can be asked for on the command line, a file a command.

mod check;
mod compare;
mod conditions;
mod fit;
mod known;
mod output;
mod plan;
mod review;
mod run;
mod sheet;
mod sweep;
mod whole;

pub(crate) use check::Check;
pub(crate) use compare::Compare;
pub(crate) use conditions::{Conditions, StandardAirArg};
pub(crate) use fit::Fit;
pub(crate) use known::Known;
pub(crate) use output::Output;
pub(crate) use plan::{Plan, StartLimits};
pub(crate) use review::Review;
pub(crate) use run::Run;
pub(crate) use sheet::Sheet;
pub(crate) use sweep::Sweep;
pub(crate) use whole::{Args, Command};
