//! The conditions to which a time is corrected.

use bitepoint_physics::air::Air;
use bitepoint_physics::road::Slope;
use serde::Serialize;

use super::condition::Conditions;
use crate::target::Clock;

/// Air of a standard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StandardAir {
    /// ISO 2533, sea level: 15 °C, 1013.25 hPa, dry.
    #[default]
    Iso2533,
    /// The reference of SAE J1349 and ISO 1585: 25 °C, 990 hPa, dry.
    SaeJ1349,
}

impl StandardAir {
    /// Its air.
    #[must_use]
    pub fn air(self) -> Air {
        match self {
            Self::Iso2533 => Air { temperature_c: 15.0, pressure_pa: 101_325.0, relative_humidity: 0.0 },
            Self::SaeJ1349 => Air { temperature_c: 25.0, pressure_pa: 99_000.0, relative_humidity: 0.0 },
        }
    }
}

/// Conditions to correct to, and what they are called.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// The conditions; a study sets the clock's start.
    pub conditions: Conditions,
    /// Whether its clock starts at first movement or after the run's own rollout.
    pub clock: Clock,
    /// The standard of their air; nothing if they are those of another day.
    pub standard: Option<StandardAir>,
    /// Name of that other day; empty for a standard.
    pub day: String,
}

impl Reference {
    /// A level road and still air of a standard.
    #[must_use]
    pub fn level_and_still(standard: StandardAir, clock: Clock) -> Self {
        let slope = Slope::Constant { rise_per_run: 0.0 };
        Self {
            conditions: Conditions { slope, headwind_mps: 0.0, air: standard.air(), rollout_m: 0.0 },
            clock,
            standard: Some(standard),
            day: String::new(),
        }
    }

    /// The conditions of another day.
    #[must_use]
    pub fn day(name: &str, conditions: Conditions, clock: Clock) -> Self {
        Self { conditions, clock, standard: None, day: name.to_owned() }
    }
}
