//! State of the car and its rates: the parts put together.
//!
//! `docs/model.md` writes the same equations in mathematical notation.

use crate::constants::{Constants, angle};
use crate::driveline::Differential;
use crate::driver::WheelspinResponse;
use crate::elementary::larger;
use crate::engine::Limiter;
use crate::integrator::System;
use crate::mode::{Coupling, Mesh, Mode};
use crate::record::limit;
use crate::road::GRAVITY_MPS2;
use crate::run::Sample;
use crate::stiff::{Block, StiffTerms, UnitTerms};
use crate::tyre::MagicFormula;
use crate::vehicle::{Scenario, Vehicle};

/// Indices into the state: sums first, then states outside of the stiff matrix, then those in it. Wheels come last, two
/// states each: speed and slip.
pub(crate) mod state {
    /// Work of the engine, J.
    pub(crate) const ENGINE_WORK: usize = 0;
    /// Lost to drag, J.
    pub(crate) const AERO: usize = 1;
    /// Lost to rolling resistance, J.
    pub(crate) const ROLLING: usize = 2;
    /// Lost in the tyres' slip, J.
    pub(crate) const TYRE_SLIP: usize = 3;
    /// Lost in the clutch, J.
    pub(crate) const CLUTCH: usize = 4;
    /// Lost in gears, damping and differentials, J.
    pub(crate) const DRIVELINE: usize = 5;
    /// Engine speed, rad/s.
    pub(crate) const ENGINE: usize = 6;
    /// Gearbox-input speed, rad/s.
    pub(crate) const INPUT: usize = 7;
    /// Distance, m.
    pub(crate) const DISTANCE: usize = 8;
    /// Load moved from front to rear axle, N.
    pub(crate) const TRANSFER: usize = 9;
    /// Its rate, N/s.
    pub(crate) const TRANSFER_RATE: usize = 10;
    /// Boost share.
    pub(crate) const BOOST: usize = 11;
    /// Throttle as the engine has it.
    pub(crate) const THROTTLE: usize = 12;
    /// Clutch face, °C.
    pub(crate) const FACE: usize = 13;
    /// Clutch mass, °C.
    pub(crate) const MASS: usize = 14;
    /// Road speed, m/s.
    pub(crate) const SPEED: usize = 15;
    /// Final-drive output speed, rad/s.
    pub(crate) const AXLE: usize = 16;
    /// Wind-up between final drive and wheels, rad.
    pub(crate) const TWIST: usize = 17;
    /// Where states begin that are more than sums.
    pub(crate) const EXPLICIT: usize = ENGINE;
    /// Where the stiff matrix begins.
    pub(crate) const IMPLICIT: usize = SPEED;
    /// Where the wheels begin.
    pub(crate) const WHEELS: usize = 18;
    /// Length with one, two, three and four wheel units.
    pub(crate) const LENGTH: [usize; 4] = [WHEELS + 2, WHEELS + 4, WHEELS + 6, WHEELS + 8];
}
use state::{
    AERO, AXLE, BOOST, CLUTCH, DISTANCE, DRIVELINE, ENGINE, ENGINE_WORK, FACE, INPUT, MASS, ROLLING, SPEED, THROTTLE,
    TRANSFER, TRANSFER_RATE, TWIST, TYRE_SLIP, WHEELS,
};

/// Damping of the tyre's carcass along the car, in parallel with its stiffness, as a time constant, s.
///
/// Some 5 % of critical for the wheel on its carcass (from memory); without it nothing damps a wheel that stands.
pub(crate) const CARCASS_DAMPING_S: f64 = 5e-4;

/// Speed difference at which the friction of a limited-slip differential is at 71 % of its capacity, rad/s:
/// its friction is rounded so that it has no jump at zero.
const DIFFERENTIAL_ROUNDING_RADPS: f64 = 0.2;

