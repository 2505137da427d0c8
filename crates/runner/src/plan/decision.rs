//! What of a launch can be chosen, one number at a time: ranges, and the scale on which a search walks.

use bitepoint_physics::vehicle::Vehicle;
use serde::Serialize;

use crate::launch::Launch;

/// One number of a launch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// Engine speed held, rad/s.
    HeldRevs,
    /// Time for the pedal from pressed to released, s.
    ReleaseTime,
    /// Time for the throttle from holding revs to wide open, s.
    ThrottleEase,
    /// Throttle that is held first, 0 to 1; 1 is wide open at once.
    PartThrottle,
    /// Road speed at which the part throttle opens further, m/s.
    PartUntil,
    /// Engine speed at which a gear is left, rad/s; 0 is first gear.
    ShiftRevs(usize),
}

/// Quickest release that a foot does on purpose, s: the pedal slipped off sideways (from memory).
const QUICKEST_RELEASE_S: f64 = 0.1;
const SLOWEST_RELEASE_S: f64 = 6.0;
const LONGEST_EASE_S: f64 = 4.0;
/// Less throttle than this pulls no car away.
const LEAST_THROTTLE: f64 = 0.1;
/// Faster than this every car can take its throttle (150 km/h), m/s.
const LATEST_OPENING_MPS: f64 = 150.0 / 3.6;
/// A gear is left no sooner than at this share of the limiter's speed.
const EARLIEST_SHIFT: f64 = 0.6;
/// Nor later than this far below the limiter, rad/s (20 rpm): on the limiter the speed that was waited for never comes.
const UNDER_LIMITER_RADPS: f64 = 20.0 * core::f64::consts::PI / 30.0;
/// Least revs to hold over idle: less is no holding.
const LEAST_OVER_IDLE: f64 = 1.05;

impl Decision {
    /// Those of the launch itself; the one with the sharpest valleys last, where the search draws its lines.
    pub const LAUNCH: [Self; 5] =
        [Self::HeldRevs, Self::ReleaseTime, Self::PartUntil, Self::ThrottleEase, Self::PartThrottle];

    /// Those of a launch straight to wide open.
    pub const WIDE_OPEN: [Self; 3] = [Self::HeldRevs, Self::ReleaseTime, Self::ThrottleEase];

    /// Its value in a launch.
    #[must_use]
    pub fn of(self, launch: &Launch) -> f64 {
        match self {
            Self::HeldRevs => launch.held_radps,
            Self::ReleaseTime => launch.release_s,
            Self::ThrottleEase => launch.throttle_ease_s,
            Self::PartThrottle => launch.part_throttle,
            Self::PartUntil => launch.part_until_mps,
            Self::ShiftRevs(gear) => {
                launch.shift_at_radps.get(gear).or(launch.shift_at_radps.last()).copied().unwrap_or(f64::INFINITY)
            }
        }
    }

    /// The launch with another value of it.
    #[must_use]
    pub fn with(self, launch: &Launch, value: f64) -> Launch {
        let mut launch = launch.clone();
        match self {
            Self::HeldRevs => launch.held_radps = value,
            Self::ReleaseTime => launch.release_s = value,
            Self::ThrottleEase => launch.throttle_ease_s = value,
            Self::PartThrottle => launch.part_throttle = value,
            Self::PartUntil => launch.part_until_mps = value,
            Self::ShiftRevs(gear) => {
                let last = launch.shift_at_radps.last().copied().unwrap_or(value);
                if launch.shift_at_radps.len() <= gear {
                    launch.shift_at_radps.resize(gear + 1, last);
                }
                launch.shift_at_radps[gear] = value;
            }
        }
        launch
    }

    /// A unit of error that people speak of: 100 rpm, 0.1 s, 5 % of throttle, 5 km/h.
    #[must_use]
    pub fn unit(self) -> f64 {
        match self {
            Self::HeldRevs | Self::ShiftRevs(_) => 100.0 * core::f64::consts::PI / 30.0,
            Self::ReleaseTime | Self::ThrottleEase => 0.1,
            Self::PartThrottle => 0.05,
            Self::PartUntil => 5.0 / 3.6,
        }
    }

    /// Least and most that a search tries for this car.
    #[must_use]
    pub fn range(self, vehicle: &Vehicle) -> (f64, f64) {
        let engine = &vehicle.engine;
        let cut = engine.limiter.cut_radps;
        match self {
            Self::HeldRevs => {
                let most = engine.launch_limiter.map_or(cut, |launch| launch.limiter.resume_radps.min(cut));
                (LEAST_OVER_IDLE * engine.idle_radps, most.max(1.1 * LEAST_OVER_IDLE * engine.idle_radps))
            }
            Self::ReleaseTime => (QUICKEST_RELEASE_S, SLOWEST_RELEASE_S),
            Self::ThrottleEase => (0.0, LONGEST_EASE_S),
            Self::PartThrottle => (LEAST_THROTTLE, 1.0),
            Self::PartUntil => (0.0, LATEST_OPENING_MPS),
            Self::ShiftRevs(_) => {
                let most = cut - UNDER_LIMITER_RADPS;
                ((EARLIEST_SHIFT * cut).max(1.2 * engine.idle_radps).min(most), most)
            }
        }
    }

    /// Value at `share` (0 to 1) of the way that a search walks: releases by ratio, eases by
    /// square root (what lies under 0.2 s matters as much as what lies between 1 and 1.5 s), all else evenly.
    #[must_use]
    pub fn at(self, share: f64, vehicle: &Vehicle) -> f64 {
        let (low, high) = self.range(vehicle);
        let s = share.clamp(0.0, 1.0);
        match self {
            Self::ReleaseTime => low * libm::pow(high / low, s),
            Self::ThrottleEase => low + (high - low) * s * s,
            _ => low + (high - low) * s,
        }
    }

    /// Where on that way a value lies: the inverse of [`Decision::at`].
    #[must_use]
    pub fn share(self, value: f64, vehicle: &Vehicle) -> f64 {
        let (low, high) = self.range(vehicle);
        let v = value.clamp(low, high);
        match self {
            Self::ReleaseTime => libm::log(v / low) / libm::log(high / low),
            Self::ThrottleEase => ((v - low) / (high - low)).sqrt(),
            _ => (v - low) / (high - low).max(f64::MIN_POSITIVE),
        }
    }
}
