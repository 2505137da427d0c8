//! What a report is made from.

use bitepoint_physics::bounds::Standing;
use bitepoint_physics::run::{Run, Sample};
use bitepoint_physics::timing::{GateTime, Mark, Passed};

use crate::format::Units;
use crate::launch::Described;

/// Everything that one run's report says.
#[derive(Debug, Clone)]
pub struct RunReport<'a> {
    /// Heading of the browser's tab, such as "Marlow hatch on dry asphalt".
    pub title: &'a str,
    /// The vehicle's name.
    pub vehicle_name: &'a str,
    /// One line about it; may be empty.
    pub vehicle_note: &'a str,
    /// The scenario's name.
    pub scenario_name: &'a str,
    /// One line about it; may be empty.
    pub scenario_note: &'a str,
    /// The command that makes this report again; may be empty.
    pub command: &'a str,
    /// The run.
    pub run: &'a Run,
    /// Its launch, for words.
    pub launch: &'a Described,
    /// Where that comes from: "recommended", "given by the scenario".
    pub launch_from: &'a str,
    /// What would help a launch that went wrong; empty if nothing is to be said.
    pub advice: &'a str,
    /// The run, instant by instant, in rising time. Empty if none were kept: the charts over time are then left out.
    pub samples: &'a [Sample],
    /// Distance from the bounds at some gates.
    pub standings: &'a [Standing],
    /// Spread of the gate times; empty if none was computed.
    pub bands: &'a [GateBand],
    /// Number of runs behind the bands.
    pub band_runs: usize,
    /// Every input, given or estimated.
    pub inputs: &'a [InputRow],
    /// Cautions of this run: "The front wheels lifted for 0.2 s".
    pub notes: &'a [String],
    /// Face temperature at which the clutch begins to fade, °C.
    pub clutch_fade_start_c: f64,
    /// Face temperature of lasting harm, °C.
    pub clutch_harm_c: f64,
    /// Distance that the car rolls before the clock starts, for the times with rollout, m.
    pub rollout_m: f64,
    /// Units in which it is read.
    pub units: Units,
}

/// From the 5th to the 95th percentile of a time, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// 5th percentile, s.
    pub low_s: f64,
    /// 95th percentile, s.
    pub high_s: f64,
}

/// Spread of the time at one gate.
#[derive(Debug, Clone, PartialEq)]
pub struct GateBand {
    /// Name of the gate, as in `timing::GATES`.
    pub gate: String,
    /// From first movement.
    pub from_movement: Band,
    /// With rollout; nothing for a mark that lies within it.
    pub with_rollout: Option<Band>,
}

/// One input of the run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InputRow {
    /// Part of the car or scenario that it belongs to: "clutch".
    pub part: String,
    /// Its key in the file.
    pub key: String,
    /// Value with unit, SI.
    pub value_si: String,
    /// Value with unit, US.
    pub value_us: String,
    /// Whether a file gave it; else a rule estimated it.
    pub given: bool,
    /// The rule that estimated it; empty if it was given.
    pub rule: String,
    /// Where the rule comes from; empty if it was given.
    pub origin: String,
    /// One standard deviation as printed, such as "± 12 kg", SI; empty if there is none.
    pub spread_si: String,
    /// The same, US.
    pub spread_us: String,
}

impl InputRow {
    /// The value in the reader's units.
    #[must_use]
    pub fn value(&self, units: Units) -> &str {
        match units {
            Units::Us => &self.value_us,
            Units::Si => &self.value_si,
        }
    }

    /// The spread in the reader's units; empty if there is none.
    #[must_use]
    pub fn spread(&self, units: Units) -> &str {
        match units {
            Units::Us => &self.spread_us,
            Units::Si => &self.spread_si,
        }
    }
}

impl RunReport<'_> {
    /// The reading of a gate.
    #[must_use]
    pub fn gate(&self, name: &str) -> Option<&GateTime> {
        self.run.gates.iter().find(|gate| gate.name == name)
    }

    /// The reading of a gate that was passed.
    #[must_use]
    pub fn passed(&self, name: &str) -> Option<Passed> {
        self.gate(name).and_then(|gate| gate.passed)
    }

    /// Spread of a gate's time.
    #[must_use]
    pub fn band(&self, name: &str) -> Option<&GateBand> {
        self.bands.iter().find(|band| band.gate == name)
    }

    /// Trap speed at a gate, m/s.
    #[must_use]
    pub fn trap_mps(&self, name: &str) -> Option<f64> {
        self.run.traps.iter().find(|trap| trap.name == name).and_then(|trap| trap.speed_mps)
    }

    /// Whether any sample shows boost.
    #[must_use]
    pub fn has_boost(&self) -> bool {
        self.samples.iter().any(|sample| sample.boost > 0.01)
    }

    /// Names of the gates that this reader's charts mark, most wanted first.
    #[must_use]
    pub fn chart_gates(&self) -> &'static [&'static str] {
        match self.units {
            Units::Us => &["1320 ft", "60 mph", "60 ft", "660 ft", "100 mph", "330 ft", "1000 ft"],
            Units::Si => &["400 m", "100 km/h", "60 ft", "1000 m", "200 m", "200 km/h", "100 m"],
        }
    }

    /// Name of the gate in speed that everybody asks for, and of the one in distance.
    #[must_use]
    pub fn headline_gates(&self) -> (&'static str, &'static str) {
        match self.units {
            Units::Us => ("60 mph", "1320 ft"),
            Units::Si => ("100 km/h", "400 m"),
        }
    }
}

/// Whether a mark is a place rather than a speed.
#[must_use]
pub(super) fn is_place(mark: Mark) -> bool {
    matches!(mark, Mark::DistanceM(_))
}
