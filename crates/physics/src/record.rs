//! What is noted while a run goes on: gates, peaks, times spent, samples.

use crate::dense::{crossing, top};
use crate::driveline::Driveline;
use crate::integrator::Step;
use crate::mode::{Coupling, Mode};
use crate::model::Instant;
use crate::model::state::{DISTANCE, ENGINE, FACE, MASS, SPEED, TWIST};
use crate::run::Limit;
use crate::timing::{GATE_COUNT, GATES, Mark, TRAP_LENGTH_M};

/// Distance gates that end a trap.
pub(crate) const TRAP_GATES: [&str; 2] = ["660 ft", "1320 ft"];

/// When and how fast a mark was passed.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Passing {
    pub time_s: f64,
    pub speed_mps: f64,
    pub distance_m: f64,
}

/// A distance that is waited for; `slot` says where its passing is kept.
#[derive(Debug, Clone, Copy)]
struct Waiting {
    at: f64,
    slot: usize,
}

const ROLLOUT_SLOT: usize = GATE_COUNT;
const TRAP_SLOTS: usize = GATE_COUNT + 1;
const SLOTS: usize = TRAP_SLOTS + TRAP_GATES.len();

/// Notes of one run. Everything is allocated before the first step.
pub(crate) struct Record {
    distances: Vec<Waiting>,
    speeds: Vec<Waiting>,
    next_distance: usize,
    next_speed: usize,
    passed: [Option<Passing>; SLOTS],
    pub limited_s: [f64; 8],
    pub clutch_slipping_s: f64,
    pub wheelspin_s: f64,
    pub trimmed_s: f64,
    pub front_lifted_s: f64,
    pub largest_slip_mps: f64,
    pub clutch_face_c: f64,
    pub clutch_mass_c: f64,
    pub clutch_power_w: f64,
    pub shaft_nm: f64,
    pub acceleration_mps2: f64,
    pub engine_radps: f64,
    pub lowest_launch_radps: f64,
}

/// What holds at one end of a step.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moment {
    pub limit: Limit,
    /// The clutch slips and carries something.
    pub clutch_slipping: bool,
    pub past_peak: bool,
    pub trimmed: bool,
    pub front_lifted: bool,
}

impl Record {
    pub(crate) fn new(rollout_m: f64) -> Self {
        let mut distances = vec![Waiting { at: rollout_m, slot: ROLLOUT_SLOT }];
        let mut speeds = Vec::with_capacity(GATE_COUNT);
        for (slot, gate) in GATES.iter().enumerate() {
            match gate.mark {
                Mark::DistanceM(at) => distances.push(Waiting { at, slot }),
                Mark::SpeedMps(at) => speeds.push(Waiting { at, slot }),
            }
            if let (Some(trap), Mark::DistanceM(at)) = (TRAP_GATES.iter().position(|n| *n == gate.name), gate.mark) {
                distances.push(Waiting { at: at - TRAP_LENGTH_M, slot: TRAP_SLOTS + trap });
            }
        }
        distances.sort_by(|a, b| a.at.total_cmp(&b.at));
        speeds.sort_by(|a, b| a.at.total_cmp(&b.at));
        Self {
            distances,
            speeds,
            next_distance: 0,
            next_speed: 0,
            passed: [None; SLOTS],
            limited_s: [0.0; 8],
            clutch_slipping_s: 0.0,
            wheelspin_s: 0.0,
            trimmed_s: 0.0,
            front_lifted_s: 0.0,
            largest_slip_mps: 0.0,
            clutch_face_c: f64::NEG_INFINITY,
            clutch_mass_c: f64::NEG_INFINITY,
            clutch_power_w: 0.0,
            shaft_nm: 0.0,
            acceleration_mps2: 0.0,
            engine_radps: 0.0,
            lowest_launch_radps: f64::INFINITY,
        }
    }

    pub(crate) fn gate(&self, index: usize) -> Option<Passing> {
        self.passed[index]
    }

    pub(crate) fn rollout(&self) -> Option<Passing> {
        self.passed[ROLLOUT_SLOT]
    }

    pub(crate) fn trap_start(&self, trap: usize) -> Option<Passing> {
        self.passed[TRAP_SLOTS + trap]
    }

    /// Reads the gates that lie within the first `share` of an accepted step.
    pub(crate) fn read_gates<const N: usize>(&mut self, step: &Step<N>, share: f64) {
        pass(&mut self.passed, &self.distances, &mut self.next_distance, step, share, DISTANCE);
        pass(&mut self.passed, &self.speeds, &mut self.next_speed, step, share, SPEED);
    }

