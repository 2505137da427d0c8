//! From the notes of a run to its result.

use crate::model::state::{
    AERO, AXLE, CLUTCH, DISTANCE, DRIVELINE, ENGINE, ENGINE_WORK, INPUT, ROLLING, SPEED, TWIST, TYRE_SLIP, WHEELS,
};
use crate::record::{Passing, TRAP_GATES};
use crate::road::GRAVITY_MPS2;
use crate::run::{AirEffect, Ending, EnergyAccount, Launch, Peaks, Run, Sample, Story};
use crate::simulate::Simulation;
use crate::timing::{GATES, GateTime, Passed, RollingTime, TRAP_LENGTH_M, Trap};

/// A start whose tyres are past their peak for this long, s, and for this share of the time to 60 ft, is told as one with
/// wheelspin: a chirp is none.
const SPIN_S: f64 = 0.4;
const SPIN_SHARE: f64 = 0.3;
/// A start whose clutch takes this long to stop slipping is told as one of a slipping clutch, s.
const LONG_SLIP_S: f64 = 1.8;
/// An engine is in its useful range where it gives this share of its largest full-load torque.
const USEFUL_TORQUE_SHARE: f64 = 0.75;

/// Times between two speeds: name, and the gates at both ends.
const SPEED_PAIRS: [(&str, &str, &str); 3] =
    [("30-60 mph", "30 mph", "60 mph"), ("60-100 mph", "60 mph", "100 mph"), ("100-200 km/h", "100 km/h", "200 km/h")];

