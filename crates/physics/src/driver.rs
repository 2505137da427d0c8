//! The driver: held revs, pedal and throttle against time, answer to wheelspin, shift points.

/// How the driver launches and shifts.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    /// Engine speed held before the start, rad/s.
    pub held_radps: f64,
    /// Time for the pedal from pressed to released, s.
    pub release_s: f64,
    /// Shape of that release.
    pub release_shape: ReleaseShape,
    /// Time for the throttle from holding revs to wide open, or to the part throttle if there is one, s.
    pub throttle_ease_s: f64,
    /// A throttle short of wide open that is held first; without it the foot goes straight to the floor.
    pub part_throttle: Option<PartThrottle>,
    /// How long before the clutch bites the throttle begins to open, s: boost builds under that load.
    pub floor_lead_s: f64,
    /// What the driver does about wheelspin.
    pub wheelspin: WheelspinResponse,
    /// Engine speed at which the driver leaves each gear, rad/s, first gear first; the last is used for gears beyond.
    pub shift_at_radps: Vec<f64>,
    /// How late each shift begins after that speed is reached, s.
    pub shift_reaction_s: f64,
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
    /// Slow at both ends.
    SShaped,
    /// To the bite point in the first fifth of the time, then at one rate.
    QuickToBite,
}

/// What the driver does about wheelspin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WheelspinResponse {
    /// Keeps the foot down.
    None,
    /// Notices slip, lifts after a reaction time, lifts again while that does not make it less, and eases back in once it has
    /// gone. While slip is noticed this driver does not shift: the engine's speed is not the road's.
    Delayed {
        /// Time from the slip that is noticed to the foot's answer, s.
        reaction_s: f64,
        /// Slip ratio that is noticed.
        notice_slip: f64,
        /// Share of the throttle that each lift leaves.
        lift_to: f64,
        /// Time from lifted to wide open again, s.
        ease_back_s: f64,
    },
    /// Gives the wheels what the tyres carry near their peak, without delay: with the pedal while the clutch slips, with the
    /// throttle from then on. Nobody does; it shows what is left.
    Ideal,
}

impl ReleaseShape {
    /// Pedal position at `share` (0 to 1) of the release time, for a clutch that bites at `bite_point`.
    #[inline]
    #[must_use]
    pub fn pedal(self, share: f64, bite_point: f64) -> f64 {
        let s = share.clamp(0.0, 1.0);
        match self {
            Self::Straight => s,
            Self::SShaped => s * s * (3.0 - 2.0 * s),
            Self::QuickToBite if s < 0.2 => 5.0 * s * bite_point,
            Self::QuickToBite => bite_point + (1.0 - bite_point) * (s - 0.2) / 0.8,
        }
    }
}

impl ReleaseShape {
    /// Share of the release time at which the pedal reaches `position` (0 to 1): the inverse of [`ReleaseShape::pedal`].
    #[must_use]
    pub fn share_at(self, position: f64, bite_point: f64) -> f64 {
        let p = position.clamp(0.0, 1.0);
        match self {
            Self::Straight => p,
            // The middle root of 3s² - 2s³ = p, by the trigonometric solution of the cubic.
            Self::SShaped => 0.5 - libm::sin(libm::asin(1.0 - 2.0 * p) / 3.0),
            Self::QuickToBite if p <= bite_point => 0.2 * p / bite_point,
            Self::QuickToBite => 0.2 + 0.8 * (p - bite_point) / (1.0 - bite_point),
        }
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
    fn every_release_runs_from_pressed_to_released_without_going_back() {
        for shape in [ReleaseShape::Straight, ReleaseShape::SShaped, ReleaseShape::QuickToBite] {
            assert_eq!(shape.pedal(0.0, 0.35), 0.0);
            assert_eq!(shape.pedal(1.0, 0.35), 1.0);
            let steps: Vec<f64> = (0..=100).map(|i| shape.pedal(f64::from(i) / 100.0, 0.35)).collect();
            assert!(steps.windows(2).all(|w| w[1] >= w[0]), "{shape:?}");
        }
        assert!((ReleaseShape::QuickToBite.pedal(0.2, 0.35) - 0.35).abs() < 1e-12);
    }

    #[test]
    fn the_share_of_a_position_is_where_the_pedal_is_there() {
        for shape in [ReleaseShape::Straight, ReleaseShape::SShaped, ReleaseShape::QuickToBite] {
            for i in 0..=100 {
                let position = f64::from(i) / 100.0;
                let there = shape.pedal(shape.share_at(position, 0.35), 0.35);
                assert!((there - position).abs() < 1e-12, "{shape:?}: {there} for {position}");
            }
        }
    }
}
