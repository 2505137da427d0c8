//! What does not change within a step: gear, clutch state, how the pedal moves, the throttle program, cuts.

use crate::driver::Driver;

/// Corners this close ahead count as reached, s.
pub(crate) const CORNER_WIDTH_S: f64 = 1e-9;

/// State of the clutch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Coupling {
    /// Slips; the sign is +1 while the engine turns faster than the gearbox input.
    Slipping(f64),
    /// Both sides turn as one.
    Locked,
}

/// State of the gearbox.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Mesh {
    /// The gear is engaged.
    Engaged,
    /// Between gears.
    Neutral,
    /// The synchroniser of the gear to come drags the input to speed with this torque, N·m at the input.
    Synchronising(f64),
}

/// Progress of a shift. Times are when the phase ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum ShiftPhase {
    /// No shift.
    Driving,
    /// The time has come, the driver has not reacted yet.
    Late(f64),
    /// Clutch going out.
    ClutchOut(f64),
    /// Lever in neutral.
    Neutral(f64),
    /// Synchroniser at work, ended by speeds that match.
    Synchronising,
    /// Clutch coming in, ended by time.
    ClutchIn(f64),
    /// Pedal out, clutch still slipping.
    Settling,
}

/// Where the pedal is on its way up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PedalStage {
    /// Pressed, before the launch.
    Waiting,
    /// On its way to the bite point in the launch.
    ToBite,
    /// From the bite point up in the launch; by feel, if the driver has any.
    Releasing,
    /// Any other movement, or none.
    Shifting,
}

/// How the clutch pedal moves: at one rate until it is somewhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PedalMove {
    pub stage: PedalStage,
    /// Rate, 1/s; the most that it comes up, while the driver moves it by feel.
    pub per_s: f64,
    /// When it is there; infinite while the driver moves it by feel.
    pub until_s: f64,
    /// Where it goes.
    pub to: f64,
}

/// A straight change of throttle against time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ramp {
    pub from_s: f64,
    pub duration_s: f64,
    pub from: f64,
    pub to: f64,
}

/// Everything that stays as it is between two switches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mode {
    /// The car stands on its brakes (or on its rolling resistance).
    pub held: bool,
    /// Gear that is engaged, or to come while between gears; 0 is first.
    pub gear: usize,
    pub mesh: Mesh,
    pub coupling: Coupling,
    pub pedal: PedalMove,
    /// The throttle that the driver means to give, before what is felt.
    pub throttle: Ramp,
    /// Whether the foot holds a part throttle, to be left at its road speed.
    pub part_throttle: bool,
    pub shift: ShiftPhase,
    pub fuel_cut: bool,
    /// Whether the launch limiter is at work in place of the other.
    pub launch_limited: bool,
}

impl PedalMove {
    /// Whether the driver moves it by feel.
    pub(crate) fn by_feel(&self) -> bool {
        self.stage == PedalStage::Releasing && self.until_s == f64::INFINITY
    }

    /// A pedal that stays.
    pub(crate) fn still(at: f64) -> Self {
        Self { stage: PedalStage::Shifting, per_s: 0.0, until_s: f64::INFINITY, to: at }
    }

    /// From `from` at `time_s` to `to` within `duration_s`, in a shift.
    pub(crate) fn shift(time_s: f64, duration_s: f64, from: f64, to: f64) -> Self {
        Self { stage: PedalStage::Shifting, per_s: (to - from) / duration_s, until_s: time_s + duration_s, to }
    }

    /// What follows a movement of the launch once it has arrived.
    pub(crate) fn next(&self, driver: &Driver, bite_point: f64) -> Self {
        let shape = driver.release_shape;
        // A movement that takes no time is a jump, made where the next one begins.
        let rate = |way: f64, duration_s: f64| if duration_s > 0.0 { way / duration_s } else { 0.0 };
        match self.stage {
            PedalStage::Waiting => {
                let duration_s = driver.release_s * shape.time_to_bite(bite_point);
                let per_s = rate(bite_point, duration_s);
                Self { stage: PedalStage::ToBite, per_s, until_s: self.until_s + duration_s, to: bite_point }
            }
            PedalStage::ToBite => {
                let duration_s = driver.release_s * shape.time_from_bite(bite_point);
                let per_s = rate(1.0 - bite_point, duration_s);
                // Nobody can steer a pedal that is up before it is felt: that is dropping the clutch.
                let by_feel = driver.clutch_feel.is_some_and(|feel| duration_s >= feel.lag_s);
                let until_s = if by_feel { f64::INFINITY } else { self.until_s + duration_s };
                Self { stage: PedalStage::Releasing, per_s, until_s, to: 1.0 }
            }
            PedalStage::Releasing | PedalStage::Shifting => Self::still(self.to),
        }
    }
}

impl Ramp {
    /// A throttle that stays.
    pub(crate) fn still(at: f64) -> Self {
        Self { from_s: f64::NEG_INFINITY, duration_s: 0.0, from: at, to: at }
    }