/// Driven wheels that always turn alike: a whole axle, or one side of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Unit {
    pub rear: bool,
    /// Tyres in it: two for an axle, one for a side.
    pub tyres: f64,
    /// Sign of the solid axle's torque reaction on its load: +1 left, -1 right, 0 for an axle.
    pub side: f64,
    /// Share of its axle's torque while differentials turn freely.
    pub axle_share: f64,
    pub radius_m: f64,
    pub inertia_kgm2: f64,
    /// One over the inertia, 1/(kg·m²).
    pub per_inertia: f64,
    /// One over the relaxation length, 1/m.
    pub per_relaxation: f64,
    pub magic_formula: MagicFormula,
    /// One over its nominal load, 1/N.
    pub per_nominal_load: f64,
    pub friction_scale: f64,
    pub stiffness_scale: f64,
    /// Slip of the peak at the static load, for the driver who holds slip there.
    pub peak_slip: f64,
}

/// Values of one evaluation that others than the integrator want.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Instant {
    pub acceleration_mps2: f64,
    /// Force on the road that would move the car if its brakes let go, N.
    pub net_n: f64,
    pub engine_nm: f64,
    pub throttle: f64,
    pub clutch_nm: f64,
    pub clutch_capacity_nm: f64,
    pub shaft_nm: f64,
    pub drive_n: f64,
    pub ceiling_n: f64,
    pub aero_n: f64,
    pub rolling_n: f64,
    pub slope_n: f64,
    pub front_load_n: f64,
    pub rear_load_n: f64,
    /// Whether a driven tyre is past its peak.
    pub past_peak: bool,
    pub slip_power_w: f64,
}

/// The car on its road in its air: constants of a run.
pub(crate) struct Model<'a, const N: usize> {
    pub vehicle: &'a Vehicle,
    pub scenario: &'a Scenario,
    pub mode: Mode,
    pub units: [Unit; 4],
    pub air_factor: f64,
    pub density_kg_per_m3: f64,
    /// Mass of translation with the wheels that only roll, kg.
    pub rolling_mass_kg: f64,
    front_share: f64,
    half_density: f64,
    constants: Constants,
    stiff: StiffTerms,
    block: Block,
    pub instant: Instant,
    pub evaluations: u32,
}

/// The units of a car: sides apart on an axle whose sides differ.
pub(crate) fn units(vehicle: &Vehicle, scenario: &Scenario) -> Vec<Unit> {
    let surface = &scenario.surface;
    let sides_differ = surface.right_to_left_friction != 1.0;
    let weight_n = vehicle.chassis.mass_kg * GRAVITY_MPS2;
    let mut found = Vec::with_capacity(4);
    for rear in [false, true] {
        if !(if rear { vehicle.drives_rear() } else { vehicle.drives_front() }) {
            continue;
        }
        let tyre = if rear { &vehicle.rear_tyre } else { &vehicle.front_tyre };
        let share = vehicle.chassis.front_weight_share;
        let load_n = 0.5 * weight_n * if rear { 1.0 - share } else { share };
        let split = sides_differ || (rear && vehicle.driveline.solid_rear_axle.is_some());
        let sides: &[f64] = if split { &[1.0, -1.0] } else { &[0.0] };
        for &side in sides {
            // The mean of both sides is the surface's friction, so that a difference alone adds none.
            let right = surface.right_to_left_friction;
            let of_mean = if side > 0.0 {
                2.0 / (1.0 + right)
            } else if side < 0.0 {
                2.0 * right / (1.0 + right)
            } else {
                1.0
            };
            let friction_scale = surface.friction_scale * of_mean;
            let tyres = if split { 1.0 } else { 2.0 };
            let stiffness_scale = surface.slip_stiffness_scale;
            found.push(Unit {
                rear,
                tyres,
                side,
                axle_share: 0.5 * tyres,
                radius_m: tyre.rolling_radius_m,
                inertia_kgm2: tyres * tyre.wheel_inertia_kgm2,
                per_inertia: 1.0 / (tyres * tyre.wheel_inertia_kgm2),
                per_relaxation: 1.0 / tyre.relaxation_length_m,
                magic_formula: tyre.magic_formula,
                per_nominal_load: 1.0 / tyre.magic_formula.nominal_load_n,
                friction_scale,
                stiffness_scale,
                peak_slip: tyre.magic_formula.at(load_n, friction_scale, stiffness_scale).peak_slip().min(1.0),
            });
        }
    }
    found
}