impl<const N: usize> Simulation<'_, N> {
    /// Closes the run.
    pub(crate) fn finish(mut self, ending: Ending) -> (Run, Vec<Sample>) {
        let end_s = self.step.time_s;
        // Before it moves there is no clock; a car that never moves has run for no time.
        let zero_s = self.moved_s.unwrap_or(end_s);
        for shift in &mut self.shifts {
            shift.time_s -= zero_s;
        }
        self.work.evaluations = self.model.evaluations;
        let gates: Vec<GateTime> = GATES
            .iter()
            .enumerate()
            .map(|(i, gate)| GateTime {
                name: gate.name,
                mark: gate.mark,
                passed: self.record.gate(i).map(|p| self.passed(p, zero_s)),
            })
            .collect();
        let (samples, offset_s) = match self.sampler.take() {
            Some(sampler) => (sampler.samples, zero_s),
            None => (Vec::new(), 0.0),
        };
        let samples = samples.into_iter().map(|s| Sample { time_s: s.time_s - offset_s, ..s }).collect();
        let run = Run {
            ending,
            first_movement_s: self.moved_s,
            traps: self.traps(),
            rolling: rolling(&gates),
            launch: self.launch(ending, zero_s),
            peaks: self.peaks(),
            energy: self.energy(),
            duration_s: end_s - zero_s,
            distance_m: self.step.from[DISTANCE],
            final_speed_mps: self.step.from[SPEED],
            limited_s: self.record.limited_s,
            air: self.air(),
            work: self.work,
            shifts: self.shifts,
            gates,
        };
        (run, samples)
    }

    fn passed(&self, passing: Passing, zero_s: f64) -> Passed {
        Passed {
            time_s: passing.time_s - zero_s,
            // A rollout of nothing ends when the car moves, not while it stands.
            with_rollout_s: self.record.rollout().map(|r| passing.time_s - r.time_s.max(zero_s)).filter(|t| *t >= 0.0),
            speed_mps: passing.speed_mps,
            distance_m: passing.distance_m,
        }
    }

    fn traps(&self) -> Vec<Trap> {
        TRAP_GATES
            .iter()
            .enumerate()
            .map(|(trap, name)| {
                let end = GATES.iter().position(|g| g.name == *name).and_then(|i| self.record.gate(i));
                let speed_mps =
                    self.record.trap_start(trap).zip(end).map(|(a, b)| TRAP_LENGTH_M / (b.time_s - a.time_s));
                Trap { name, speed_mps }
            })
            .collect()
    }

    fn launch(&self, ending: Ending, zero_s: f64) -> Launch {
        let record = &self.record;
        let (bite_radps, bite_boost) = self.bite.unwrap_or((self.step.from[ENGINE], 0.0));
        let lowest_radps = record.lowest_launch_radps.min(bite_radps);
        let bite_s = self.launch_bite_s;
        let slipped_s = self.clutch_home.map_or(self.step.time_s, |(t, _)| t) - bite_s;
        let to_60_ft_s = record.gate(0).map_or(0.0, |passed| passed.time_s - zero_s);
        let story = if ending == Ending::Stalled {
            Story::Stall
        } else if lowest_radps < self.model.vehicle.engine.idle_radps {
            // Whatever the tyres did: an engine dragged under its idle has bogged.
            Story::Bog
        } else if record.wheelspin_s > SPIN_S.max(SPIN_SHARE * to_60_ft_s) {
            Story::Spin
        } else if lowest_radps < self.useful_from_radps() {
            Story::Bog
        } else if slipped_s > LONG_SLIP_S {
            Story::Slip
        } else {
            Story::Clean
        };
        Launch {
            story,
            held_radps: self.model.scenario.driver.held_radps,
            bite_radps,
            bite_boost,
            lowest_radps,
            clutch_home_s: self.clutch_home.map(|(t, _)| t - zero_s),
            clutch_home_mps: self.clutch_home.map(|(_, v)| v),
            wheelspin_s: record.wheelspin_s,
            largest_slip_mps: record.largest_slip_mps,
            front_lifted_s: record.front_lifted_s,
            trimmed_s: record.trimmed_s,
        }
    }

    /// Lowest engine speed at which full-load torque is near its largest.
    fn useful_from_radps(&self) -> f64 {
        let curve = &self.model.vehicle.engine.full_load_nm;
        let (_, most) = curve.largest(200, |_, torque| torque);
        let (from, to) = curve.range();
        (0..=400)
            .map(|i| from + (to - from) * f64::from(i) / 400.0)
            .find(|&x| curve.value(x) >= USEFUL_TORQUE_SHARE * most)
            .unwrap_or(to)
    }

    fn peaks(&self) -> Peaks {
        let record = &self.record;
        let vehicle = self.model.vehicle;
        let (_, most_nm) = vehicle.engine.full_load_nm.largest(200, |_, torque| torque);
        let gearbox = &vehicle.gearbox;
        Peaks {
            clutch_face_c: record.clutch_face_c,
            clutch_mass_c: record.clutch_mass_c,
            clutch_energy_j: self.step.from[CLUTCH],
            clutch_power_w: record.clutch_power_w,
            clutch_slipping_s: record.clutch_slipping_s,
            shaft_torque_nm: record.shaft_nm,
            steady_shaft_torque_nm: self.model.air_factor
                * most_nm
                * gearbox.overall_ratio(0)
                * gearbox.overall_efficiency(0),
            acceleration_mps2: record.acceleration_mps2,
            engine_radps: record.engine_radps,
        }
    }

    fn energy(&self) -> EnergyAccount {
        let vehicle = self.model.vehicle;
        let y = &self.step.from;
        let kinetic = |inertia: f64, speed: f64| 0.5 * inertia * speed * speed;
        let mass_kg = vehicle.chassis.mass_kg;
        let engine_kinetic_start_j = kinetic(vehicle.engine.inertia_kgm2, self.start[ENGINE]);
        let driven: f64 =
            (0..(N - WHEELS) / 2).map(|u| kinetic(self.model.units[u].inertia_kgm2, y[WHEELS + 2 * u])).sum();
        let mut account = EnergyAccount {
            engine_work_j: y[ENGINE_WORK],
            engine_kinetic_start_j,
            translation_j: kinetic(mass_kg, y[SPEED]),
            engine_and_gearbox_j: kinetic(vehicle.engine.inertia_kgm2, y[ENGINE])
                + kinetic(self.model.input_inertia(self.model.mode.gear), y[INPUT]),
            wheels_j: kinetic(self.model.rolling_mass_kg - mass_kg, y[SPEED])
                + kinetic(vehicle.gearbox.final_drive.inertia_kgm2, y[AXLE])
                + driven,
            height_j: mass_kg * GRAVITY_MPS2 * self.model.scenario.slope.height_gain_m(y[DISTANCE]),
            aero_j: y[AERO],
            rolling_j: y[ROLLING],
            tyre_slip_j: y[TYRE_SLIP],
            clutch_j: y[CLUTCH],
            driveline_j: y[DRIVELINE],
            shafts_j: vehicle.driveline.stored_j(y[TWIST]),
            residual_j: 0.0,
        };
        account.residual_j = account.engine_work_j + account.engine_kinetic_start_j
            - account.translation_j
            - account.engine_and_gearbox_j
            - account.wheels_j
            - account.height_j
            - account.aero_j
            - account.rolling_j
            - account.tyre_slip_j
            - account.clutch_j
            - account.driveline_j
            - account.shafts_j;
        account
    }

    fn air(&self) -> AirEffect {
        let scenario = self.model.scenario;
        AirEffect {
            density_kg_per_m3: self.model.density_kg_per_m3,
            torque_factor: self.model.air_factor,
            within_standard: self.model.vehicle.engine.rated_to.covers(&scenario.air),
        }
    }
}

fn rolling(gates: &[GateTime]) -> Vec<RollingTime> {
    let time = |name: &str| gates.iter().find(|g| g.name == name).and_then(|g| g.passed).map(|p| p.time_s);
    SPEED_PAIRS
        .iter()
        .map(|&(name, from, to)| RollingTime { name, time_s: time(from).zip(time(to)).map(|(a, b)| b - a) })
        .collect()
}

impl crate::run::Run {
    /// What was read at the gate of this name.
    #[must_use]
    pub fn gate(&self, name: &str) -> Option<Passed> {
        self.gates.iter().find(|g| g.name == name).and_then(|g| g.passed)
    }

    /// Trap speed at the end of the gate of this name, m/s.
    #[must_use]
    pub fn trap_mps(&self, name: &str) -> Option<f64> {
        self.traps.iter().find(|t| t.name == name).and_then(|t| t.speed_mps)
    }
}