    /// Throttle at `time_s`.
    #[inline]
    pub(crate) fn at(&self, time_s: f64) -> f64 {
        if time_s <= self.from_s {
            self.from
        } else if time_s >= self.from_s + self.duration_s {
            self.to
        } else {
            self.from + (self.to - self.from) * (time_s - self.from_s) / self.duration_s
        }
    }
}

impl Mode {
    /// Puts a foot that takes no time where it goes, once its time has come. Until then [`Ramp::at`] has it where it was, so that a step which
    /// ends there does not see it jump.
    pub(crate) fn land_feet(&mut self, time_s: f64) {
        let foot = &mut self.throttle;
        if foot.duration_s == 0.0 && time_s >= foot.from_s {
            *foot = Ramp::still(foot.to);
        }
    }

    /// Whether the clutch has begun to bite in the launch.
    pub(crate) fn bitten(&self) -> bool {
        !matches!(self.pedal.stage, PedalStage::Waiting | PedalStage::ToBite)
    }

    /// Whether the foot is up, or on its way there, for a shift.
    pub(crate) fn lifted_to_shift(&self) -> bool {
        matches!(self.shift, ShiftPhase::ClutchOut(_) | ShiftPhase::Neutral(_) | ShiftPhase::Synchronising)
    }

    /// Whether the driver is at work on a shift.
    pub(crate) fn shifting(&self) -> bool {
        !matches!(self.shift, ShiftPhase::Driving | ShiftPhase::Late(_))
    }

    /// The next time after `time_s` at which a program has a corner or a phase ends.
    pub(crate) fn next_corner(&self, time_s: f64) -> f64 {
        let phase = match self.shift {
            ShiftPhase::Late(t) | ShiftPhase::ClutchOut(t) | ShiftPhase::Neutral(t) | ShiftPhase::ClutchIn(t) => t,
            _ => f64::INFINITY,
        };
        let throttle = [self.throttle.from_s, self.throttle.from_s + self.throttle.duration_s];
        let mut next = f64::INFINITY;
        for t in [phase, self.pedal.until_s].into_iter().chain(throttle) {
            // A corner a rounding error ahead has been reached.
            if t > time_s + CORNER_WIDTH_S && t < next {
                next = t;
            }
        }
        next
    }
}

/// The mode at the beginning of a run, and when that beginning is: the pedal begins to move at 0 s.
pub(crate) fn before_launch(
    driver: &Driver,
    bite_point: f64,
    holding_throttle: f64,
    launch_limited: bool,
) -> (Mode, f64) {
    let bite_s = driver.release_s * driver.release_shape.time_to_bite(bite_point);
    let opens_s = bite_s - driver.throttle_lead_s;
    let to = driver.part_throttle.map_or(1.0, |part| part.held);
    let throttle = Ramp { from_s: opens_s, duration_s: driver.throttle_ease_s, from: holding_throttle, to };
    let start_s = opens_s.min(0.0);
    let waiting = PedalMove { stage: PedalStage::Waiting, per_s: 0.0, until_s: 0.0, to: 0.0 };
    let mode = Mode {
        held: true,
        gear: 0,
        mesh: Mesh::Engaged,
        coupling: Coupling::Slipping(1.0),
        pedal: waiting,
        throttle,
        part_throttle: driver.part_throttle.is_some(),
        shift: ShiftPhase::Driving,
        fuel_cut: false,
        launch_limited,
    };
    (mode, start_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::driver::{ReleaseShape, WheelspinResponse};

    #[test]
    fn a_foot_that_takes_no_time_is_where_it_was_until_it_lands() {
        let driver = Driver {
            held_radps: 300.0,
            release_s: 0.5,
            release_shape: ReleaseShape::Straight,
            kept_radps: 200.0,
            throttle_ease_s: 0.0,
            throttle_lead_s: -0.1,
            part_throttle: None,
            wheelspin: WheelspinResponse::None,
            clutch_feel: None,
            shift_at_radps: vec![600.0],
            shift_reaction_s: 0.0,
            shift_time_factor: 1.0,
            lifts_to_shift: true,
        };
        let (mut mode, start_s) = before_launch(&driver, 0.4, 0.2, false);
        let opens_s = mode.throttle.from_s;
        assert!(start_s == 0.0 && opens_s > 0.2, "{start_s} {opens_s}");
        mode.land_feet(start_s);
        assert_eq!(mode.throttle.at(opens_s), 0.2);
        mode.land_feet(opens_s);
        assert_eq!(mode.throttle.at(opens_s), 1.0);
        // The start that begins with the throttle begins with it open.
        let (mut mode, start_s) = before_launch(&Driver { throttle_lead_s: 1.0, ..driver }, 0.4, 0.2, false);
        assert!(start_s < 0.0 && mode.throttle.at(start_s) == 0.2);
        mode.land_feet(start_s);
        assert_eq!(mode.throttle.at(start_s), 1.0);
    }
}
