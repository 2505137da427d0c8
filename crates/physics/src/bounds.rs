//! What no driver can beat, and where a run's time over that goes.
//!
//! The first bound lets the tyres work at their peaks and the engine at its peak power at every speed, through the best
//! gear's efficiency, with all the energy that a flywheel at the limiter can hold to start with. The second adds what this
//! gearbox takes away: no torque while the pedal is above the bite point and the gear changes, at the latest possible
//! speed (where a lost instant costs least), and no gear beyond the limiter.

use serde::Serialize;

use crate::road::GRAVITY_MPS2;
use crate::run::{Limit, Run, Sample};
use crate::timing::{GATES, Mark};
use crate::tyre::Tyre;
use crate::vehicle::{Scenario, Vehicle};

/// Two bounds on the time to one mark, and the time lost against the first of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Standing {
    /// Name of the gate.
    pub gate: &'static str,
    /// The run's time from first movement, s.
    pub run_s: f64,
    /// Perfect slip, peak power at every speed, no shifts, s.
    pub traction_and_power_s: f64,
    /// The same with this gearbox's shifts, s.
    pub with_shifts_s: f64,
    /// Time lost to each cause against the first bound, s, in the order of `Limit::ALL`; adds up to the difference.
    pub lost_s: [f64; 8],
}

const STEP_S: f64 = 1e-3;

/// The best that the car could do from rest.
#[derive(Debug, Clone, Default)]
struct Best {
    time_s: Vec<f64>,
    distance_m: Vec<f64>,
    speed_mps: Vec<f64>,
}

/// Shifts of a bound: where, how long without torque, and what they give back.
#[derive(Debug, Clone, Copy)]
struct Coast {
    at_mps: f64,
    duration_s: f64,
    /// What shafts and gearbox input hold at most and may give to the car meanwhile, J.
    kick_j: f64,
}

struct Ideal<'a> {
    vehicle: &'a Vehicle,
    scenario: &'a Scenario,
    half_density: f64,
    /// Mass of translation with the wheels that only roll, and what the driven wheels add to the engine's load, kg.
    mass_kg: f64,
    driven_kg: f64,
    power_w: f64,
    flywheel_j: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Motion {
    distance_m: f64,
    speed_mps: f64,
    transfer_n: f64,
    transfer_rate: f64,
    stored_j: f64,
}

fn inertia_as_mass(tyre: &Tyre) -> f64 {
    2.0 * tyre.wheel_inertia_kgm2 / (tyre.rolling_radius_m * tyre.rolling_radius_m)
}

impl<'a> Ideal<'a> {
    fn new(vehicle: &'a Vehicle, scenario: &'a Scenario) -> Self {
        let engine = &vehicle.engine;
        let factor = engine.rated_to.torque_factor(&scenario.air, engine.air_correction_share);
        let (_, flat_out_w) = engine.full_load_nm.largest(4000, |speed, torque| speed * torque);
        let gears = 0..vehicle.gearbox.gears.len();
        let efficiency = gears.map(|g| vehicle.gearbox.overall_efficiency(g)).fold(0.0, f64::max);
        let cut = engine.limiter.cut_radps;
        let input = vehicle.gearbox.input_inertia_kgm2
            + vehicle.gearbox.gears.iter().map(|g| g.inertia_kgm2).fold(0.0, f64::max);
        let of = |driven: bool, tyre: &Tyre| {
            if driven { (0.0, inertia_as_mass(tyre)) } else { (inertia_as_mass(tyre), 0.0) }
        };
        let front = of(vehicle.drives_front(), &vehicle.front_tyre);
        let rear = of(vehicle.drives_rear(), &vehicle.rear_tyre);
        Self {
            vehicle,
            scenario,
            half_density: 0.5 * scenario.air.density_kg_per_m3(),
            mass_kg: vehicle.chassis.mass_kg + front.0 + rear.0,
            driven_kg: front.1 + rear.1,
            power_w: flat_out_w * factor * efficiency,
            flywheel_j: 0.5 * (engine.inertia_kgm2 + input) * cut * cut,
        }
    }