impl<'a, const N: usize> Model<'a, N> {
    const UNITS: usize = (N - WHEELS) / 2;

    pub(crate) fn new(vehicle: &'a Vehicle, scenario: &'a Scenario, found: &[Unit], mode: Mode) -> Self {
        let engine = &vehicle.engine;
        let undriven = |driven: bool, tyre: &crate::tyre::Tyre| {
            if driven { 0.0 } else { 2.0 * tyre.wheel_inertia_kgm2 / (tyre.rolling_radius_m * tyre.rolling_radius_m) }
        };
        let density = scenario.air.density_kg_per_m3();
        let units: [Unit; 4] = core::array::from_fn(|i| found[i.min(found.len() - 1)]);
        let rolling_mass_kg = vehicle.chassis.mass_kg
            + undriven(vehicle.drives_front(), &vehicle.front_tyre)
            + undriven(vehicle.drives_rear(), &vehicle.rear_tyre);
        let front_share = vehicle.front_torque_share();
        let driveline = &vehicle.driveline;
        let stiff = StiffTerms {
            unit: units.map(|unit| UnitTerms {
                share: unit.axle_share * if unit.rear { 1.0 - front_share } else { front_share },
                between_axles: if unit.rear { unit.axle_share } else { -unit.axle_share },
                between_sides: -unit.side,
                rear: unit.rear,
                radius_m: unit.radius_m,
                inertia_kgm2: unit.inertia_kgm2,
                per_relaxation: unit.per_relaxation,
                force_slope_n: 0.0,
                slip: 0.0,
            }),
            locked: [vehicle.centre_differential(), driveline.front_differential, driveline.rear_differential]
                .map(|differential| differential == Differential::Locked),
            per_mass: 1.0 / rolling_mass_kg,
            ..StiffTerms::default()
        };
        Self {
            vehicle,
            scenario,
            mode,
            units,
            air_factor: engine.rated_to.torque_factor(&scenario.air, engine.air_correction_share),
            density_kg_per_m3: density,
            rolling_mass_kg,
            front_share,
            half_density: 0.5 * density,
            constants: Constants::new(vehicle, scenario, rolling_mass_kg),
            stiff,
            block: Block::default(),
            instant: Instant::default(),
            evaluations: 0,
        }
    }

    /// Share of the final drive's torque that goes to an axle while differentials turn freely.
    #[inline]
    fn axle_share(&self, rear: bool) -> f64 {
        if rear { 1.0 - self.front_share } else { self.front_share }
    }

    /// Share of the final drive's torque that goes to unit `u` while differentials turn freely.
    #[inline]
    fn share(&self, u: usize) -> f64 {
        self.units[u].axle_share * self.axle_share(self.units[u].rear)
    }

    /// Inertia at the gearbox input of what turns with it, clutch open, kg·m².
    #[inline]
    pub(crate) fn input_inertia(&self, gear: usize) -> f64 {
        self.vehicle.gearbox.input_inertia_kgm2 + self.vehicle.gearbox.gears[gear].inertia_kgm2
    }

    /// What an ideal driver leaves of throttle and clamp at the largest slip: all to 0.6 of the peak's, none at 2 of it.
    /// A narrower band makes wheels, shafts and pedal swing against each other.
    #[inline]
    fn ideal_share(&self, y: &[f64; N]) -> f64 {
        if self.scenario.driver.wheelspin != WheelspinResponse::Ideal {
            return 1.0;
        }
        let mut share: f64 = 1.0;
        for (u, unit) in self.units[..Self::UNITS].iter().enumerate() {
            let relative = y[WHEELS + 2 * u + 1] / unit.peak_slip;
            share = share.min((2.0 - relative) / 1.4);
        }
        share.max(0.0)
    }

