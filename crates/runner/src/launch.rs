//! What a driver decides before a start: the part of a plan that is carried out.

use bitepoint_physics::driver::{Driver, PartThrottle, ReleaseShape};
use serde::Serialize;

/// How a car is launched and shifted.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Launch {
    /// Engine speed held before the start, rad/s.
    pub held_radps: f64,
    /// Engine speed kept while the clutch slips, rad/s.
    pub kept_radps: f64,
    /// Time for the pedal from pressed to released, s.
    pub release_s: f64,
    /// Shape of that release.
    #[serde(serialize_with = "write_shape")]
    #[schemars(with = "String")]
    pub release_shape: ReleaseShape,
    /// Time for the throttle from holding revs to wide open, or to the part throttle, s.
    pub throttle_ease_s: f64,
    /// How long before the clutch bites the throttle begins to open, s; negative is after the bite.
    pub throttle_lead_s: f64,
    /// Throttle that is held first, in first gear, 0 to 1; 1 is straight to wide open.
    pub part_throttle: f64,
    /// Road speed at which a part throttle begins to open further, m/s.
    pub part_until_mps: f64,
    /// Engine speed at which each gear is left, rad/s, first gear first; the last is used for gears beyond.
    pub shift_at_radps: Vec<f64>,
}

fn write_shape<S: serde::Serializer>(shape: &ReleaseShape, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(shape_name(*shape))
}

/// Name of a shape of release, as scenario files spell it.
#[must_use]
pub fn shape_name(shape: ReleaseShape) -> &'static str {
    match shape {
        ReleaseShape::Straight => "straight",
        ReleaseShape::QuickToBite => "quick to bite",
    }
}

/// From here on a throttle is wide open.
const WIDE_OPEN: f64 = 0.995;
/// Time from a part throttle to wide open for a driver who is not known to hold one, s (from memory, as for scenario files).
pub const OPEN_S: f64 = 1.0;

impl Launch {
    /// What this driver does.
    #[must_use]
    pub fn of(driver: &Driver) -> Self {
        Self {
            held_radps: driver.held_radps,
            kept_radps: driver.kept_radps,
            release_s: driver.release_s,
            release_shape: driver.release_shape,
            throttle_ease_s: driver.throttle_ease_s,
            throttle_lead_s: driver.throttle_lead_s,
            part_throttle: driver.part_throttle.map_or(1.0, |part| part.held),
            part_until_mps: driver.part_throttle.map_or(0.0, |part| part.until_mps),
            shift_at_radps: driver.shift_at_radps.clone(),
        }
    }

    /// Whether a part throttle is held: one that is as good as wide open is none.
    #[must_use]
    pub fn holds_part_throttle(&self) -> bool {
        self.part_throttle < WIDE_OPEN
    }

    /// The same driver with these decisions.
    #[must_use]
    pub fn by(&self, driver: &Driver) -> Driver {
        Driver {
            held_radps: self.held_radps,
            kept_radps: self.kept_radps,
            release_s: self.release_s,
            release_shape: self.release_shape,
            throttle_ease_s: self.throttle_ease_s,
            throttle_lead_s: self.throttle_lead_s,
            part_throttle: self.holds_part_throttle().then_some(PartThrottle {
                held: self.part_throttle,
                until_mps: self.part_until_mps,
                open_s: driver.part_throttle.map_or(OPEN_S, |part| part.open_s),
            }),
            shift_at_radps: self.shift_at_radps.clone(),
            ..driver.clone()
        }
    }
}
