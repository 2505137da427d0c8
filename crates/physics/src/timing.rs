//! Gates in distance and speed, with and without rollout, and trap speeds.

use serde::Serialize;

const FOOT_M: f64 = 0.3048;
const MILE_PER_HOUR_MPS: f64 = 0.44704;
const KM_PER_HOUR_MPS: f64 = 1.0 / 3.6;

/// Length over which a trap speed is the mean, m: the last 66 ft before the line (common practice, no source).
pub const TRAP_LENGTH_M: f64 = 66.0 * FOOT_M;

/// A place or a speed at which the clock is read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Distance from the start, m.
    DistanceM(f64),
    /// Road speed, m/s.
    SpeedMps(f64),
}

/// A named mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Name as people say it: "60 ft", "60 mph".
    pub name: &'static str,
    /// Where it is.
    pub mark: Mark,
}

const fn feet(name: &'static str, feet: f64) -> Gate {
    Gate { name, mark: Mark::DistanceM(feet * FOOT_M) }
}
const fn metres(name: &'static str, distance_m: f64) -> Gate {
    Gate { name, mark: Mark::DistanceM(distance_m) }
}
const fn mph(name: &'static str, mph: f64) -> Gate {
    Gate { name, mark: Mark::SpeedMps(mph * MILE_PER_HOUR_MPS) }
}
const fn kmh(name: &'static str, kmh: f64) -> Gate {
    Gate { name, mark: Mark::SpeedMps(kmh * KM_PER_HOUR_MPS) }
}

/// Number of gates.
pub const GATE_COUNT: usize = 20;

/// Every gate that a run reads, distances first, each kind in rising order.
pub const GATES: [Gate; GATE_COUNT] = [
    feet("60 ft", 60.0),
    metres("100 m", 100.0),
    feet("330 ft", 330.0),
    feet("660 ft", 660.0),
    metres("200 m", 200.0),
    feet("1000 ft", 1000.0),
    metres("400 m", 400.0),
    feet("1320 ft", 1320.0),
    metres("500 m", 500.0),
    metres("800 m", 800.0),
    metres("1000 m", 1000.0),
    mph("30 mph", 30.0),
    kmh("50 km/h", 50.0),
    mph("40 mph", 40.0),
    mph("60 mph", 60.0),
    kmh("100 km/h", 100.0),
    mph("80 mph", 80.0),
    mph("100 mph", 100.0),
    kmh("200 km/h", 200.0),
    mph("130 mph", 130.0),
];

/// What the clock read at a gate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GateTime {
    /// Name of the gate.
    pub name: &'static str,
    /// Its mark.
    pub mark: Mark,
    /// When it was passed; nothing if the run ended before.
    pub passed: Option<Passed>,
}

/// A gate that was passed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Passed {
    /// Time from the car's first movement, s.
    pub time_s: f64,
    /// Time from the end of the rollout, s; nothing for a mark that lies within it.
    pub with_rollout_s: Option<f64>,
    /// Road speed there, m/s.
    pub speed_mps: f64,
    /// Distance covered there, m.
    pub distance_m: f64,
}

/// Mean speed over the last 66 ft before a distance gate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Trap {
    /// Name of the gate at its end.
    pub name: &'static str,
    /// Mean speed, m/s; nothing if the gate was not reached.
    pub speed_mps: Option<f64>,
}

/// Time between two speeds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RollingTime {
    /// Name: "30-60 mph".
    pub name: &'static str,
    /// Time from the lower to the higher, s; nothing if the higher was not reached.
    pub time_s: Option<f64>,
}
