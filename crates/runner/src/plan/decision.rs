//! What of a launch can be chosen, each number declared once: its key, its unit of error, its scatter, its range and how it is set.
//!
//! Searches, driver errors, refusals of `compare`, written scenarios and windows all follow from this table.

use bitepoint_inputs::key::Key;
use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_inputs::scenario_keys as keys;
use bitepoint_physics::vehicle::Vehicle;
use serde::Serialize;

use crate::launch::Launch;

/// One number of a launch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// Engine speed held, rad/s.
    HeldRevs,
    /// Engine speed kept while the clutch slips, rad/s.
    KeptRevs,
    /// Time for the pedal from pressed to released, s.
    ReleaseTime,
    /// Time for the throttle from holding revs to wide open, s.
    ThrottleEase,
    /// How long before the bite the throttle begins to open, s.
    ThrottleLead,
    /// Throttle that is held first, 0 to 1; 1 is wide open at once.
    PartThrottle,
    /// Road speed at which the part throttle opens further, m/s.
    PartUntil,
    /// Engine speed at which a gear is left, rad/s; 0 is first gear.
    ShiftRevs(usize),
}

/// How a search walks from the least to the most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Scale {
    /// In equal steps.
    Even,
    /// In equal ratios.
    Ratio,
    /// In equal steps of the square root: what lies under 0.2 s matters as much as what lies between 1 and 1.5 s.
    Root,
}

/// What there is to know of a decision.
struct Spec {
    decision: Decision,
    key: &'static Key,
    /// A unit of error that people speak of, SI.
    unit: f64,
    scale: Scale,
    of: fn(&Launch) -> f64,
    set: fn(&mut Launch, f64),
    scatter: fn(&DriverScatter) -> f64,
    scatter_key: &'static Key,
}

const RPM: f64 = core::f64::consts::PI / 30.0;

static SPECS: [Spec; 7] = [
    Spec {
        decision: Decision::HeldRevs,
        key: &keys::REVS,
        unit: 100.0 * RPM,
        scale: Scale::Even,
        of: |launch| launch.held_radps,
        set: |launch, value| launch.held_radps = value,
        scatter: |scatter| scatter.held_radps,
        scatter_key: &keys::SCATTER_REVS,
    },
    Spec {
        decision: Decision::KeptRevs,
        key: &keys::KEPT_REVS,
        unit: 100.0 * RPM,
        scale: Scale::Even,
        of: |launch| launch.kept_radps,
        set: |launch, value| launch.kept_radps = value,
        scatter: |scatter| scatter.kept_radps,
        scatter_key: &keys::SCATTER_KEPT,
    },
    Spec {
        decision: Decision::ReleaseTime,
        key: &keys::RELEASE_TIME,
        unit: 0.1,
        scale: Scale::Ratio,
        of: |launch| launch.release_s,
        set: |launch, value| launch.release_s = value,
        scatter: |scatter| scatter.release_s,
        scatter_key: &keys::SCATTER_RELEASE,
    },
    Spec {
        decision: Decision::ThrottleEase,
        key: &keys::THROTTLE_EASE,
        unit: 0.1,
        scale: Scale::Root,
        of: |launch| launch.throttle_ease_s,
        set: |launch, value| launch.throttle_ease_s = value,
        scatter: |scatter| scatter.throttle_ease_s,
        scatter_key: &keys::SCATTER_EASE,
    },
    Spec {
        decision: Decision::ThrottleLead,
        key: &keys::THROTTLE_LEAD,
        unit: 0.1,
        scale: Scale::Even,
        of: |launch| launch.throttle_lead_s,
        set: |launch, value| launch.throttle_lead_s = value,
        scatter: |scatter| scatter.throttle_lead_s,
        scatter_key: &keys::SCATTER_LEAD,
    },
    Spec {
        decision: Decision::PartThrottle,
        key: &keys::PART_THROTTLE,
        unit: 0.05,
        scale: Scale::Even,
        of: |launch| launch.part_throttle,
        set: |launch, value| launch.part_throttle = value,
        scatter: |scatter| scatter.part_throttle,
        scatter_key: &keys::SCATTER_PART,
    },
    Spec {
        decision: Decision::PartUntil,
        key: &keys::PART_UNTIL,
        unit: 5.0 / 3.6,
        scale: Scale::Even,
        of: |launch| launch.part_until_mps,
        set: |launch, value| launch.part_until_mps = value,
        // The eye on the needle is as good as the foot.
        scatter: |_| 0.0,
        scatter_key: &keys::SCATTER_PART,
    },
];

