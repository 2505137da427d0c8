//! The driver: what is decided before a start, and how feet answer to what is felt.
//!
//! A launch is a plan (revs, pedal, throttle, shifts) carried out by somebody who feels wheelspin and dying revs late and moves
//! their feet at a limited rate. Both answers are continuous: feedback loops with a lag, whose damping has a closed form
//! ([`Trim::damping_ratio`], [`ClutchFeel::recovery_s`]). `docs/model.md` writes them out.

use crate::elementary::{larger, smaller};

/// How the driver launches and shifts.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    /// Engine speed held before the start, rad/s.
    pub held_radps: f64,
    /// Time for the pedal from pressed to released, s.
    pub release_s: f64,
    /// Shape of that release.
    pub release_shape: ReleaseShape,
    /// Engine speed that the driver keeps with the pedal while the clutch slips in first gear, rad/s.
    pub kept_radps: f64,
    /// Time for the throttle from holding revs to wide open, or to the part throttle if there is one, s.
    pub throttle_ease_s: f64,
    /// A throttle short of wide open that is held first; without it the foot goes straight to the floor.
    pub part_throttle: Option<PartThrottle>,
    /// How long before the clutch bites the throttle begins to open, s; negative is after the bite.
    pub throttle_lead_s: f64,
    /// What the driver does about wheelspin.
    pub wheelspin: WheelspinResponse,
    /// How the driver keeps the revs with the pedal while the clutch slips; without it the pedal comes up regardless.
    pub clutch_feel: Option<ClutchFeel>,
    /// Engine speed at which the driver leaves each gear, rad/s, first gear first; the last is used for gears beyond.
    pub shift_at_radps: Vec<f64>,
    /// How late each shift begins after that speed is reached, s.
    pub shift_reaction_s: f64,
    /// Time that this driver's shifts take, over the time of the gearbox.
    pub shift_time_factor: f64,
    /// Whether the throttle is lifted in a shift.
    pub lifts_to_shift: bool,
}

/// A throttle that is held while first gear would overcome the tyres, and how it is left: a foot that feeds in what they take.
///
/// After a shift the foot goes to as much more as the gear gives less, so that the wheels get the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartThrottle {
    /// Throttle that is held in first gear, 0 (closed) to 1 (wide open).
    pub held: f64,
    /// Road speed at which it begins to open further, m/s.
    pub until_mps: f64,
    /// Time from there to wide open, s.
    pub open_s: f64,
}

/// Shape of a clutch release: pedal position against time, both from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReleaseShape {
    /// At one rate.
    Straight,
    /// To the bite point in the first fifth of the time, then at one rate.
    QuickToBite,
}

/// What the driver does about wheelspin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WheelspinResponse {
    /// Keeps the foot down.
    None,
    /// Trims the throttle by what is felt, as a person does.
    Trimmed(Trim),
    /// Gives the wheels what the tyres carry near their peak, without delay: with the pedal while the clutch slips, with the
    /// throttle from then on. Nobody does; it shows what is left.
    Ideal,
}

/// How a person trims the throttle: in proportion to the slip that is felt beyond a target.
///
/// Felt slip follows the true one with a first-order lag, which stands for reaction time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trim {
    /// Lag of felt slip behind true slip, s.
    pub lag_s: f64,
    /// Slip that the driver lets be, relative to road speed (with a floor of some walking paces).
    pub target_slip: f64,
    /// Fraction of the throttle taken back per unit of slip beyond the target, at first.
    pub gain: f64,
    /// Fastest movement of the foot, full strokes per second.
    pub foot_per_s: f64,
}

/// How a person keeps the engine turning by the pedal while the clutch slips.
///
/// The pedal is let up as far as the engine's torque allows, and further or less far in proportion to felt revs over those to be kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClutchFeel {
    /// Lag of felt revs behind true revs, s.
    pub lag_s: f64,
    /// Damping ratio with which the driver brings the revs back: how steady the foot is.
    pub damping_ratio: f64,
    /// Fastest movement of the foot, full strokes per second.
    pub foot_per_s: f64,
}

/// Road speed under which slip is felt as a speed rather than a ratio, m/s.
const WALKING_MPS: f64 = 4.0;
/// However much the tyres spin, the foot leaves this much of the throttle.
const LEAST_TRIM: f64 = 0.1;
/// The driver adds all of the throttle once felt revs are under those to be kept by this fraction of them.
const DYING_FRACTION: f64 = 0.3;
/// Furthest that the foot dips beyond the bite point, as a fraction of the working band.
const DEEPEST_DIP: f64 = 0.3;

impl Trim {
    /// Fraction of the throttle that is left at a felt slip: one up to the target, then falling with slope `gain`, ever more gently, to
    /// a tenth.
    #[inline(always)]
    #[must_use]
    pub fn left(&self, felt_slip: f64) -> f64 {
        let excess = felt_slip - self.target_slip;
        if excess <= 0.0 {
            return 1.0;
        }
        let open = larger(1.0 - excess * self.gain * (0.5 / (1.0 - LEAST_TRIM)), 0.0);
        LEAST_TRIM + (1.0 - LEAST_TRIM) * open * open
    }