    /// Peak force of the driven tyres (N) with this load moved to the rear.
    fn traction_n(&self, speed_mps: f64, transfer_n: f64, cosine: f64) -> f64 {
        let (front, rear) = self.loads(speed_mps, transfer_n, cosine);
        let surface = &self.scenario.surface;
        let peak = |driven: bool, tyre: &Tyre, load: f64| {
            // Sides that differ have, at best, the mean of both.
            if driven { tyre.magic_formula.peak_friction(0.5 * load, surface) * load } else { 0.0 }
        };
        peak(self.vehicle.drives_front(), &self.vehicle.front_tyre, front)
            + peak(self.vehicle.drives_rear(), &self.vehicle.rear_tyre, rear)
    }

    fn loads(&self, speed_mps: f64, transfer_n: f64, cosine: f64) -> (f64, f64) {
        let wind = speed_mps + self.scenario.headwind_mps;
        self.vehicle.chassis.axle_loads(transfer_n, self.half_density * wind * wind, cosine)
    }

    /// Rates of the motion, with or without drive.
    fn rates(&self, m: &Motion, drive: bool) -> Motion {
        let chassis = &self.vehicle.chassis;
        let sine = self.scenario.slope.sine(m.distance_m);
        let cosine = (1.0 - sine * sine).sqrt();
        let wind = m.speed_mps + self.scenario.headwind_mps;
        let (front, rear) = self.loads(m.speed_mps, m.transfer_n, cosine);
        let rolling = self.scenario.surface.rolling_resistance_scale
            * (self.vehicle.front_tyre.rolling_coefficient(m.speed_mps) * front
                + self.vehicle.rear_tyre.rolling_coefficient(m.speed_mps) * rear);
        let along = GRAVITY_MPS2 * sine;
        let resistance =
            self.half_density * chassis.drag_area_m2 * wind * wind.abs() + rolling + chassis.mass_kg * along;
        let force = if drive { self.drive_n(m, resistance, along, cosine) } else { 0.0 };
        let acceleration = (force - resistance) / self.mass_kg;
        let drawn_w = (force + self.driven_kg * acceleration) * m.speed_mps;
        Motion {
            distance_m: m.speed_mps,
            speed_mps: acceleration,
            transfer_n: m.transfer_rate,
            transfer_rate: chassis.transfer_acceleration(
                m.transfer_n,
                m.transfer_rate,
                chassis.steady_transfer_n(acceleration, along),
            ),
            stored_j: self.power_w - if drive { drawn_w } else { 0.0 },
        }
    }

    fn drive_n(&self, m: &Motion, resistance_n: f64, along_mps2: f64, cosine: f64) -> f64 {
        // Pitch lags behind; a bound takes whichever of lagging and steady transfer gives more grip.
        let grip = self.traction_n(m.speed_mps, m.transfer_n, cosine);
        let by_power = if m.stored_j > 0.0 {
            f64::INFINITY
        } else {
            (self.power_w / m.speed_mps.max(1e-3) + self.driven_kg * resistance_n / self.mass_kg)
                / (1.0 + self.driven_kg / self.mass_kg)
        };
        if by_power <= grip {
            return by_power;
        }
        let mut steady = grip;
        for _ in 0..12 {
            let acceleration = (steady - resistance_n) / self.mass_kg;
            let transfer = self.vehicle.chassis.steady_transfer_n(acceleration, along_mps2);
            steady = self.traction_n(m.speed_mps, transfer, cosine);
        }
        grip.max(steady).min(by_power)
    }

