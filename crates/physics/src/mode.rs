//! What does not change within a step: gear, clutch state, pedal and throttle programs, cuts, the driver's attention.

use crate::driver::{Driver, ReleaseShape, WheelspinResponse};
use crate::elementary::smaller;

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

/// The driver's attention to wheelspin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Grip {
    /// Nothing noticed.
    Calm,
    /// Noticed, the foot answers at this time.
    Noticed(f64),
    /// Lifted until the slip has gone; at `again_s` the foot lifts again if the slip speed is not less than it was.
    Lifted { again_s: f64, slip_mps: f64 },
}

/// A pedal position against time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PedalProgram {
    pub from_s: f64,
    pub duration_s: f64,
    pub from: f64,
    pub to: f64,
    pub shape: ReleaseShape,
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
    pub pedal: PedalProgram,
    pub throttle: Ramp,
    /// Whether the foot holds a part throttle, to be left at its road speed.
    pub part_throttle: bool,
    /// What wheelspin leaves of the throttle.
    pub grip_throttle: Ramp,
    pub grip: Grip,
    pub shift: ShiftPhase,
    pub fuel_cut: bool,
    /// Whether the launch limiter is at work in place of the other.
    pub launch_limited: bool,
}

impl PedalProgram {
    /// Pedal position at `time_s`.
    #[inline]
    pub(crate) fn at(&self, time_s: f64, bite_point: f64) -> f64 {
        if time_s <= self.from_s {
            return self.from;
        }
        if time_s >= self.from_s + self.duration_s {
            return self.to;
        }
        let share = self.shape.pedal((time_s - self.from_s) / self.duration_s, bite_point);
        self.from + (self.to - self.from) * share
    }

    /// When the pedal passes `position`; the program's end if it does not.
    pub(crate) fn passes(&self, position: f64, bite_point: f64) -> f64 {
        let share = (position - self.from) / (self.to - self.from);
        if !(0.0..=1.0).contains(&share) {
            return self.from_s + self.duration_s;
        }
        self.from_s + self.duration_s * self.shape.share_at(share, bite_point)
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
    /// The throttle that the driver's foot asks for at `time_s`.
    #[inline]
    pub(crate) fn throttle_asked(&self, time_s: f64) -> f64 {
        smaller(self.throttle.at(time_s), self.grip_throttle.at(time_s))
    }

    /// Puts a foot that takes no time where it goes, once its time has come. Until then [`Ramp::at`] has it where it was, so that a step which
    /// ends there does not see it jump.
    pub(crate) fn land_feet(&mut self, time_s: f64) {
        for foot in [&mut self.throttle, &mut self.grip_throttle] {
            if foot.duration_s == 0.0 && time_s >= foot.from_s {
                *foot = Ramp::still(foot.to);
            }
        }
    }

    /// Whether the driver is at work on a shift.
    pub(crate) fn shifting(&self) -> bool {
        !matches!(self.shift, ShiftPhase::Driving | ShiftPhase::Late(_))
    }

    /// The next time after `time_s` at which a program has a corner or a phase ends.
    pub(crate) fn next_corner(&self, time_s: f64, pedal_corners: [f64; 2]) -> f64 {
        let phase = match self.shift {
            ShiftPhase::Late(t) | ShiftPhase::ClutchOut(t) | ShiftPhase::Neutral(t) | ShiftPhase::ClutchIn(t) => t,
            _ => f64::INFINITY,
        };
        let grip = match self.grip {
            Grip::Noticed(t) | Grip::Lifted { again_s: t, .. } => t,
            Grip::Calm => f64::INFINITY,
        };
        let ramp = |r: &Ramp| [r.from_s, r.from_s + r.duration_s];
        let pedal = [self.pedal.from_s, self.pedal.from_s + self.pedal.duration_s];
        let mut next = f64::INFINITY;
        for t in [phase, grip]
            .into_iter()
            .chain(pedal)
            .chain(pedal_corners)
            .chain(ramp(&self.throttle))
            .chain(ramp(&self.grip_throttle))
        {
            // A corner a rounding error ahead has been reached.
            if t > time_s + 1e-9 && t < next {
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
    let pedal =
        PedalProgram { from_s: 0.0, duration_s: driver.release_s, from: 0.0, to: 1.0, shape: driver.release_shape };
    let opens_s = pedal.passes(bite_point, bite_point) - driver.floor_lead_s;
    let to = driver.part_throttle.map_or(1.0, |part| part.held);
    let throttle = Ramp { from_s: opens_s, duration_s: driver.throttle_ease_s, from: holding_throttle, to };
    let mode = Mode {
        held: true,
        gear: 0,
        mesh: Mesh::Engaged,
        coupling: Coupling::Slipping(1.0),
        pedal,
        throttle,
        part_throttle: driver.part_throttle.is_some(),
        grip_throttle: Ramp::still(1.0),
        grip: Grip::Calm,
        shift: ShiftPhase::Driving,
        fuel_cut: false,
        launch_limited,
    };
    (mode, opens_s.min(0.0))
}

/// Slip speed (tread over road, m/s) that the driver notices at a road speed, and that has gone; infinite if they never do.
#[inline]
pub(crate) fn noticed_slip_mps(response: &WheelspinResponse, speed_mps: f64) -> (f64, f64) {
    match *response {
        WheelspinResponse::Delayed { notice_slip, .. } => {
            // Under walking pace nobody feels a slip ratio; the tread has to run away by a speed.
            let noticed = notice_slip * speed_mps.max(3.0);
            (noticed, 0.5 * noticed)
        }
        WheelspinResponse::None | WheelspinResponse::Ideal => (f64::INFINITY, f64::INFINITY),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_foot_that_takes_no_time_is_where_it_was_until_it_lands() {
        let driver = Driver {
            held_radps: 300.0,
            release_s: 0.5,
            release_shape: ReleaseShape::Straight,
            throttle_ease_s: 0.0,
            floor_lead_s: -0.1,
            part_throttle: None,
            wheelspin: WheelspinResponse::None,
            shift_at_radps: vec![600.0],
            shift_reaction_s: 0.0,
            lifts_to_shift: true,
        };
        let (mut mode, start_s) = before_launch(&driver, 0.4, 0.2, false);
        let opens_s = mode.throttle.from_s;
        assert!(start_s == 0.0 && opens_s > 0.2, "{start_s} {opens_s}");
        mode.land_feet(start_s);
        assert_eq!(mode.throttle_asked(opens_s), 0.2);
        mode.land_feet(opens_s);
        assert_eq!(mode.throttle_asked(opens_s), 1.0);
        // The start that begins with the throttle begins with it open.
        let (mut mode, start_s) = before_launch(&Driver { floor_lead_s: 1.0, ..driver }, 0.4, 0.2, false);
        assert!(start_s < 0.0 && mode.throttle_asked(start_s) == 0.2);
        mode.land_feet(start_s);
        assert_eq!(mode.throttle_asked(start_s), 1.0);
    }
}
