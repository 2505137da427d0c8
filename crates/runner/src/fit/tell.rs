//! What a solution says, in values and words.

use bitepoint_inputs::entry::Entry;
use bitepoint_inputs::vehicle::ResolvedVehicle;

use super::driven::{self, TOLD, names};
use super::identify::{Pair, TOGETHER, told};
use super::joint::Joint;
use super::least_squares::Solution;
use super::observed::Observed;
use super::outcome::{CoastFit, Fit, FittedInput, StartFit, StartValue, Trace};

/// Everything that the solution says.
pub(super) fn told_of(
    joint: &Joint<'_>,
    solution: &Solution,
    before: &ResolvedVehicle,
    day: &[Entry],
    all: &[String],
) -> Fit {
    let z = &solution.values;
    let sd: Vec<f64> = solution.standard_errors().iter().map(|s| s.min(1.0)).collect();
    let n = joint.inputs.len();
    let strongest = |i: usize| {
        let others = (0..n).filter(|j| *j != i).map(|j| solution.correlation(i, j));
        others.fold(0.0_f64, |most, c| if c.abs() > most.abs() { c } else { most })
    };
    let inputs: Vec<FittedInput> = all
        .iter()
        .filter_map(|key| {
            let path = key.strip_prefix("part.").unwrap_or(key);
            let mine = before.entries.iter().find(|e| e.key.path == path);
            let entry = mine.or_else(|| day.iter().find(|e| e.key.path == path))?;
            let place = joint.inputs.iter().position(|k| k == key);
            let (z, sd, strongest) = place.map_or((0.0, 1.0, 0.0), |i| (z[i], sd[i], strongest(i)));
            let at = |z: f64| entry.moved_si(z);
            Some(FittedInput {
                key: key.clone(),
                of_vehicle: mine.is_some(),
                before_si: entry.si_value()?,
                before_sd_si: entry.spread_sd_si,
                after_si: at(z)?,
                after_sd_si: 0.5 * (at(z + sd)? - at(z - sd)?).abs(),
                low95_si: at(z - 1.96 * sd)?,
                high95_si: at(z + 1.96 * sd)?,
                moved: z,
                spread_left: sd,
                told: told(z, sd, strongest),
            })
        })
        .collect();
    let mut together = Vec::new();
    for i in 0..n {
        for j in 0..i {
            let correlation = solution.correlation(i, j);
            if correlation.abs() > TOGETHER {
                let (one, other) = (joint.inputs[j].clone(), joint.inputs[i].clone());
                together.push(Pair { one, other, correlation });
            }
        }
    }
    let is_told = |key: &String| inputs.iter().any(|i| i.key == *key && i.told.is_news());
    let places: Vec<usize> = (0..n).filter(|i| is_told(&joint.inputs[*i])).collect();
    let correlation = places.iter().map(|i| places.iter().map(|j| solution.correlation(*i, *j)).collect()).collect();
    let traces = traces(joint, z);
    let (start_traces, coast_traces) = traces.split_at(joint.starts.len());
    Fit {
        inputs,
        together,
        correlation,
        correlated: places.iter().map(|i| joint.inputs[*i].clone()).collect(),
        starts: starts(joint, z, &sd, start_traces),
        coast_downs: joint
            .coasts
            .iter()
            .zip(coast_traces)
            .map(|(c, trace)| CoastFit {
                log: c.log.clone(),
                from_s: c.from_s,
                same_way: c.direction > 0.0,
                neutral: c.neutral,
                trace: trace.clone(),
            })
            .collect(),
        road_load: None,
        left_out: Vec::new(),
        refused: Vec::new(),
        start_misfit: joint.factors[0],
        coast_misfit: joint.factors[1],
        converged: solution.converged,
        notes: Vec::new(),
    }
}

fn traces(joint: &Joint<'_>, z: &[f64]) -> Vec<Trace> {
    let fitted = joint.predicted(z);
    let mut as_before = z.to_vec();
    as_before[..joint.inputs.len()].fill(0.0);
    let before = joint.predicted(&as_before);
    let times = joint.starts.iter().map(|s| &s.time_s).chain(joint.coasts.iter().map(|c| &c.time_s));
    let measured = joint.measured();
    times
        .zip(measured)
        .zip(fitted.into_iter().zip(before))
        .map(|((time_s, (speeds, sd_mps)), (fitted_mps, before_mps))| Trace {
            time_s: time_s.clone(),
            measured_mps: speeds.to_vec(),
            fitted_mps,
            before_mps,
            sd_mps,
        })
        .collect()
}

fn starts(joint: &Joint<'_>, z: &[f64], sd: &[f64], traces: &[Trace]) -> Vec<StartFit> {
    let (car, day) = joint.car_and_day(z);
    let one = |(i, (observed, trace)): (usize, (&&Observed, &Trace))| {
        let driver = joint.driver(z, i);
        let errors = joint.driver(sd, i);
        let value = |(name, which): (&'static str, usize)| {
            let at = |shift: f64| {
                let mut moved = driver.to_vec();
                moved[which] += shift;
                driven::told(observed, &day, &car, which, &moved)
            };
            StartValue {
                name,
                value_si: at(0.0),
                sd_si: 0.5 * (at(errors[which]) - at(-errors[which])).abs(),
                told: told(driver[which], errors[which], 0.0),
            }
        };
        StartFit {
            log: observed.log.clone(),
            first_movement_s: observed.first_movement_s,
            engine_seen: observed.held_radps.is_some() && observed.shifts.is_some(),
            driver: names(&day).into_iter().zip(TOLD).map(value).collect(),
            trace: trace.clone(),
        }
    };
    joint.starts.iter().zip(traces).enumerate().map(one).collect()
}