/// Quickest release that is recommended, s: who lets the pedal up sooner drops it, and can catch nothing.
const QUICKEST_RELEASE_S: f64 = 0.3;
const SLOWEST_RELEASE_S: f64 = 4.0;
/// A foot takes some time to the floor, s.
const SHORTEST_EASE_S: f64 = 0.2;
const LONGEST_EASE_S: f64 = 3.0;
/// The throttle opens with the bite, give or take a blink; against a launch limiter it can be opened early, so that boost builds.
const LATEST_LEAD_S: f64 = -0.3;
const EARLIEST_LEAD_S: f64 = 0.1;
const LIMITER_LEAD_S: f64 = 1.0;
/// Less throttle than this pulls no car away.
const LEAST_THROTTLE: f64 = 0.15;
/// Faster than this every car can take its throttle (90 km/h), m/s.
const LATEST_OPENING_MPS: f64 = 90.0 / 3.6;
/// A gear is left no sooner than at this fraction of the redline.
const EARLIEST_SHIFT: f64 = 0.6;
/// Least revs to hold and to keep, as fractions of the way from idle to the redline: with less an engine has nothing in hand against a
/// stall (common practice, no source).
const LEAST_HELD: f64 = 0.2;
const LEAST_KEPT: f64 = 0.12;

impl Decision {
    /// Those of a launch straight to wide open.
    pub const WIDE_OPEN: [Self; 5] =
        [Self::HeldRevs, Self::KeptRevs, Self::ReleaseTime, Self::ThrottleEase, Self::ThrottleLead];

    /// Those of any launch.
    pub const LAUNCH: [Self; 7] = [
        Self::HeldRevs,
        Self::KeptRevs,
        Self::ReleaseTime,
        Self::ThrottleEase,
        Self::ThrottleLead,
        Self::PartThrottle,
        Self::PartUntil,
    ];

