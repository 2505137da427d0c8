//! What no start may exceed.

use bitepoint_physics::run::Run;
use serde::Serialize;

/// What no start may exceed; nothing is no limit.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, schemars::JsonSchema)]
pub struct Limits {
    /// Temperature of the clutch face, °C.
    pub clutch_face_c: Option<f64>,
    /// Heat made in the clutch over the run, J.
    pub clutch_energy_j: Option<f64>,
    /// Torque of all half-shafts together, N·m.
    pub shaft_torque_nm: Option<f64>,
    /// Slip speed (tread over road) of a driven tyre, m/s.
    pub slip_mps: Option<f64>,
}

/// One of the quantities that can be limited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// Temperature of the clutch face, °C.
    ClutchFace,
    /// Heat made in the clutch, J.
    ClutchEnergy,
    /// Torque of all half-shafts together, N·m.
    ShaftTorque,
    /// Slip speed of a driven tyre, m/s.
    Slip,
}

/// A limit that no launch keeps, and how near one comes to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Shortfall {
    /// Which.
    pub kind: LimitKind,
    /// The limit, in the unit of its kind.
    pub limit: f64,
    /// The least value that any launch was found to reach while it gets to the target, looking at this limit alone.
    pub least: f64,
    /// The value in the launch that comes nearest to keeping all limits together.
    pub together: f64,
}

impl LimitKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::ClutchFace, Self::ClutchEnergy, Self::ShaftTorque, Self::Slip];

    /// The value of a run, in the unit of its kind.
    #[must_use]
    pub fn value(self, run: &Run) -> f64 {
        match self {
            Self::ClutchFace => run.peaks.clutch_face_c,
            Self::ClutchEnergy => run.peaks.clutch_energy_j,
            Self::ShaftTorque => run.peaks.shaft_torque_nm,
            Self::Slip => run.launch.largest_slip_mps,
        }
    }

    /// An ordinary size, by which an excess is measured so that excesses of different kinds can be added.
    const fn size(self) -> f64 {
        match self {
            Self::ClutchFace => 200.0,
            Self::ClutchEnergy => 100e3,
            Self::ShaftTorque => 3000.0,
            Self::Slip => 5.0,
        }
    }
}

impl Limits {
    /// The limit of one kind, if there is one.
    #[must_use]
    pub const fn of(&self, kind: LimitKind) -> Option<f64> {
        match kind {
            LimitKind::ClutchFace => self.clutch_face_c,
            LimitKind::ClutchEnergy => self.clutch_energy_j,
            LimitKind::ShaftTorque => self.shaft_torque_nm,
            LimitKind::Slip => self.slip_mps,
        }
    }

    /// Whether there is none.
    #[must_use]
    pub fn are_none(&self) -> bool {
        *self == Self::default()
    }

    /// Whether a run keeps them.
    #[must_use]
    pub fn kept_by(&self, run: &Run) -> bool {
        self.excess(run) <= 0.0
    }

    /// By how much a run exceeds them, as a sum of shares of each one's ordinary size; 0 if it keeps all.
    #[must_use]
    pub fn excess(&self, run: &Run) -> f64 {
        let over =
            |kind: LimitKind| self.of(kind).map_or(0.0, |limit| ((kind.value(run) - limit) / kind.size()).max(0.0));
        LimitKind::ALL.into_iter().map(over).sum()
    }
}
