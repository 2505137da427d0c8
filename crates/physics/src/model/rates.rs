//! One evaluation of the rates.

use super::divide::Divided;
use super::state::{
    self, AERO, AXLE, BOOST, CLUTCH, DISTANCE, DRIVELINE, ENGINE, ENGINE_WORK, FACE, FELT_REVS, FELT_SLIP, INPUT, MASS,
    PEDAL, ROLLING, SPEED, THROTTLE, TRANSFER, TRANSFER_RATE, TWIST, TYRE_SLIP, WHEELS,
};
use super::{CARCASS_DAMPING_S, Instant, Model};
use crate::constants::angle;
use crate::driver::{WheelspinResponse, dying, felt_slip};
use crate::elementary::{larger, smaller};
use crate::integrator::System;
use crate::mode::{Coupling, Mesh};
use crate::road::GRAVITY_MPS2;

impl<const N: usize> Model<'_, N> {
    /// Makes rates (or their solutions) of outputs that are locked together equal, weighted by inertia.
    #[inline(always)]
    fn tie_locked(&self, r: &mut [f64; N]) {
        if Self::UNITS > 1 && self.any_locked {
            self.tie_outputs(r);
        }
    }

    fn tie_outputs(&self, r: &mut [f64; N]) {
        let mean = |r: &mut [f64; N], members: core::ops::Range<usize>| {
            let (mut moment, mut inertia) = (0.0, 0.0);
            for u in members.clone() {
                moment += self.units[u].inertia_kgm2 * r[WHEELS + 2 * u];
                inertia += self.units[u].inertia_kgm2;
            }
            for u in members {
                r[WHEELS + 2 * u] = moment / inertia;
            }
        };
        let [centre_locked, axles_locked @ ..] = self.stiff.locked;
        for (pair, locked) in self.pairs.into_iter().zip(axles_locked) {
            if let (Some(first), true) = (pair, locked) {
                mean(r, first..first + 2);
            }
        }
        if centre_locked {
            // With open axle differentials a locked centre ties the axles' means; sides keep their difference.
            let front = self.axle_mean(r, false);
            let rear = self.axle_mean(r, true);
            let inertia = |rear: bool| -> f64 {
                self.units[..Self::UNITS].iter().filter(|u| u.rear == rear).map(|u| u.inertia_kgm2).sum()
            };
            let (jf, jr) = (inertia(false), inertia(true));
            let common = (jf * front + jr * rear) / (jf + jr);
            for u in 0..Self::UNITS {
                r[WHEELS + 2 * u] += common - if self.units[u].rear { rear } else { front };
            }
        }
    }

    /// Mean over an axle's wheels of a wheel-speed-like component.
    #[inline]
    fn axle_mean(&self, y: &[f64; N], rear: bool) -> f64 {
        let mut sum = 0.0;
        for u in 0..Self::UNITS {
            if self.units[u].rear == rear {
                sum += self.units[u].axle_share * y[WHEELS + 2 * u];
            }
        }
        sum
    }

    /// Speed of the wheels as the final drive sees it.
    #[inline]
    pub(super) fn output_speed(&self, y: &[f64; N]) -> f64 {
        let mut sum = 0.0;
        for u in 0..Self::UNITS {
            sum += self.stiff.unit[u].share * y[WHEELS + 2 * u];
        }
        sum
    }

    /// Whether the driver looks after the revs at the moment: in first gear, until it is left.
    #[inline(always)]
    fn keeps_revs(&self) -> bool {
        self.mode.gear == 0 && self.scenario.driver.clutch_feel.is_some() && !self.mode.shifting() && self.mode.bitten()
    }

    /// One evaluation. With `NOTES` it also notes what the matrix, the events and the record want to know of it.
    #[allow(clippy::too_many_lines, reason = "one evaluation, part by part")]
    #[inline(always)]
    fn evaluate<const NOTES: bool>(&mut self, time_s: f64, y: &[f64; N], dy: &mut [f64; N]) {
        self.evaluations += 1;
        let v = self.vehicle;
        let mode = &self.mode;
        let constants = &self.constants;
        let (engine, clutch, chassis) = (&v.engine, &v.clutch, &v.chassis);
        let speed = y[SPEED];

        // Loads.
        let wind = speed + self.scenario.headwind_mps;
        let dynamic_pressure = self.half_density * (wind * wind);
        let (sine, cosine) = constants.slope.unwrap_or_else(|| angle(&self.scenario.slope, y[DISTANCE]));
        let (front_load_n, rear_load_n) = chassis.axle_loads(y[TRANSFER], dynamic_pressure, cosine);

        // Shafts.
        let (twist, touch) = v.driveline.engaged_twist(y[TWIST]);
        let twist_rate = y[AXLE] - self.output_speed(y);
        let damping = v.driveline.damping_nm_s_per_rad * touch;
        let shaft_nm = v.driveline.stiffness_nm_per_rad * twist + damping * twist_rate;
        dy[TWIST] = twist_rate;

        // Tyres come before the engine, though torque flows the other way: nothing else takes as long from end to end, and begun first they
        // run beside all of it.
        let divided = if Self::UNITS > 2 { Some(self.divide(y, shaft_nm)) } else { None };
        // The torque that rolls a solid axle is the propshaft's.
        let propshaft_nm = divided.as_ref().map_or(self.rear_share * shaft_nm, |d| d.axle_nm[1]);
        let reaction_n = propshaft_nm * constants.reaction_n_per_nm;
        let (mut drive_n, mut ceiling_n, mut tyre_slip_w, mut past_peak) = (0.0, 0.0, 0.0, false);
        let (mut peaks_n, mut shares) = ([0.0; 4], [0.0; 4]);
        let mut tread_mps = f64::NEG_INFINITY;
        for u in 0..Self::UNITS {
            let unit = &self.units[u];
            let (wheel, slip) = (y[WHEELS + 2 * u], y[WHEELS + 2 * u + 1]);
            let axle = usize::from(unit.rear);
            let axle_load = if unit.rear { rear_load_n } else { front_load_n };
            // Not for whole axles, which would wait for the shafts to no end.
            let reaction_n = if unit.rear && unit.side != 0.0 { unit.side * reaction_n } else { 0.0 };
            let load = 0.5 * axle_load + reaction_n;
            let wheel_mps = unit.radius_m * wheel;
            tread_mps = larger(tread_mps, wheel_mps);
            let rested = unit.tyre.at(load);
            let curve = rested.fallen(unit.tyre.fall(wheel_mps - speed));
            let per_relaxation = unit.per_relaxation(slip);
            let slip_rate = (wheel_mps - speed - speed.abs() * slip) * per_relaxation;
            let shape = &constants.shapes[axle];
            let felt_slip = slip + CARCASS_DAMPING_S * slip_rate;
            let share = if NOTES {
                let (share, slope) = curve.share_and_slope(shape, felt_slip);
                past_peak |= slope < 0.0;
                self.stiff.unit[u].force_slope_n = unit.tyres * slope;
                self.stiff.unit[u].slip = slip;
                self.stiff.unit[u].per_relaxation = per_relaxation;
                share
            } else {
                curve.share(shape, felt_slip)
            };
            let peak_n = unit.tyres * curve.d_n;
            let force_n = peak_n * share;
            dy[WHEELS + 2 * u + 1] = slip_rate;
            drive_n += force_n;
            ceiling_n += unit.tyres * rested.d_n;
            tyre_slip_w += force_n * (wheel_mps - speed);
            (peaks_n[u], shares[u]) = (peak_n, share);
        }

        // Pedal and foot.
        let by_feel = mode.pedal.by_feel();
        let (clamp, clamped_nm);
        if NOTES || by_feel || mode.coupling != Coupling::Locked {
            clamp = clutch.clamp_share(y[PEDAL]);
            clamped_nm = constants.clutch_nm * clutch.fade(y[FACE]);
        } else {
            // No rate depends on what a locked clutch could carry.
            (clamp, clamped_nm) = (0.0, 0.0);
        }
        let pedal_nm = clamped_nm * clamp;
        let [through_nm, asked_nm] = self.let_through_nm(y, pedal_nm, [front_load_n, rear_load_n]);
        let capacity_nm = smaller(pedal_nm, through_nm);

        // Engine.
        let driver = &self.scenario.driver;
        let (trimmed, foot_per_s) = match &driver.wheelspin {
            WheelspinResponse::Trimmed(trim) if !mode.lifted_to_shift() => (trim.left(y[FELT_SLIP]), trim.foot_per_s),
            WheelspinResponse::Trimmed(trim) => (trim.left(y[FELT_SLIP]), f64::INFINITY),
            WheelspinResponse::None | WheelspinResponse::Ideal => (1.0, f64::INFINITY),
        };
        let mut asked = mode.throttle.at(time_s) * trimmed;
        if self.keeps_revs() {
            asked += (1.0 - asked) * dying(y[FELT_REVS], driver.kept_radps);
        }
        let drag_nm = engine.motoring.drag_nm(y[ENGINE]);
        let full_load_nm = engine.full_load_near(y[ENGINE], y[BOOST], self.air_factor, &mut self.near);
        // Other drivers need not wait for the division.
        let foot = if asked_nm == f64::INFINITY {
            y[THROTTLE]
        } else {
            smaller(y[THROTTLE], (asked_nm + drag_nm) / (full_load_nm + drag_nm))
        };
        let open = larger(foot, engine.idle_throttle(y[ENGINE], y[BOOST], self.air_factor));
        let fuelled_nm = open * (full_load_nm + drag_nm) - drag_nm;
        let (throttle, engine_nm) = if mode.fuel_cut { (0.0, -drag_nm) } else { (open, fuelled_nm) };
        let foot_rate = (asked - y[THROTTLE]) * constants.per_throttle_lag;
        dy[THROTTLE] = larger(smaller(foot_rate, foot_per_s), -foot_per_s);
        dy[BOOST] = match &engine.boost {
            Some(b) => b.lag_radps(y[BOOST], throttle, y[ENGINE]) * constants.per_boost_lag_rad,
            None => 0.0,
        };
        dy[FELT_SLIP] = (felt_slip(tread_mps - speed, speed) - y[FELT_SLIP]) * constants.per_slip_lag;
        dy[FELT_REVS] = (y[ENGINE] - y[FELT_REVS]) * constants.per_revs_lag;
        dy[PEDAL] = match &driver.clutch_feel {
            Some(feel) if by_feel => {
                let surplus_nm = constants.recovery_nm_s * (y[FELT_REVS] - driver.kept_radps);
                // What the flywheel gives is held back while the wheels spin; what it needs is not.
                let mut allowed_nm = fuelled_nm + larger(surplus_nm * trimmed, smaller(surplus_nm, 0.0));
                if mode.coupling == Coupling::Locked {
                    // Nothing slips any more: let it all the way out, unless the engine dies.
                    allowed_nm += clamped_nm * (1.0 - dying(y[FELT_REVS], driver.kept_radps));
                }
                // Above the band and below the bite the clutch carries all or nothing; there the foot knows where it is.
                let beyond = clutch.beyond_band(y[PEDAL]);
                feel.pedal_per_s(allowed_nm / clamped_nm, clamp + beyond, mode.pedal.per_s)
            }
            _ => mode.pedal.per_s,
        };

        // Clutch and gearbox.
        let gear = &constants.gears[mode.gear];
        let ratio = gear.ratio;
        let slip_radps = y[ENGINE] - y[INPUT];
        let (clutch_nm, per_axle_inertia, gear_loss_w);
        match mode.mesh {
            Mesh::Engaged => {
                let (torque, locked) = match mode.coupling {
                    Coupling::Slipping(sign) => (sign * capacity_nm, 0),
                    Coupling::Locked => (engine_nm, 1),
                };
                let inertia = gear.inertia_kgm2[locked];
                // Losses take their share in the direction in which power flows.
                let axle_inertia = v.gearbox.final_drive.inertia_kgm2;
                let forwards = usize::from(torque * axle_inertia + inertia * ratio * shaft_nm >= 0.0);
                let passed = gear.passed[forwards];
                per_axle_inertia = gear.per_axle_inertia[locked][forwards];
                dy[AXLE] = (passed * ratio * torque - shaft_nm) * per_axle_inertia;
                dy[INPUT] = ratio * dy[AXLE];
                gear_loss_w = (1.0 - passed) * (torque - inertia * dy[INPUT]) * y[INPUT];
                match mode.coupling {
                    Coupling::Slipping(_) => {
                        clutch_nm = torque;
                        dy[ENGINE] = (engine_nm - clutch_nm) * constants.per_engine_inertia;
                    }
                    Coupling::Locked => {
                        dy[ENGINE] = dy[INPUT];
                        clutch_nm = engine_nm - engine.inertia_kgm2 * dy[ENGINE];
                    }
                }
            }
            Mesh::Neutral | Mesh::Synchronising(_) => {
                let synchro_nm = if let Mesh::Synchronising(torque) = mode.mesh { torque } else { 0.0 };
                clutch_nm = match mode.coupling {
                    Coupling::Slipping(sign) => sign * capacity_nm,
                    Coupling::Locked => 0.0,
                };
                per_axle_inertia = constants.per_axle_inertia;
                dy[ENGINE] = (engine_nm - clutch_nm) * constants.per_engine_inertia;
                dy[INPUT] = (clutch_nm - synchro_nm) * gear.per_input_inertia;
                dy[AXLE] = (ratio * synchro_nm - shaft_nm) * per_axle_inertia;
                gear_loss_w = synchro_nm * (y[INPUT] - ratio * y[AXLE]);
            }
        }
        let slip_power_w = clutch_nm * slip_radps;
        let (face_w, mass_w) = clutch.heating_w(y[FACE], y[MASS], self.scenario.air.temperature_c, slip_power_w);
        dy[FACE] = face_w * constants.per_face_capacity;
        dy[MASS] = mass_w * constants.per_mass_capacity;

        // Wheels.
        let Divided { axle_nm, across_nm, friction, loss_w } = divided.unwrap_or_else(|| self.divide(y, shaft_nm));
        let loss_w = (gear_loss_w + damping * twist_rate * twist_rate) + loss_w;
        for u in 0..Self::UNITS {
            let unit = &self.units[u];
            let torque =
                unit.axle_share * axle_nm[usize::from(unit.rear)] + unit.side * across_nm[usize::from(unit.rear)];
            // The share of the peak is the last to be known: what it is multiplied by is multiplied out before.
            dy[WHEELS + 2 * u] =
                torque * unit.per_inertia - (unit.radius_m * peaks_n[u] * unit.per_inertia) * shares[u];
        }
        self.tie_locked(dy);

        // Body.
        let aero_n = self.half_density * chassis.drag_area_m2 * wind * wind.abs();
        let rolling_n = self.scenario.surface.rolling_resistance_scale
            * (v.front_tyre.rolling_coefficient(speed) * front_load_n
                + v.rear_tyre.rolling_coefficient(speed) * rear_load_n);
        let gravity_along = GRAVITY_MPS2 * sine;
        let slope_n = chassis.mass_kg * gravity_along;
        // The car begins to move where the net force passes zero: its acceleration has to have that very sign.
        let net_n = drive_n - (aero_n + rolling_n + slope_n);
        dy[SPEED] = if mode.held { 0.0 } else { net_n * constants.per_rolling_mass };
        dy[DISTANCE] = speed;
        dy[TRANSFER] = y[TRANSFER_RATE];
        dy[TRANSFER_RATE] = chassis.transfer_acceleration(
            y[TRANSFER],
            y[TRANSFER_RATE],
            constants.transfer_kg * (dy[SPEED] + gravity_along),
        );

        // Accounts.
        dy[ENGINE_WORK] = engine_nm * y[ENGINE];
        dy[AERO] = aero_n * speed;
        dy[ROLLING] = rolling_n * speed;
        dy[TYRE_SLIP] = tyre_slip_w;
        dy[CLUTCH] = slip_power_w;
        dy[DRIVELINE] = loss_w;

        if !NOTES {
            return;
        }
        self.stiff.speed_mps = speed;
        self.stiff.shaft_stiffness = v.driveline.stiffness_nm_per_rad * touch;
        self.stiff.shaft_damping = damping;
        self.stiff.per_axle_inertia = per_axle_inertia;
        self.stiff.friction = friction;
        self.instant = Instant {
            acceleration_mps2: dy[SPEED],
            net_n,
            engine_nm,
            throttle,
            clutch_nm,
            clutch_capacity_nm: capacity_nm,
            shaft_nm,
            drive_n,
            ceiling_n,
            aero_n,
            rolling_n,
            slope_n,
            front_load_n,
            rear_load_n,
            past_peak,
            trimmed: trimmed < 0.95,
            slip_power_w,
        };
    }
}