    /// Follows the bound for `duration_s`, with these shifts and no more speed than `most_mps`.
    fn follow(&self, duration_s: f64, coasts: &[Coast], most_mps: f64) -> Best {
        let along = GRAVITY_MPS2 * self.scenario.slope.sine(0.0);
        let mut m = Motion {
            transfer_n: self.vehicle.chassis.steady_transfer_n(0.0, along),
            stored_j: self.flywheel_j,
            ..Motion::default()
        };
        let mut best = Best::default();
        let mut next = 0;
        let mut coast_left_s = 0.0;
        let mut time_s = 0.0;
        loop {
            best.time_s.push(time_s);
            best.distance_m.push(m.distance_m);
            best.speed_mps.push(m.speed_mps);
            if time_s >= duration_s {
                return best;
            }
            if coast_left_s <= 0.0 && coasts.get(next).is_some_and(|c| m.speed_mps >= c.at_mps) {
                coast_left_s = coasts[next].duration_s;
                m.speed_mps = (m.speed_mps * m.speed_mps + 2.0 * coasts[next].kick_j / self.mass_kg).sqrt();
                next += 1;
            }
            let drive = coast_left_s <= 0.0;
            let h = if drive { STEP_S } else { STEP_S.min(coast_left_s) };
            coast_left_s -= h;
            let first = self.rates(&m, drive);
            let second = self.rates(&moved(&m, &first, h), drive);
            let mean = Motion {
                distance_m: 0.5 * (first.distance_m + second.distance_m),
                speed_mps: 0.5 * (first.speed_mps + second.speed_mps),
                transfer_n: 0.5 * (first.transfer_n + second.transfer_n),
                transfer_rate: 0.5 * (first.transfer_rate + second.transfer_rate),
                stored_j: 0.5 * (first.stored_j + second.stored_j),
            };
            m = moved(&m, &mean, h);
            m.stored_j = m.stored_j.min(self.flywheel_j);
            m.speed_mps = m.speed_mps.clamp(0.0, most_mps);
            time_s += h;
        }
    }

    /// The best for `duration_s` with each possible number of this gearbox's shifts.
    fn with_shifts(&self, duration_s: f64) -> Vec<Best> {
        let gearbox = &self.vehicle.gearbox;
        let cut = self.vehicle.engine.limiter.cut_radps;
        let radius = if self.vehicle.drives_rear() { &self.vehicle.rear_tyre } else { &self.vehicle.front_tyre }
            .rolling_radius_m;
        let open_s = gearbox.shift.change_s
            + self.vehicle.clutch.bite_point * (gearbox.shift.clutch_out_s + gearbox.shift.clutch_in_s);
        let limiter_mps = |gear: usize| cut / gearbox.overall_ratio(gear) * radius;
        let most_nm = self.vehicle.engine.full_load_nm.largest(500, |_, torque| torque).1;
        let coasts: Vec<Coast> = (0..gearbox.gears.len() - 1)
            .map(|gear| {
                let shaft_nm = most_nm * gearbox.overall_ratio(gear);
                let input = gearbox.input_inertia_kgm2 + gearbox.gears[gear].inertia_kgm2;
                Coast {
                    at_mps: limiter_mps(gear),
                    duration_s: open_s,
                    kick_j: 0.5 * input * cut * cut
                        + 0.5 * shaft_nm * shaft_nm / self.vehicle.driveline.stiffness_nm_per_rad,
                }
            })
            .collect();
        (0..gearbox.gears.len()).map(|shifts| self.follow(duration_s, &coasts[..shifts], limiter_mps(shifts))).collect()
    }
}

fn moved(m: &Motion, rates: &Motion, h: f64) -> Motion {
    Motion {
        distance_m: m.distance_m + h * rates.distance_m,
        speed_mps: (m.speed_mps + h * rates.speed_mps).max(0.0),
        transfer_n: m.transfer_n + h * rates.transfer_n,
        transfer_rate: m.transfer_rate + h * rates.transfer_rate,
        stored_j: m.stored_j + h * rates.stored_j,
    }
}

