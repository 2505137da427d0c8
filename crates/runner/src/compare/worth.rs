//! What comes out of a comparison.

use serde::Serialize;

use super::car::Car;
use super::differences::Difference;
use super::influence::Influence;
use super::scatter::Scatter;
use crate::target::Target;

/// What every change is worth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Comparison {
    /// What was to be reached in the shortest time.
    pub target: Target,
    /// The car as it is.
    pub base: Car,
    /// How the driver's own times scatter.
    pub driver: Scatter,
    /// The changes, in the order in which they were asked for.
    pub changes: Vec<Worth>,
    /// All of them at once, if that was asked for.
    pub together: Option<Together>,
    /// Draws behind each band.
    pub draws: u32,
    /// Their seed.
    pub seed: u32,
    /// Inputs of which the value is not surely known.
    pub uncertain_inputs: u32,
    /// Which of them matter most to the base's time; nothing if it does not vary or the draws are too few.
    pub base_influence: Option<Influence>,
}

/// What one change is worth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Worth {
    /// What people call it.
    pub label: String,
    /// What it costs.
    pub price: Option<Money>,
    /// The changed car with a launch and shift points of its own; nothing if no launch of it gets to the target.
    pub car: Option<Car>,
    /// Its time less the base's, each launched as suits it best; nothing if it seldom arrives.
    pub difference: Option<Difference>,
    /// Its time less the base's, both launched and shifted as suits the base; nothing if it seldom arrives so.
    pub with_old_plan: Option<Difference>,
    /// What is to be thought of the difference.
    pub verdict: Verdict,
    /// Whether the mean difference is less than one standard deviation of the driver's own times.
    pub within_driver_scatter: bool,
    /// Timed starts of each car for the difference of the two means to be twice its standard error, from the driver's scatter alone;
    /// nothing for a difference of nothing.
    pub starts_to_see: Option<f64>,
    /// Seconds gained per unit of money; nothing without a price.
    pub gain_per_money_s: Option<f64>,
    /// Which uncertain inputs matter most to the difference; nothing if it does not vary or the draws are too few.
    pub influence: Option<Influence>,
}

/// What is to be thought of a difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole band is quicker.
    Quicker,
    /// The whole band is slower.
    Slower,
    /// The band holds 0: with what is known of the car it cannot be told from nothing.
    NotDistinguishable,
    /// It changes no time at all.
    Nothing,
    /// The changed car does not get to the target, or too seldom for a band.
    DoesNotArrive,
}

/// All changes at once.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Together {
    /// What they are worth together.
    pub worth: Worth,
    /// Sum of the mean differences of the single changes, s; nothing if one of them does not arrive.
    pub sum_of_singles_s: Option<f64>,
}

/// An amount of money.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Money {
    /// How much.
    pub amount: f64,
    /// Of what, as it was stated.
    pub currency: String,
}

impl Verdict {
    pub(super) fn of(difference: Option<&Difference>) -> Self {
        match difference.map(|d| d.likely) {
            None => Self::DoesNotArrive,
            Some(band) if band.low_s == 0.0 && band.high_s == 0.0 => Self::Nothing,
            Some(band) if band.high_s < 0.0 => Self::Quicker,
            Some(band) if band.low_s > 0.0 => Self::Slower,
            Some(_) => Self::NotDistinguishable,
        }
    }
}
