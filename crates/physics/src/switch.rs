//! What changes at an event or when a time has come: clutch, limiter, shift, the driver's foot.

use crate::driver::WheelspinResponse;
use crate::events::Event;
use crate::gearbox::ShiftTiming;
use crate::mode::{CORNER_WIDTH_S, Coupling, Mesh, PedalMove, PedalStage, Ramp, ShiftPhase};
use crate::model::state::{AXLE, BOOST, DRIVELINE, ENGINE, INPUT, PEDAL, SPEED};
use crate::run::{Ending, Shift};
use crate::simulate::Simulation;

/// Time in which a foot goes down or up when nobody asks it to be gentle, s.
const FOOT_S: f64 = 0.08;

/// Least speed difference for which a synchroniser's torque is sized, as a share of the step between the two gears at this input
/// speed. It is sized for the difference of the moment; where wheelspin or a swinging shaft has all but closed that, the little
/// torque left would never catch a car that slows down.
const LEAST_GAP_SHARE: f64 = 0.25;

impl<const N: usize> Simulation<'_, N> {
    /// Deals with an event at the state where the step now begins. Something ends the run.
    pub(crate) fn switch(&mut self, event: Event) -> Option<Ending> {
        let time_s = self.step.time_s;
        let mode = &mut self.model.mode;
        match event {
            Event::Moves => {
                mode.held = false;
                self.moved_s.get_or_insert(time_s);
            }
            Event::Stops => return self.stop(),
            Event::Clutch => self.switch_clutch(),
            Event::Limiter => {
                mode.fuel_cut = !mode.fuel_cut;
                // Revs held against the launch limiter are no time on the limiter of a gear.
                if mode.fuel_cut {
                    self.cut_since_s = (!mode.launch_limited).then_some(time_s);
                    self.shift_from_limiter();
                } else {
                    self.book_limiter();
                }
            }
            Event::Stall => return Some(Ending::Stalled),
            Event::ShiftPoint => {
                let reaction_s = self.model.scenario.driver.shift_reaction_s;
                self.model.mode.shift = ShiftPhase::Late(time_s + reaction_s);
                if reaction_s == 0.0 {
                    self.begin_shift();
                }
            }
            Event::Synchronised => self.engage(),
            Event::PedalUp => self.pedal_is_up(),
            Event::ThrottleOpens => self.open_throttle(),
            Event::LaunchLimiterEnds => {
                mode.launch_limited = false;
                // The cut of the lower limiter ends with it.
                mode.fuel_cut = false;
                self.book_limiter();
            }
            Event::Finish => return Some(Ending::Finished),
        }
        None
    }

    /// Deals with whatever is due now, or a rounding error ahead: an event that is located there makes no step to it any more.
    pub(crate) fn turn_corner(&mut self) {
        let time_s = self.step.time_s;
        let due = |t: f64| t <= time_s + CORNER_WIDTH_S;
        self.move_pedal();
        match self.model.mode.shift {
            ShiftPhase::Late(t) if due(t) => self.begin_shift(),
            ShiftPhase::ClutchOut(t) if due(t) => self.leave_gear(),
            ShiftPhase::Neutral(t) if due(t) => self.synchronise(),
            ShiftPhase::ClutchIn(t) if due(t) => {
                let locked = self.model.mode.coupling == Coupling::Locked;
                self.model.mode.shift = if locked { ShiftPhase::Driving } else { ShiftPhase::Settling };
            }
            _ => {}
        }
        self.model.mode.land_feet(time_s);
    }

    /// Takes note that the pedal is where it went, and sends it on; movements that take no time are made at once.
    pub(crate) fn move_pedal(&mut self) {
        let driver = &self.model.scenario.driver;
        let bite_point = self.model.vehicle.clutch.bite_point;
        loop {
            let pedal = self.model.mode.pedal;
            if self.step.time_s + CORNER_WIDTH_S < pedal.until_s {
                return;
            }
            self.step.from[PEDAL] = pedal.to;
            self.model.mode.pedal = pedal.next(driver, bite_point);
            if pedal.stage == PedalStage::ToBite {
                self.launch_bite_s = self.step.time_s;
                self.bite = Some((self.step.from[ENGINE], self.step.from[BOOST]));
            }
        }
    }

    /// The foot is off the pedal: from here on it can't catch an engine that dies.
    fn pedal_is_up(&mut self) {
        self.step.from[PEDAL] = 1.0;
        self.model.mode.pedal = PedalMove::still(1.0);
    }

    /// A car that comes to rest stays there if its rolling resistance can hold it.
    fn stop(&mut self) -> Option<Ending> {
        self.evaluate();
        let push_n = self.model.instant.net_n + self.model.instant.rolling_n;
        if push_n < -self.model.instant.rolling_n {
            return Some(Ending::RolledBack);
        }
        self.step.from[SPEED] = 0.0;
        self.model.mode.held = true;
        None
    }

    /// At zero slip the clutch locks if it can carry what is asked; locked, it slips if it can't.
    fn switch_clutch(&mut self) {
        let slipped = self.model.mode.coupling;
        if let Coupling::Slipping(sign) = slipped {
            if self.model.mode.mesh != Mesh::Engaged {
                self.model.mode.coupling = Coupling::Slipping(-sign);
                return;
            }
            self.step.from[ENGINE] = self.step.from[INPUT];
            self.model.mode.coupling = Coupling::Locked;
        }
        self.evaluate();
        let instant = &self.model.instant;
        if instant.clutch_nm.abs() > instant.clutch_capacity_nm {
            self.model.mode.coupling = Coupling::Slipping(instant.clutch_nm.signum());
        } else if slipped != Coupling::Locked {
            self.clutch_is_home();
        }
    }

    fn clutch_is_home(&mut self) {
        let (time_s, speed_mps) = (self.step.time_s, self.step.from[SPEED]);
        let mode = &mut self.model.mode;
        if matches!(mode.shift, ShiftPhase::ClutchIn(_) | ShiftPhase::Settling) {
            if let Some(shift) = self.shifts.last_mut() {
                shift.duration_s.get_or_insert(time_s - shift.time_s);
            }
            if mode.shift == ShiftPhase::Settling {
                mode.shift = ShiftPhase::Driving;
            }
        } else if mode.gear == 0 {
            // A clutch that slips again after it locked has not come home yet: the last time counts.
            self.clutch_home = Some((time_s, speed_mps));
        }
    }

    /// Time on the limiter counts for the gear in which it was spent.
    fn book_limiter(&mut self) {
        if let Some(since_s) = self.cut_since_s.take() {
            self.limiter_in_gear_s += self.step.time_s - since_s;
        }
    }

    /// A driver who waits for revs that the limiter does not allow shifts once it is heard, unless it is the tyres that spin.
    fn shift_from_limiter(&mut self) {
        let gears = self.model.vehicle.gearbox.gears.len();
        let trims = matches!(self.model.scenario.driver.wheelspin, WheelspinResponse::Trimmed(_));
        let spins = trims && self.model.short_of_flare(|n| self.step.from[n]) < 0.0;
        let mode = &mut self.model.mode;
        let can = mode.shift == ShiftPhase::Driving && mode.gear + 1 < gears && !mode.launch_limited && !spins;
        if can && mode.coupling == Coupling::Locked {
            mode.shift = ShiftPhase::Late(self.step.time_s + self.model.scenario.driver.shift_reaction_s.max(FOOT_S));
        }
    }

    /// How long the parts of a shift take this driver.
    fn shift_timing(&self) -> ShiftTiming {
        self.model.vehicle.gearbox.shift.by(self.model.scenario.driver.shift_time_factor)
    }

    fn begin_shift(&mut self) {
        let time_s = self.step.time_s;
        let timing = self.shift_timing();
        if self.model.mode.fuel_cut {
            self.book_limiter();
            self.cut_since_s = Some(time_s);
        }
        self.shifts.push(Shift {
            from_gear: self.model.mode.gear as u8 + 1,
            time_s,
            engine_radps: self.step.from[ENGINE],
            speed_mps: self.step.from[SPEED],
            duration_s: None,
            on_limiter_s: core::mem::take(&mut self.limiter_in_gear_s),
        });
        let mode = &mut self.model.mode;
        mode.pedal = PedalMove::shift(time_s, timing.clutch_out_s, self.step.from[PEDAL], 0.0);
        if self.model.scenario.driver.lifts_to_shift {
            let from = mode.throttle.at(time_s);
            mode.throttle = Ramp { from_s: time_s, duration_s: FOOT_S.min(timing.clutch_out_s), from, to: 0.0 };
        }
        mode.shift = ShiftPhase::ClutchOut(time_s + timing.clutch_out_s);
    }

    fn leave_gear(&mut self) {
        let timing = self.shift_timing();
        let coasting = self.model.instant.engine_nm < 0.0;
        let mode = &mut self.model.mode;
        mode.mesh = Mesh::Neutral;
        if mode.coupling == Coupling::Locked {
            mode.coupling = Coupling::Slipping(if coasting { -1.0 } else { 1.0 });
        }
        mode.shift = ShiftPhase::Neutral(self.step.time_s + 0.5 * timing.change_s);
    }

    fn synchronise(&mut self) {
        let change_s = self.shift_timing().change_s;
        let gearbox = &self.model.vehicle.gearbox;
        let old = self.model.input_inertia(self.model.mode.gear);
        let new = self.model.input_inertia(self.model.mode.gear + 1);
        let ratio = gearbox.overall_ratio(self.model.mode.gear + 1);
        let step = 1.0 - ratio / gearbox.overall_ratio(self.model.mode.gear);
        let y = &mut self.step.from;
        // Other gears turn with the input from here on: what they take up or give is lost or won in the synchroniser.
        y[DRIVELINE] += 0.5 * (old - new) * y[INPUT] * y[INPUT];
        let gap_radps = y[INPUT] - ratio * y[AXLE];
        let least_radps = LEAST_GAP_SHARE * (step * y[INPUT]).abs();
        let torque = new * gap_radps.abs().max(least_radps).copysign(gap_radps) / (0.5 * change_s);
        let mode = &mut self.model.mode;
        mode.gear += 1;
        mode.mesh = Mesh::Synchronising(torque);
        mode.shift = ShiftPhase::Synchronising;
        if gap_radps.abs() < 1e-9 {
            self.engage();
        }
    }

    fn engage(&mut self) {
        let time_s = self.step.time_s;
        let duration_s = self.shift_timing().clutch_in_s;
        let vehicle = self.model.vehicle;
        let y = &mut self.step.from;
        let mode = &mut self.model.mode;
        y[INPUT] = vehicle.gearbox.overall_ratio(mode.gear) * y[AXLE];
        mode.mesh = Mesh::Engaged;
        mode.coupling = Coupling::Slipping(if y[ENGINE] >= y[INPUT] { 1.0 } else { -1.0 });
        mode.pedal = PedalMove::shift(time_s, duration_s, 0.0, 1.0);
        let to = match self.model.scenario.driver.part_throttle {
            Some(part) if mode.part_throttle => {
                let given_less = vehicle.gearbox.overall_ratio(0) / vehicle.gearbox.overall_ratio(mode.gear);
                (part.held * given_less).min(1.0)
            }
            _ => 1.0,
        };
        mode.throttle = Ramp { from_s: time_s, duration_s, from: mode.throttle.at(time_s), to };
        mode.shift = ShiftPhase::ClutchIn(time_s + duration_s);
    }

    /// From the part throttle to wide open; a foot that is up for a shift goes there after it.
    fn open_throttle(&mut self) {
        let time_s = self.step.time_s;
        let driver = &self.model.scenario.driver;
        let open_s = driver.part_throttle.map_or(0.0, |part| part.open_s);
        let lifts = driver.lifts_to_shift;
        let mode = &mut self.model.mode;
        mode.part_throttle = false;
        if !(mode.lifted_to_shift() && lifts) {
            mode.throttle = Ramp { from_s: time_s, duration_s: open_s, from: mode.throttle.at(time_s), to: 1.0 };
        }
    }

    /// Speed of the fastest driven tread over the road, m/s.
    pub(crate) fn slip_mps(&self) -> f64 {
        let y = |n: usize| self.step.from[n];
        self.model.tread_mps(y) - y(SPEED)
    }
}