    /// Takes note of the largest values within the first `share` of an accepted step: what lies beyond an event that
    /// ends the step never happens.
    pub(crate) fn read_peaks<const N: usize>(
        &mut self,
        step: &Step<N>,
        share: f64,
        driveline: &Driveline,
        mode: &Mode,
    ) {
        self.clutch_face_c = self.clutch_face_c.max(step.largest(FACE, share));
        self.clutch_mass_c = self.clutch_mass_c.max(step.largest(MASS, share));
        self.engine_radps = self.engine_radps.max(step.largest(ENGINE, share));
        if let Some(rate) = step.largest_rate_inside(SPEED, share) {
            self.acceleration_mps2 = self.acceleration_mps2.max(rate);
        }
        // Between the ends the shafts are wound up most where they unwind no more: there the damper is at rest.
        if step.from_rates[TWIST] > 0.0 && step.to_rates[TWIST] < 0.0 {
            let (twist, _) = driveline.engaged_twist(step.largest(TWIST, share));
            self.shaft_nm = self.shaft_nm.max(driveline.stiffness_nm_per_rad * twist);
        }
        if mode.gear == 0 && !mode.shifting() && step.time_s >= 0.0 {
            self.lowest_launch_radps = self.lowest_launch_radps.min(step.component_at(ENGINE, share));
        }
    }

    /// Takes note of the largest slip speed within the first `share` of a step, of wheels given by their place in the state
    /// and their radius.
    pub(crate) fn read_slip<const N: usize>(
        &mut self,
        step: &Step<N>,
        share: f64,
        wheels: impl Iterator<Item = (usize, f64)>,
    ) {
        for (wheel, radius_m) in wheels {
            let (early, late) = (
                radius_m * step.from_rates[wheel] - step.from_rates[SPEED],
                radius_m * step.to_rates[wheel] - step.to_rates[SPEED],
            );
            if let Some(top) = top(early, late).filter(|top| *top < share) {
                let slip_mps = radius_m * step.component_at(wheel, top) - step.component_at(SPEED, top);
                self.largest_slip_mps = self.largest_slip_mps.max(slip_mps);
            }
        }
    }

    /// Takes note of one end of a step, with the largest slip speed (tread over road) there.
    #[inline]
    pub(crate) fn read_instant(&mut self, instant: &Instant, slip_mps: f64, moved: bool) {
        self.clutch_power_w = self.clutch_power_w.max(instant.slip_power_w);
        self.shaft_nm = self.shaft_nm.max(instant.shaft_nm);
        self.acceleration_mps2 = self.acceleration_mps2.max(instant.acceleration_mps2);
        if moved {
            self.largest_slip_mps = self.largest_slip_mps.max(slip_mps);
        }
    }

    /// Books `duration_s` half to what held at its beginning, half to what held at its end.
    #[inline]
    pub(crate) fn read_time(&mut self, duration_s: f64, ends: [Moment; 2], moved: bool) {
        for moment in ends {
            let half = 0.5 * duration_s;
            if moment.clutch_slipping {
                self.clutch_slipping_s += half;
            }
            if !moved {
                continue;
            }
            self.limited_s[moment.limit as usize] += half;
            if moment.past_peak {
                self.wheelspin_s += half;
            }
            if moment.trimmed {
                self.trimmed_s += half;
            }
            if moment.front_lifted {
                self.front_lifted_s += half;
            }
        }
    }
}

/// Notes the marks of one component that lie within the first `share` of a step; most steps pass none.
#[inline]
fn pass<const N: usize>(
    passed: &mut [Option<Passing>; SLOTS],
    waiting: &[Waiting],
    next: &mut usize,
    step: &Step<N>,
    share: f64,
    component: usize,
) {
    let reached = if share < 1.0 { step.component_at(component, share) } else { step.to[component] };
    while let Some(mark) = waiting.get(*next).filter(|mark| mark.at <= reached) {
        passed[mark.slot] = Some(passing(mark.at, step, share, component));
        *next += 1;
    }
}

/// When and how fast a mark is passed that lies within the first `share` of a step.
#[cold]
fn passing<const N: usize>(mark: f64, step: &Step<N>, share: f64, component: usize) -> Passing {
    // Sought over the whole step where that is possible, so that an event which ends the step early changes no bit of it.
    let within = if step.component_at(component, 1.0) > mark { 1.0 } else { share };
    let beyond = |s: f64| step.component_at(component, s * within) - mark;
    // The mark itself counts as passed, so a value of zero at the end has to be on the far side.
    let at_end = beyond(1.0).max(f64::MIN_POSITIVE);
    let at = (within * crossing(beyond, beyond(0.0).min(0.0), at_end, 1e-12)).min(share);
    Passing {
        time_s: step.time_s + at * step.length_s,
        speed_mps: step.component_at(SPEED, at),
        distance_m: step.component_at(DISTANCE, at),
    }
}

/// What limits the car: the first of these that holds. Boost's shortfall is asked for only if it comes to that.
#[inline]
pub(crate) fn limit(instant: &Instant, mode: &Mode, boost_shortfall: impl FnOnce() -> f64) -> Limit {
    if mode.shifting() {
        return Limit::Shift;
    }
    if mode.fuel_cut {
        return Limit::Limiter;
    }
    if instant.past_peak || instant.drive_n >= 0.97 * instant.ceiling_n {
        return Limit::Tyre;
    }
    if matches!(mode.coupling, Coupling::Slipping(_)) {
        return Limit::Clutch;
    }
    if instant.throttle < 0.98 {
        return Limit::Throttle;
    }
    if boost_shortfall() > 0.03 {
        return Limit::Boost;
    }
    if instant.aero_n > 0.5 * instant.drive_n {
        return Limit::Air;
    }
    Limit::Engine
}