impl<const N: usize> System<N> for Model<'_, N> {
    const EXPLICIT: usize = state::EXPLICIT;
    const IMPLICIT: usize = state::IMPLICIT;

    #[inline(always)]
    fn rates(&mut self, time_s: f64, y: &[f64; N], rates: &mut [f64; N]) {
        self.evaluate::<false>(time_s, y, rates);
    }

    #[inline(always)]
    fn rates_and_terms(&mut self, time_s: f64, y: &[f64; N], rates: &mut [f64; N]) {
        self.evaluate::<true>(time_s, y, rates);
    }

    #[inline(always)]
    fn factor(&mut self, per_d: f64) {
        self.block.factor(Self::UNITS, &self.stiff, self.mode.held, per_d);
    }

    #[inline(always)]
    fn solve(&self, r: &mut [f64; N]) {
        self.block.solve(Self::UNITS, r);
        self.tie_locked(r);
    }

    /// Sides that turn as one: the input with the final drive in gear, the engine with the input when locked.
    #[inline(always)]
    fn tie(&self, y: &mut [f64; N]) {
        if self.mode.mesh == Mesh::Engaged {
            y[INPUT] = self.constants.gears[self.mode.gear].ratio * y[AXLE];
            if self.mode.coupling == Coupling::Locked {
                y[ENGINE] = y[INPUT];
            }
        }
    }
}
