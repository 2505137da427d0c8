//! The report of one run: its data, its sentences, its charts and its page.

mod charts;
mod clutch;
mod energy;
mod forces;
mod launch;
mod limits;
mod lost;
mod page;
mod report;
mod shaft;
mod slip;
mod speed;
mod story;
mod tables;

pub use charts::charts;
pub(crate) use limits::look;
pub use page::{files, page};
pub use report::{Band, GateBand, InputRow, RunReport};