/// Value of `y` where `x` is `at`, by straight lines; `x` does not fall.
fn interpolate(x: &[f64], y: &[f64], at: f64) -> f64 {
    let above = x.partition_point(|v| *v < at).clamp(1, x.len() - 1);
    let (x0, x1) = (x[above - 1], x[above]);
    if x1 <= x0 {
        return y[above];
    }
    y[above - 1] + (y[above] - y[above - 1]) * (at - x0) / (x1 - x0)
}

impl Best {
    fn time_to(&self, mark: Mark) -> f64 {
        let (x, at) = match mark {
            Mark::DistanceM(at) => (&self.distance_m, at),
            Mark::SpeedMps(at) => (&self.speed_mps, at),
        };
        if x.last().is_none_or(|last| *last < at) {
            return f64::INFINITY;
        }
        interpolate(x, &self.time_s, at)
    }

    /// Time that the best would still need from a place and a speed to the mark, s.
    fn still_s(&self, mark: Mark, distance_m: f64, speed_mps: f64) -> f64 {
        let here_s = interpolate(&self.speed_mps, &self.time_s, speed_mps);
        match mark {
            Mark::SpeedMps(at) => interpolate(&self.speed_mps, &self.time_s, at) - here_s,
            Mark::DistanceM(at) => {
                let here_m = interpolate(&self.speed_mps, &self.distance_m, speed_mps);
                interpolate(&self.distance_m, &self.time_s, here_m + at - distance_m) - here_s
            }
        }
    }
}

/// The first bound on the time from first movement to a mark, s; nothing if the mark is not reached within `within_s`.
#[must_use]
pub fn traction_and_power_s(vehicle: &Vehicle, scenario: &Scenario, mark: Mark, within_s: f64) -> Option<f64> {
    let best = Ideal::new(vehicle, scenario).follow(within_s, &[], f64::INFINITY);
    Some(best.time_to(mark)).filter(|s| s.is_finite())
}

/// Where a run stands against its bounds at the gates of these names; gates that were not passed are left out.
///
/// `samples` are those of the same run. The time lost between two samples is the time that passed less what the best car
/// would have gained by the same change of place and speed, so that the parts add up to run less bound exactly.
#[must_use]
pub fn standings(
    vehicle: &Vehicle,
    scenario: &Scenario,
    run: &Run,
    samples: &[Sample],
    gates: &[&str],
) -> Vec<Standing> {
    let ideal = Ideal::new(vehicle, scenario);
    // No bound needs longer than the run that it bounds.
    let passed = gates.iter().filter_map(|name| run.gate(name));
    let duration_s = passed.map(|p| p.time_s).fold(0.0, f64::max) + STEP_S;
    let best = ideal.follow(duration_s, &[], f64::INFINITY);
    let shifted = ideal.with_shifts(duration_s);
    gates
        .iter()
        .filter_map(|name| {
            let gate = GATES.iter().find(|g| g.name == *name)?;
            let passed = run.gate(name)?;
            let mut lost_s = [0.0; 8];
            let (mut since_s, mut still_s) = (0.0, best.still_s(gate.mark, 0.0, 0.0));
            let mut cause = Limit::Clutch;
            let within = samples.iter().filter(|s| s.time_s > 0.0 && s.time_s < passed.time_s);
            for s in within {
                let now_s = best.still_s(gate.mark, s.distance_m, s.speed_mps);
                lost_s[cause as usize] += s.time_s - since_s + now_s - still_s;
                (since_s, still_s, cause) = (s.time_s, now_s, s.limit);
            }
            lost_s[cause as usize] += passed.time_s - since_s - still_s;
            let traction_and_power_s = best.time_to(gate.mark);
            let fewest_s = shifted.iter().map(|best| best.time_to(gate.mark)).fold(f64::INFINITY, f64::min);
            Some(Standing {
                gate: gate.name,
                run_s: passed.time_s,
                traction_and_power_s,
                // What shafts may give back while the pedal is down is generous; the first bound holds all the same.
                with_shifts_s: fewest_s.max(traction_and_power_s),
                lost_s,
            })
        })
        .collect()
}
