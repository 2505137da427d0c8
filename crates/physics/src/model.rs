//! The parts put together: what of a run stays, and what of an instant is told.
//!
//! [`state`] says what the state holds, `rates` how it changes. `docs/model.md` writes the same equations in mathematical notation.

mod divide;
mod foot;
mod rates;
pub(crate) mod state;
mod unit;

use crate::constants::Constants;
use crate::driveline::Differential;
use crate::driver::felt_slip;
use crate::elementary::larger;
use crate::engine::{Limiter, Near};
use crate::integrator::System;
use crate::mode::{Coupling, Mesh, Mode};
use crate::record::limit;
use crate::run::Sample;
use crate::stiff::{Block, StiffTerms, UnitTerms};
use crate::vehicle::{Scenario, Vehicle};

use state::{BOOST, DISTANCE, ENGINE, FACE, FELT_SLIP, INPUT, MASS, PEDAL, SPEED, THROTTLE, WHEELS};
pub(crate) use unit::{Unit, units};

/// Damping of the tyre's carcass along the car, in parallel with its stiffness, as a time constant, s.
///
/// Some 5 % of critical for the wheel on its carcass (from memory); without it nothing damps a wheel that stands.
pub(crate) const CARCASS_DAMPING_S: f64 = 5e-4;

/// Slip of a flare: of the tread over the road, relative to road speed.
const FLARE_SLIP: f64 = 1.0;

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
    /// Whether the driver holds back some of the throttle for wheelspin.
    pub trimmed: bool,
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
    /// Share of the shafts' torque that goes to each axle.
    front_share: f64,
    rear_share: f64,
    /// Both axles are driven.
    all_driven: bool,
    /// First of the two units of the front and the rear axle, where its sides are apart.
    pairs: [Option<usize>; 2],
    /// Some differential is locked.
    any_locked: bool,
    half_density: f64,
    constants: Constants,
    stiff: StiffTerms,
    block: Block,
    /// Where the torque curves were looked up last.
    near: Near,
    pub instant: Instant,
    pub evaluations: u32,
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
                per_relaxation: unit.per_resting_relaxation,
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
            rear_share: 1.0 - front_share,
            all_driven: vehicle.drives_front() && vehicle.drives_rear(),
            pairs: [false, true]
                .map(|rear| found.windows(2).position(|pair| pair.iter().all(|unit| unit.rear == rear))),
            any_locked: stiff.locked.contains(&true),
            half_density: 0.5 * density,
            constants: Constants::new(vehicle, scenario, rolling_mass_kg),
            stiff,
            block: Block::default(),
            near: Near::default(),
            instant: Instant::default(),
            evaluations: 0,
        }
    }

    /// Inertia at the gearbox input of what turns with it, clutch open, kg·m².
    #[inline]
    pub(crate) fn input_inertia(&self, gear: usize) -> f64 {
        self.vehicle.gearbox.input_inertia_kgm2 + self.vehicle.gearbox.gears[gear].inertia_kgm2
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
        engine.boost.as_ref().map_or(0.0, |b| engine.boost_shortfall(b, y[ENGINE], y[BOOST], self.near))
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
            pedal: y[PEDAL],
            clutch_slipping: matches!(mode.coupling, Coupling::Slipping(_)),
            clutch_nm: instant.clutch_nm,
            shaft_nm: instant.shaft_nm,
            drive_n: instant.drive_n,
            traction_ceiling_n: instant.ceiling_n,
            aero_n: instant.aero_n,
            rolling_n: instant.rolling_n,
            slope_n: instant.slope_n,
            slip,
            tread_mps: self.tread_mps(|n| y[n]),
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

    /// What slip is short of a flare where `y` gives a component of the state: a driver who trims does not shift while the engine flares with
    /// the wheels, felt or not yet felt. That is not the car's speed.
    #[inline]
    pub(crate) fn short_of_flare(&self, y: impl Fn(usize) -> f64) -> f64 {
        let slip = felt_slip(self.tread_mps(&y) - y(SPEED), y(SPEED));
        FLARE_SLIP - larger(slip, y(FELT_SLIP))
    }

    /// The fastest tread of the driven wheels where `y` gives a component of the state, m/s.
    #[inline]
    pub(crate) fn tread_mps(&self, y: impl Fn(usize) -> f64) -> f64 {
        (0..Self::UNITS).map(|u| self.units[u].radius_m * y(WHEELS + 2 * u)).fold(f64::NEG_INFINITY, f64::max)
    }
}
