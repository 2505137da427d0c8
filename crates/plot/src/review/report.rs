//! What the report of measured starts is made from.

use bitepoint_runner::conditions::Study;
use bitepoint_runner::review::{Review, SetComparison};

use crate::format::Units;

/// Everything that the page of a review says.
#[derive(Debug, Clone, Copy)]
pub struct ReviewReport<'a> {
    /// Name of the vehicle.
    pub vehicle_name: &'a str,
    /// Name of the scenario.
    pub scenario_name: &'a str,
    /// Name of the log.
    pub log_name: &'a str,
    /// The starts and what they are held against.
    pub review: &'a Review,
    /// Against earlier runs.
    pub sets: Option<&'a SetComparison>,
    /// The quickest start corrected to reference conditions.
    pub corrected: Option<&'a Study>,
    /// Why the log may not be this car's; empty where nothing speaks for that.
    pub doubts: &'a [String],
    /// What to mind.
    pub notes: &'a [String],
    /// The command that makes it again; may be empty.
    pub command: &'a str,
    /// Units in which it is read.
    pub units: Units,
}

impl ReviewReport<'_> {
    /// Gates in the table of starts: the usual ones that any start passed.
    #[must_use]
    pub fn gates(&self) -> Vec<&'static str> {
        let usual = match self.units {
            Units::Us => ["60 ft", "30 mph", "60 mph", "1320 ft"],
            Units::Si => ["60 ft", "50 km/h", "100 km/h", "400 m"],
        };
        let passed = |name: &str| {
            self.review.starts.iter().flat_map(|s| &s.run.gates).any(|g| g.name == name && g.passed.is_some())
        };
        usual.into_iter().filter(|name| passed(name)).collect()
    }
}
