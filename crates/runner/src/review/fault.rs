//! What can go wrong in a start.

use serde::Serialize;

/// A kind of fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FaultKind {
    /// Driven wheels ahead of the road in gear.
    Wheelspin,
    /// Revs fall under the useful range after the bite.
    Bog,
    /// Revs high, speed not following, with the pedal out.
    ClutchSlip,
    /// The pedal comes up more slowly than it should.
    SlowRelease,
    /// The throttle is opened late.
    LateThrottle,
    /// The throttle is closed, or the car slows, before the gate.
    EarlyLift,
    /// A gear is left too soon.
    EarlyShift,
    /// A gear is left too late.
    LateShift,
    /// The engine hangs on its limiter.
    LimiterBounce,
    /// A shift takes far longer than this gearbox needs.
    MissedShift,
}

impl FaultKind {
    /// All of them, in the order of their places in a start.
    pub const ALL: [Self; 10] = [
        Self::Wheelspin,
        Self::Bog,
        Self::ClutchSlip,
        Self::SlowRelease,
        Self::LateThrottle,
        Self::EarlyLift,
        Self::EarlyShift,
        Self::LateShift,
        Self::LimiterBounce,
        Self::MissedShift,
    ];

    /// Its name in running text.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Wheelspin => "wheelspin",
            Self::Bog => "bog",
            Self::ClutchSlip => "clutch slip",
            Self::SlowRelease => "slow release",
            Self::LateThrottle => "late throttle",
            Self::EarlyLift => "early lift",
            Self::EarlyShift => "early shift",
            Self::LateShift => "late shift",
            Self::LimiterBounce => "limiter bounce",
            Self::MissedShift => "missed shift",
        }
    }
}

/// A fault, when it happened, and what shows it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Fault {
    /// Its kind.
    pub kind: FaultKind,
    /// When it began, s from first movement.
    pub from_s: f64,
    /// When it was over, s from first movement.
    pub to_s: f64,
    /// Gear that was left, 1 for first, where the fault is one of a shift.
    pub gear: Option<u8>,
    /// What was measured, in the fault's own unit: rad/s for engine speeds, s for times, m/s for wheels or engine ahead of the road, a share
    /// for throttles.
    pub measured: f64,
    /// The same number of the recommended launch; the limit for what has none.
    pub planned: f64,
    /// Mean acceleration of the car meanwhile, m/s², where it is evidence.
    pub pull_mps2: Option<f64>,
    /// What its tyres could give meanwhile, m/s².
    pub grip_mps2: Option<f64>,
}

impl Fault {
    /// One without a gear or a pull.
    pub(super) fn plain(kind: FaultKind, (from_s, to_s): (f64, f64), measured: f64, planned: f64) -> Self {
        Self { kind, from_s, to_s, gear: None, measured, planned, pull_mps2: None, grip_mps2: None }
    }
}
