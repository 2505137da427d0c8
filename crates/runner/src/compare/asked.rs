//! What is to be compared.

use crate::case::Case;
use crate::plan::{Effort, Limits};
use crate::target::Target;

use super::worth::Money;

/// A car with something changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// What people call it.
    pub label: String,
    /// What it costs, if that is known.
    pub price: Option<Money>,
    /// The car and the day with the change made.
    pub case: Case,
}

/// Everything that a comparison is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The car as it is, and the day.
    pub base: Case,
    /// The changes, each made to the base alone.
    pub variants: Vec<Variant>,
    /// All changes at once, if that is asked for.
    pub together: Option<Case>,
    /// What is to be reached in the shortest time.
    pub target: Target,
    /// How hard the starts may be on the car.
    pub effort: Effort,
    /// What no launch may exceed besides.
    pub limits: Limits,
    /// Runs with moved estimates for the bands.
    pub draws: u32,
    /// Seed of all draws: the same seed gives the same answer.
    pub seed: u32,
}