    /// The limiter at work.
    #[inline]
    pub(crate) fn limiter(&self) -> &Limiter {
        let engine = &self.vehicle.engine;
        match &engine.launch_limiter {
            Some(launch) if self.mode.launch_limited => &launch.limiter,
            _ => &engine.limiter,
        }
    }

    /// Share of full-load torque that boost still owes.
    pub(crate) fn boost_shortfall(&self, y: &[f64; N]) -> f64 {
        let engine = &self.vehicle.engine;
        if engine.boost.is_none() {
            return 0.0;
        }
        let all = engine.full_load_at(y[ENGINE], 1.0, self.air_factor);
        1.0 - engine.full_load_at(y[ENGINE], y[BOOST], self.air_factor) / all.max(1.0)
    }

    /// The car at one instant, for charts.
    pub(crate) fn sample(&mut self, time_s: f64, y: &[f64; N]) -> Sample {
        let mut unused = [0.0; N];
        self.rates_and_terms(time_s, y, &mut unused);
        let mode = self.mode;
        let instant = self.instant;
        let slips =
            self.units[..Self::UNITS].iter().enumerate().map(|(u, unit)| (y[WHEELS + 2 * u + 1], unit.peak_slip));
        let (slip, peak_slip) =
            slips.fold((f64::NEG_INFINITY, 0.0), |most, one| if one.0 > most.0 { one } else { most });
        Sample {
            time_s,
            distance_m: y[DISTANCE],
            speed_mps: y[SPEED],
            acceleration_mps2: instant.acceleration_mps2,
            engine_radps: y[ENGINE],
            input_radps: y[INPUT],
            engine_nm: instant.engine_nm,
            gear: if mode.mesh == Mesh::Engaged { mode.gear as u8 + 1 } else { 0 },
            throttle: y[THROTTLE],
            pedal: mode.pedal.at(time_s, self.vehicle.clutch.bite_point),
            clutch_slipping: matches!(mode.coupling, Coupling::Slipping(_)),
            clutch_nm: instant.clutch_nm,
            shaft_nm: instant.shaft_nm,
            drive_n: instant.drive_n,
            traction_ceiling_n: instant.ceiling_n,
            aero_n: instant.aero_n,
            rolling_n: instant.rolling_n,
            slope_n: instant.slope_n,
            slip,
            tread_mps: self.tread_mps(y),
            peak_slip,
            front_load_n: instant.front_load_n,
            rear_load_n: instant.rear_load_n,
            boost: y[BOOST],
            clutch_face_c: y[FACE],
            clutch_mass_c: y[MASS],
            limit: limit(&instant, &mode, || self.boost_shortfall(y)),
        }
    }

    /// Place in the state and radius (m) of each unit of driven wheels.
    pub(crate) fn wheels(&self) -> impl Iterator<Item = (usize, f64)> {
        (0..Self::UNITS).map(|u| (WHEELS + 2 * u, self.units[u].radius_m))
    }

