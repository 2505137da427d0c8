//! Charts of one run, one file each.

mod canvas;
mod clutch;
mod energy;
mod forces;
mod kind;
mod labels;
mod launch;
mod limits;
mod lost;
mod markup;
mod panel;
mod shaft;
mod slip;
mod speed;
mod thin;

pub use kind::{Chart, charts};
pub(crate) use markup::text_rules;
