//! What a driver does in a start, and can do otherwise.

use serde::Serialize;

use super::fault::FaultKind;

/// One thing that a driver decides or brings about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// Engine speed held before the start.
    HeldRevs,
    /// Engine speed kept with the pedal while the clutch slips.
    KeptRevs,
    /// Time for the pedal to come up.
    Release,
    /// How the throttle is opened, held and lifted.
    Throttle,
    /// Power that the car shows by how it pulls, in a log without throttle: that, or an engine that is not as its file says.
    Power,
    /// Engine speeds at which gears are left.
    ShiftRevs,
    /// Time that shifts take.
    ShiftTime,
    /// Torque that the clutch carries.
    Clutch,
}

impl Cause {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; 8] = [
        Self::HeldRevs,
        Self::KeptRevs,
        Self::Release,
        Self::Throttle,
        Self::Power,
        Self::ShiftRevs,
        Self::ShiftTime,
        Self::Clutch,
    ];

    /// Its name in running text.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::HeldRevs => "held revs",
            Self::KeptRevs => "kept revs",
            Self::Release => "pedal",
            Self::Throttle => "throttle",
            Self::Power => "power",
            Self::ShiftRevs => "shift points",
            Self::ShiftTime => "shift times",
            Self::Clutch => "clutch",
        }
    }

    /// Whether a fault of this kind can come of it.
    #[must_use]
    pub fn shows_as(self, kind: FaultKind) -> bool {
        let launch = matches!(kind, FaultKind::Wheelspin | FaultKind::Bog);
        match self {
            Self::HeldRevs => launch,
            Self::KeptRevs | Self::Release => launch || kind == FaultKind::SlowRelease,
            Self::Throttle | Self::Power => launch || matches!(kind, FaultKind::LateThrottle | FaultKind::EarlyLift),
            Self::ShiftRevs => {
                matches!(kind, FaultKind::EarlyShift | FaultKind::LateShift | FaultKind::LimiterBounce)
            }
            Self::ShiftTime => kind == FaultKind::MissedShift,
            Self::Clutch => kind == FaultKind::ClutchSlip,
        }
    }
}