    /// The fastest tread of the driven wheels, m/s.
    #[inline]
    pub(crate) fn tread_mps(&self, y: &[f64; N]) -> f64 {
        (0..Self::UNITS).map(|u| self.units[u].radius_m * y[WHEELS + 2 * u]).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Friction torque of a differential at a speed difference (N·m), with its slope; torque flows to the slower output.
    #[inline]
    fn friction(differential: Differential, input_nm: f64, difference_radps: f64) -> (f64, f64) {
        match differential {
            Differential::Open | Differential::Locked => (0.0, 0.0),
            Differential::LimitedSlip { .. } => {
                let half = 0.5 * differential.friction_capacity_nm(input_nm);
                let x = difference_radps / DIFFERENTIAL_ROUNDING_RADPS;
                let root = (1.0 + x * x).sqrt();
                (half * x / root, half / (DIFFERENTIAL_ROUNDING_RADPS * root * root * root))
            }
        }
    }

    /// Units of an axle: its first, and its second where sides are apart.
    #[inline]
    fn axle_units(&self, rear: bool) -> (Option<usize>, Option<usize>) {
        let mut of_axle = (0..Self::UNITS).filter(|&u| self.units[u].rear == rear);
        (of_axle.next(), of_axle.next())
    }

    #[inline]
    fn locked(&self, rear: bool) -> bool {
        let d = &self.vehicle.driveline;
        matches!(if rear { d.rear_differential } else { d.front_differential }, Differential::Locked)
    }

    #[inline]
    fn centre_locked(&self) -> bool {
        matches!(self.vehicle.centre_differential(), Differential::Locked)
    }

    /// Makes rates (or their solutions) of outputs that are locked together equal, weighted by inertia.
    #[inline]
    fn tie_locked(&self, r: &mut [f64; N]) {
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
        if Self::UNITS == 1 {
            return;
        }
        for rear in [false, true] {
            if let (Some(first), Some(second)) = self.axle_units(rear)
                && self.locked(rear)
            {
                mean(r, first..second + 1);
            }
        }
        if self.centre_locked() {
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
    fn output_speed(&self, y: &[f64; N]) -> f64 {
        let mut sum = 0.0;
        for u in 0..Self::UNITS {
            sum += self.share(u) * y[WHEELS + 2 * u];
        }
        sum
    }
}

impl<const N: usize> Model<'_, N> {
    /// One evaluation. With `NOTES` it also notes what the matrix, the events and the record want to know of it.
    #[allow(clippy::too_many_lines, reason = "one evaluation, in the order in which torque flows from engine to road")]
    #[inline(always)]
    fn evaluate<const NOTES: bool>(&mut self, time_s: f64, y: &[f64; N], dy: &mut [f64; N]) {
        self.evaluations += 1;
        let v = self.vehicle;
        let mode = &self.mode;
        let constants = &self.constants;
        let (engine, clutch, chassis) = (&v.engine, &v.clutch, &v.chassis);
        let speed = y[SPEED];

        // Engine.
        let ideal = self.ideal_share(y);
        let asked = mode.throttle_asked(time_s);
        let throttle = if mode.fuel_cut {
            0.0
        } else {
            larger(y[THROTTLE] * ideal, engine.idle_throttle(y[ENGINE], y[BOOST], self.air_factor))
        };
        let drag_nm = engine.motoring.drag_nm(y[ENGINE]);
        let full_load_nm = engine.full_load_at(y[ENGINE], y[BOOST], self.air_factor);
        let engine_nm = throttle * (full_load_nm + drag_nm) - drag_nm;
        dy[THROTTLE] = (asked - y[THROTTLE]) * constants.per_throttle_lag;
        dy[BOOST] = match &engine.boost {
            Some(b) => b.rate_per_s(y[BOOST], throttle, y[ENGINE]),
            None => 0.0,
        };

        // Shafts.
        let (twist, touch) = v.driveline.engaged_twist(y[TWIST]);
        let twist_rate = y[AXLE] - self.output_speed(y);
        let damping = v.driveline.damping_nm_s_per_rad * touch;
        let shaft_nm = v.driveline.stiffness_nm_per_rad * twist + damping * twist_rate;
        dy[TWIST] = twist_rate;

        // Clutch and gearbox.
        let pedal = mode.pedal.at(time_s, clutch.bite_point);
        let capacity_nm = constants.clutch_nm * clutch.clamp_share(pedal) * clutch.fade(y[FACE]) * ideal;
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
        let (face, mass) = clutch.heating_k_per_s(y[FACE], y[MASS], self.scenario.air.temperature_c, slip_power_w);
        dy[FACE] = face;
        dy[MASS] = mass;

        // Loads.
        let wind = speed + self.scenario.headwind_mps;
        let dynamic_pressure = self.half_density * wind * wind;
        let (sine, cosine) = constants.slope.unwrap_or_else(|| angle(&self.scenario.slope, y[DISTANCE]));
        let (front_load_n, rear_load_n) = chassis.axle_loads(y[TRANSFER], dynamic_pressure, cosine);

        // Differentials.
        let mut loss_w = gear_loss_w + damping * twist_rate * twist_rate;
        let mut friction = [0.0; 3];
        let mut axle_nm = [self.front_share * shaft_nm, (1.0 - self.front_share) * shaft_nm];
        if Self::UNITS > 1 && v.drives_front() && v.drives_rear() {
            let difference = self.axle_mean(y, true) - self.axle_mean(y, false);
            let (torque, slope) = Self::friction(v.centre_differential(), shaft_nm, difference);
            axle_nm[0] += torque;
            axle_nm[1] -= torque;
            loss_w += torque * difference;
            friction[0] = slope;
        }
        let mut across_nm = [0.0; 2];
        if Self::UNITS > 1 {
            for rear in [false, true] {
                if let (Some(left), Some(right)) = self.axle_units(rear) {
                    let d = if rear { v.driveline.rear_differential } else { v.driveline.front_differential };
                    let difference = y[WHEELS + 2 * right] - y[WHEELS + 2 * left];
                    let (torque, slope) = Self::friction(d, axle_nm[usize::from(rear)], difference);
                    across_nm[usize::from(rear)] = torque;
                    loss_w += torque * difference;
                    friction[1 + usize::from(rear)] = slope;
                }
            }
        }
        // The torque that rolls a solid axle is the propshaft's.
        let reaction_n = match v.driveline.solid_rear_axle {
            Some(axle) => axle_nm[1] / v.gearbox.final_drive.ratio * axle.front_roll_stiffness_share / axle.track_m,
            None => 0.0,
        };

        // Wheels and tyres.
        let (mut drive_n, mut ceiling_n, mut tyre_slip_w, mut past_peak) = (0.0, 0.0, 0.0, false);
        for u in 0..Self::UNITS {
            let unit = &self.units[u];
            let (wheel, slip) = (y[WHEELS + 2 * u], y[WHEELS + 2 * u + 1]);
            let axle = usize::from(unit.rear);
            let axle_load = if unit.rear { rear_load_n } else { front_load_n };
            let load = 0.5 * axle_load + if unit.rear { unit.side * reaction_n } else { 0.0 };
            let curve =
                unit.magic_formula.at_nominal(load, unit.per_nominal_load, unit.friction_scale, unit.stiffness_scale);
            let slip_rate = (unit.radius_m * wheel - speed - speed.abs() * slip) * unit.per_relaxation;
            let shape = &constants.shapes[axle];
            let felt_slip = slip + CARCASS_DAMPING_S * slip_rate;
            let force = if NOTES {
                let (force, slope) = curve.force_n_and_slope(shape, felt_slip);
                past_peak |= slope < 0.0;
                self.stiff.unit[u].force_slope_n = unit.tyres * slope;
                self.stiff.unit[u].slip = slip;
                force
            } else {
                curve.force_n(shape, felt_slip)
            };
            let force_n = unit.tyres * force;
            let torque = unit.axle_share * axle_nm[axle] + unit.side * across_nm[axle];
            dy[WHEELS + 2 * u] = (torque - unit.radius_m * force_n) * unit.per_inertia;
            dy[WHEELS + 2 * u + 1] = slip_rate;
            drive_n += force_n;
            ceiling_n += unit.tyres * curve.d_n;
            tyre_slip_w += force_n * (unit.radius_m * wheel - speed);
        }
        self.tie_locked(dy);

        // Body.
        let aero_n = self.half_density * chassis.drag_area_m2 * wind * wind.abs();
        let rolling_n = self.scenario.surface.rolling_resistance_scale
            * (v.front_tyre.rolling_coefficient(speed) * front_load_n
                + v.rear_tyre.rolling_coefficient(speed) * rear_load_n);
        let gravity_along = GRAVITY_MPS2 * sine;
        let slope_n = chassis.mass_kg * gravity_along;
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

    #[inline]
    fn rates_and_terms(&mut self, time_s: f64, y: &[f64; N], rates: &mut [f64; N]) {
        self.evaluate::<true>(time_s, y, rates);
    }

    #[inline(always)]
    fn factor(&mut self, d: f64) {
        self.block.factor(Self::UNITS, &self.stiff, self.mode.held, d);
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
