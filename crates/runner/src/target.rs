//! What is to be reached in the shortest time, and on which clock.

use bitepoint_physics::run::Run;
use bitepoint_physics::timing::{GATES, Gate, Mark};
use bitepoint_physics::vehicle::{Finish, Scenario};
use serde::Serialize;

/// When the clock starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Clock {
    /// When the car first moves.
    #[default]
    FirstMovement,
    /// When it has left the rollout behind.
    Rollout,
}

/// A gate and a clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Target {
    /// Name of the gate: "60 mph".
    pub gate: &'static str,
    /// The clock.
    pub clock: Clock,
}

impl Target {
    /// The gate that people call `name`: "60 mph", "0-60", "quarter mile", "1/4", "eighth mile", "400 m", "100 kph"; case and spaces do not
    /// matter.
    #[must_use]
    pub fn named(name: &str, clock: Clock) -> Option<Self> {
        let fold = |text: &str| -> String { text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect() };
        let asked = fold(name).replace("kph", "km/h").replace("kmh", "km/h");
        let asked = match asked.as_str() {
            "quartermile" | "quarter" | "1/4mile" | "1/4" => "1320ft",
            "eighthmile" | "eighth" | "1/8mile" | "1/8" => "660ft",
            "0-60" => "60mph",
            other => other.strip_prefix("0-").unwrap_or(other),
        };
        GATES.iter().find(|g| fold(g.name) == asked).map(|g| Self { gate: g.name, clock })
    }

    fn index(self) -> usize {
        GATES.iter().position(|g| g.name == self.gate).unwrap_or_default()
    }

    /// The gate.
    #[must_use]
    pub fn mark(self) -> Gate {
        GATES[self.index()]
    }

    /// The scenario, ended at this gate: nothing beyond it is computed.
    #[must_use]
    pub fn ending(self, scenario: &Scenario) -> Scenario {
        let finish = match self.mark().mark {
            Mark::DistanceM(distance_m) => Finish::Distance { distance_m },
            Mark::SpeedMps(speed_mps) => Finish::Speed { speed_mps },
        };
        Scenario { finish, ..scenario.clone() }
    }

    /// Time to the gate on this clock, s; nothing if the run did not get there.
    #[must_use]
    pub fn time_s(self, run: &Run) -> Option<f64> {
        let passed = run.gates.get(self.index())?.passed?;
        match self.clock {
            Clock::FirstMovement => Some(passed.time_s),
            Clock::Rollout => passed.with_rollout_s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gates_are_found_by_the_names_that_people_use() {
        for (name, gate) in [
            ("0-60 mph", "60 mph"),
            ("60MPH", "60 mph"),
            ("Quarter mile", "1320 ft"),
            ("0-100 km/h", "100 km/h"),
            ("0-60", "60 mph"),
            ("1/4", "1320 ft"),
            ("quarter", "1320 ft"),
            ("100 kph", "100 km/h"),
            ("0-100kmh", "100 km/h"),
        ] {
            assert_eq!(Target::named(name, Clock::Rollout).map(|t| t.gate), Some(gate), "{name}");
        }
        assert_eq!(Target::named("61 mph", Clock::Rollout), None);
    }
}