    /// Damping ratio of the linearised loop of slip, felt slip and throttle just beyond the target, for wheels whose slip gains
    /// `slip_per_s` a second per unit of throttle and tyres whose force does not change with slip: `1/(2 √(gain · slip_per_s · lag))`.
    #[must_use]
    pub fn damping_ratio(&self, slip_per_s: f64) -> f64 {
        0.5 / (self.gain * slip_per_s * self.lag_s).sqrt()
    }
}

impl ClutchFeel {
    /// Time in which the driver means to bring revs back, s: `4 ζ² lag`, which gives the loop of revs, felt revs and clutch torque the
    /// damping ratio `ζ`. The foot's own lag, about two thirds of the time that it takes to cross the working band, counts as felt lag.
    #[must_use]
    pub fn recovery_s(&self, working_band: f64) -> f64 {
        let foot_s = working_band / (1.5 * self.foot_per_s);
        4.0 * self.damping_ratio * self.damping_ratio * (self.lag_s + foot_s)
    }

    /// Rate of the pedal, full strokes per second, for an allowed and a present clutch torque as fractions of full clamp.
    #[inline(always)]
    pub(crate) fn pedal_per_s(&self, allowed: f64, present: f64, release_per_s: f64) -> f64 {
        let asked = self.foot_per_s * (larger(allowed, -DEEPEST_DIP) - present);
        larger(smaller(asked, release_per_s), -self.foot_per_s)
    }
}

/// Slip that a driver would feel if they felt at once: of the tread over the road, relative to road speed.
#[inline(always)]
pub(crate) fn felt_slip(slip_mps: f64, speed_mps: f64) -> f64 {
    slip_mps / (speed_mps * speed_mps + WALKING_MPS * WALKING_MPS).sqrt()
}

/// How much of a trimmed throttle dying revs give back, 0 to 1: who feels the engine die adds throttle, whatever the tyres do.
#[inline(always)]
pub(crate) fn dying(felt_radps: f64, kept_radps: f64) -> f64 {
    let missing = (kept_radps - felt_radps) * (1.0 / DYING_FRACTION);
    if missing <= 0.0 { 0.0 } else { smaller(missing / kept_radps, 1.0) }
}

impl ReleaseShape {
    /// Time from the pedal's first movement until it is at `bite_point`, in units of the release time.
    #[must_use]
    pub fn time_to_bite(self, bite_point: f64) -> f64 {
        match self {
            Self::Straight => bite_point,
            Self::QuickToBite => 0.2,
        }
    }

    /// Fraction of the release time at which a pedal that nothing holds back is at `position` (0 to 1).
    #[must_use]
    pub fn share_at(self, position: f64, bite_point: f64) -> f64 {
        let to_bite = self.time_to_bite(bite_point);
        if position <= bite_point {
            to_bite * position / bite_point
        } else {
            to_bite + (1.0 - to_bite) * (position - bite_point) / (1.0 - bite_point)
        }
    }

    /// Time from there until it is up, in the same units.
    #[must_use]
    pub fn time_from_bite(self, bite_point: f64) -> f64 {
        1.0 - self.time_to_bite(bite_point)
    }
}

impl Driver {
    /// Engine speed at which gear `index` (0 is first) is left, rad/s.
    #[must_use]
    pub fn shift_radps(&self, index: usize) -> f64 {
        self.shift_at_radps.get(index).or(self.shift_at_radps.last()).copied().unwrap_or(f64::INFINITY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trimmed_throttle_falls_from_the_target_with_its_gain_and_never_to_nothing() {
        let trim = Trim { lag_s: 0.2, target_slip: 0.15, gain: 1.2, foot_per_s: 4.0 };
        assert_eq!(trim.left(0.15), 1.0);
        assert!(((1.0 - trim.left(0.15 + 1e-6)) / 1e-6 - 1.2).abs() < 1e-4);
        assert_eq!(trim.left(100.0), 0.1);
    }

    #[test]
    fn a_pedal_is_at_the_bite_when_its_shape_says_and_up_at_the_end() {
        for shape in [ReleaseShape::Straight, ReleaseShape::QuickToBite] {
            assert!((shape.share_at(0.35, 0.35) - shape.time_to_bite(0.35)).abs() < 1e-15);
            assert_eq!(shape.share_at(1.0, 0.35), 1.0);
            assert!(
                (0..100)
                    .all(|i| shape.share_at(0.01 * f64::from(i), 0.35) < shape.share_at(0.01 * f64::from(i + 1), 0.35))
            );
        }
    }

    #[test]
    fn dying_revs_give_back_the_throttle_by_degrees() {
        assert_eq!(dying(300.0, 300.0), 0.0);
        assert!((dying(300.0 - 45.0, 300.0) - 0.5).abs() < 1e-12);
        assert_eq!(dying(100.0, 300.0), 1.0);
    }
}
