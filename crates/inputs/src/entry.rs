//! What `check` prints: every value that a car or a scenario is made of, given or estimated.

use serde::Serialize;

use crate::given::Value;
use crate::key::Key;
use crate::quantity::{Dimension, UnitSystem};

/// Where an estimate's rule comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind", content = "source")]
pub enum Origin {
    /// The file gives the value.
    Given,
    /// It follows from other values of this table by arithmetic alone.
    Derived,
    /// A rule that was published: the source.
    Published(&'static str),
    /// Common practice, no source.
    CommonPractice,
    /// From memory.
    FromMemory,
    /// A number that handbooks give and road tests of measured cars correct: both, in words.
    Calibrated(&'static str),
}

impl Origin {
    /// In words.
    #[must_use]
    pub fn text(self) -> String {
        match self {
            Self::Given => "given".to_owned(),
            Self::Derived => "follows from the values above".to_owned(),
            Self::Published(source) => source.to_owned(),
            Self::CommonPractice => "common practice, no source".to_owned(),
            Self::FromMemory => "from memory".to_owned(),
            Self::Calibrated(both) => both.to_owned(),
        }
    }
}

/// One value and how it came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its key.
    pub key: &'static Key,
    pub(crate) value: Value,
    /// One line: how it was estimated, empty if it is given.
    pub rule: &'static str,
    /// Where the rule comes from.
    pub origin: Origin,
    /// One standard deviation, SI; zero if the value is taken as exact.
    pub spread_sd_si: f64,
    /// Line in the file; nothing if it is estimated.
    pub line: Option<u32>,
}

impl Entry {
    /// Whether the file gives it.
    #[must_use]
    pub fn given(&self) -> bool {
        self.origin == Origin::Given
    }

    /// The value in SI, if it is one number.
    #[must_use]
    pub fn si_value(&self) -> Option<f64> {
        match self.value {
            Value::Number { si, .. } => Some(si),
            _ => None,
        }
    }

    /// The value in SI moved by `z` of its standard deviations, as `VehicleFile::resolve_with` moves it; nothing if it is not one
    /// number.
    #[must_use]
    pub fn moved_si(&self, z: f64) -> Option<f64> {
        match self.value {
            Value::Number { si, spread } => Some(spread.moved(si, z)),
            _ => None,
        }
    }

    /// What it measures, if it is one number or a list of them.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        self.key.kind.dimension()
    }

    /// The value with its unit.
    #[must_use]
    pub fn value_text(&self, system: UnitSystem) -> String {
        self.value.show(&self.key.kind, system)
    }

    /// Its spread with its unit; empty if there is none.
    #[must_use]
    pub fn spread_text(&self, system: UnitSystem) -> String {
        match (self.si_value(), self.dimension()) {
            (Some(si), Some(dimension)) if self.spread_sd_si > 0.0 => {
                format!("± {}", dimension.show_difference(self.spread_sd_si, si, system))
            }
            _ => String::new(),
        }
    }
}
