//! What slope, wind, air and rollout are worth, and what a timed run would have been without them.

mod both_ways;
mod condition;
mod correction;
mod draw;
mod error;
mod reference;
mod replacement;
mod response;
mod sensitivity;
mod study;
mod timer;
mod weights;

pub use both_ways::{BothWays, PlainMean};
pub use condition::{CONDITIONS, Condition, Conditions};
pub use correction::{Correction, Share};
pub use error::ConditionsError;
pub use reference::{Reference, StandardAir};
pub use replacement::{Replacement, replace};
pub use response::{Point, Response};
pub use sensitivity::{Sensitivity, sensitivities};
pub use study::{Measurement, Model, Request, Study, steps, study};
pub use timer::{Timer, Times};