    fn spec(self) -> Option<&'static Spec> {
        SPECS.iter().find(|spec| spec.decision == self)
    }

    /// The scenario key that states it.
    #[must_use]
    pub fn key(self) -> &'static Key {
        self.spec().map_or(&keys::SHIFT_AT, |spec| spec.key)
    }

    /// Every key that a launch states, shape of release and shift points included.
    pub fn keys() -> impl Iterator<Item = &'static Key> {
        SPECS.iter().map(|spec| spec.key).chain([&keys::RELEASE_SHAPE, &keys::SHIFT_AT, &keys::THROTTLE_OPEN])
    }

    /// The decision that a key states, and its key's counterpart for scatter.
    pub(crate) fn of_key(path: &str) -> Option<Self> {
        SPECS.iter().find(|spec| spec.key.path == path).map(|spec| spec.decision)
    }

    /// Standard deviation with which a driver hits it, SI.
    #[must_use]
    pub fn scatter(self, scatter: &DriverScatter) -> f64 {
        self.spec().map_or(scatter.shift_at_radps, |spec| (spec.scatter)(scatter))
    }

    /// The key of that scatter: what drivers' errors are drawn by.
    #[must_use]
    pub(crate) fn scatter_key(self) -> &'static Key {
        self.spec().map_or(&keys::SCATTER_SHIFT_AT, |spec| spec.scatter_key)
    }

    /// Its value in a launch.
    #[must_use]
    pub fn of(self, launch: &Launch) -> f64 {
        match self {
            Self::ShiftRevs(gear) => {
                launch.shift_at_radps.get(gear).or(launch.shift_at_radps.last()).copied().unwrap_or(f64::INFINITY)
            }
            _ => self.spec().map_or(f64::NAN, |spec| (spec.of)(launch)),
        }
    }

    /// The launch with another value of it.
    #[must_use]
    pub fn with(self, launch: &Launch, value: f64) -> Launch {
        let mut launch = launch.clone();
        match self {
            Self::ShiftRevs(gear) => {
                let last = launch.shift_at_radps.last().copied().unwrap_or(value);
                if launch.shift_at_radps.len() <= gear {
                    launch.shift_at_radps.resize(gear + 1, last);
                }
                launch.shift_at_radps[gear] = value;
            }
            _ => {
                if let Some(spec) = self.spec() {
                    (spec.set)(&mut launch, value);
                }
            }
        }
        launch
    }

    /// A unit of error that people speak of: 100 rpm, 0.1 s, 5 % of throttle, 5 km/h.
    #[must_use]
    pub fn unit(self) -> f64 {
        self.spec().map_or(100.0 * RPM, |spec| spec.unit)
    }

    /// Least and most that a search tries for this car; nothing above the redline.
    #[must_use]
    pub fn range(self, vehicle: &Vehicle) -> (f64, f64) {
        let engine = &vehicle.engine;
        let redline = engine.redline_radps;
        let above_idle = |fraction: f64| engine.idle_radps + fraction * (redline - engine.idle_radps);
        match self {
            Self::HeldRevs => {
                let most = engine.launch_limiter.map_or(redline, |launch| launch.limiter.resume_radps.min(redline));
                (above_idle(LEAST_HELD).min(most), most)
            }
            Self::KeptRevs => (above_idle(LEAST_KEPT), redline),
            Self::ReleaseTime => (QUICKEST_RELEASE_S, SLOWEST_RELEASE_S),
            Self::ThrottleEase => (SHORTEST_EASE_S, LONGEST_EASE_S),
            Self::ThrottleLead => {
                let against_limiter = engine.boost.is_some() && engine.launch_limiter.is_some();
                (LATEST_LEAD_S, if against_limiter { LIMITER_LEAD_S } else { EARLIEST_LEAD_S })
            }
            Self::PartThrottle => (LEAST_THROTTLE, 1.0),
            Self::PartUntil => (0.0, LATEST_OPENING_MPS),
            Self::ShiftRevs(_) => ((EARLIEST_SHIFT * redline).max(1.2 * engine.idle_radps).min(redline), redline),
        }
    }

    fn scale(self) -> Scale {
        self.spec().map_or(Scale::Even, |spec| spec.scale)
    }

    /// Value at `share` (0 to 1) of the way that a search walks.
    #[must_use]
    pub fn at(self, share: f64, vehicle: &Vehicle) -> f64 {
        let (low, high) = self.range(vehicle);
        let s = share.clamp(0.0, 1.0);
        match self.scale() {
            Scale::Ratio => low * libm::pow(high / low, s),
            Scale::Root => low + (high - low) * s * s,
            Scale::Even => low + (high - low) * s,
        }
    }

    /// Where on that way a value lies: the inverse of [`Decision::at`].
    #[must_use]
    pub fn share(self, value: f64, vehicle: &Vehicle) -> f64 {
        let (low, high) = self.range(vehicle);
        let v = value.clamp(low, high);
        match self.scale() {
            Scale::Ratio => libm::log(v / low) / libm::log(high / low),
            Scale::Root => ((v - low) / (high - low)).sqrt(),
            Scale::Even => (v - low) / (high - low).max(f64::MIN_POSITIVE),
        }
    }
}
