//! The whole of what is asked about the conditions of a run.

use bitepoint_physics::road::Slope;
use bitepoint_physics::run::{AirEffect, Run};
use bitepoint_physics::simulate::Tolerances;
use rayon::prelude::*;
use serde::Serialize;

use super::both_ways::{BothWays, Pair};
use super::condition::{Condition, Conditions};
use super::correction::{Corrected, Correction};
use super::draw::{Asked, Drawn, Measured};
use super::error::ConditionsError;
use super::reference::Reference;
use super::replacement::{Replacement, replace};
use super::response::{self, Point, Response};
use super::sensitivity::{Sensitivity, sensitivities};
use super::timer::{Timer, Times};
use super::weights::Weights;
use crate::bands::Band;
use crate::case::{Case, Resolved};
use crate::target::{Clock, Target};
use crate::unfinished::unfinished;
use crate::watch::Watch;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// The gate, and the clock of the run.
    pub target: Target,
    /// What to correct to.
    pub reference: Reference,
    /// What was measured; nothing to ask the model alone.
    pub measurement: Option<Measurement>,
    /// Draws of the uncertain inputs for the bands; 0 for none.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u32,
    /// Whether the time is wanted over a range of each condition, too: more than half of all runs.
    pub responses: bool,
}

/// Measured times.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Measurement {
    /// Under the conditions of the scenario, s.
    pub time_s: f64,
    /// In the opposite direction, s.
    pub back_s: Option<f64>,
    /// One standard deviation of each, s.
    pub timing_sd_s: f64,
    /// Where the run back starts, m of the survey; nothing for where the run out reaches the gate.
    pub back_start_m: Option<f64>,
}

/// What the model says of the run before it knows what was measured.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Model {
    /// Time of the car as expected on the day, s.
    pub day_s: f64,
    /// Spread of that time over all draws alike; nothing if none was computed.
    pub band_s: Option<Band>,
    /// Distance covered at the gate on the day, m.
    pub distance_m: f64,
    /// Height gained up to the gate over that distance.
    pub mean_slope: f64,
    /// Its time in the reference, s.
    pub reference_s: f64,
    /// The air on the day and what the engine made of it.
    pub day_air: AirEffect,
    /// The same in the reference.
    pub reference_air: AirEffect,
}

/// What there is to say about the conditions of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// Car and scenario.
    pub resolved: Resolved,
    /// What was asked.
    pub request: Request,
    /// The conditions of the run.
    pub day: Conditions,
    /// The model's run.
    pub model: Model,
    /// Seconds per unit around the day.
    pub sensitivities: Vec<Sensitivity>,
    /// The time over a range of each condition; empty where that was not asked.
    pub responses: Vec<Response>,
    /// The measured time (the model's own if none was measured) corrected to the reference.
    pub correction: Correction,
    /// What a second run in the opposite direction adds.
    pub both_ways: Option<BothWays>,
    /// Draws of which a run did not reach the gate; they are in no band.
    pub failed_draws: u32,
    /// Number of draws that count, in effect: those whose time is near the measured one count most.
    pub effective_draws: f64,
}

/// Error allowed in the runs of the expected car.
const TOLERANCES: Tolerances = Tolerances { relative: 1e-7 };
/// Measured over modelled time, either way, from which they are not of the same kind of run.
const FARTHEST_OFF: f64 = 2.0;

/// Steps of which a watch is told.
#[must_use]
pub fn steps(draws: u32) -> u64 {
    1 + u64::from(draws)
}

/// Studies the conditions of a run.
///
/// # Errors
/// Files that do not go together, a car that does not get to the gate, a measured time that cannot be of this run.
pub fn study(case: &Case, request: &Request, watch: &dyn Watch) -> Result<Study, ConditionsError> {
    let resolved = case.resolve()?;
    let (vehicle, scenario) = (&resolved.vehicle.vehicle, &resolved.scenario.scenario);
    let gate = request.target.gate;
    let with_rollout = [request.target.clock, request.reference.clock].map(|clock| clock == Clock::Rollout);
    if scenario.rollout_m <= 0.0 && with_rollout.contains(&true) {
        return Err(ConditionsError::NoRollout);
    }
    let clocks = with_rollout.map(|with| if with { scenario.rollout_m } else { 0.0 });
    let day = Conditions::of(scenario, clocks[0]);
    let reference = Conditions { rollout_m: clocks[1], ..request.reference.conditions.clone() };
    let timer = Timer { vehicle, scenario, gate, tolerances: TOLERANCES };

    let (day_run, day_times) = reached(&timer, &day, "on the day")?;
    on_the_survey(&day, &day_times, false)?;
    let (reference_run, _) = reached(&timer, &reference, "in the reference")?;
    let measured =
        request.measurement.map(|m| Measured { out_s: m.time_s, back_s: m.back_s, timing_sd_s: m.timing_sd_s });
    let back_start_m =
        request.measurement.and_then(|m| m.back_start_m).unwrap_or_else(|| survey_start_m(&day) + day_times.distance_m);
    let lost = |conditions: &'static str| move || not_reached(conditions);
    let out = replace(&timer, &day, &reference).ok_or_else(lost("between the day and the reference"))?;
    plausible(measured.map(|m| m.out_s), &out, false)?;
    let back = match measured.and_then(|m| m.back_s) {
        None => None,
        Some(back_s) => {
            let there = day.the_other_way(back_start_m);
            let (_, times) = reached(&timer, &there, "on the way back")?;
            on_the_survey(&there, &times, true)?;
            let back = replace(&timer, &there, &reference).ok_or_else(lost("on the way back"))?;
            plausible(Some(back_s), &back, true)?;
            Some((back_s, back))
        }
    };

    let at = |conditions: &Conditions, condition| conditions.value(condition, day_times.distance_m);
    let ranged: &[Condition] = if request.responses { &Condition::ALL } else { &[] };
    let ranges: Vec<(Condition, f64, Vec<f64>)> =
        ranged.iter().copied().map(|c| (c, at(&day, c), response::values(c, at(&day, c), at(&reference, c)))).collect();
    let asked = Asked {
        case,
        expected: vehicle,
        gate,
        with_rollout,
        reference: reference.clone(),
        measured,
        back_start_m,
        ranges: &ranges,
        seed: request.seed,
    };
    let expected = sensitivities(&timer, &day, scenario.rollout_m, day_times.distance_m)
        .ok_or_else(lost("in conditions a little off the day's"))?;
    let changes: Vec<Vec<Option<f64>>> = ranges
        .par_iter()
        .map(|(condition, day_si, values)| response::changes(&timer, &day, (*condition, *day_si), values))
        .collect::<Option<_>>()
        .ok_or_else(lost("on the day"))?;
    watch.done(1);

    let draws = drawn(request.draws, watch, |draw| asked.drawn(draw))?;
    let away: Option<Vec<f64>> = draws.iter().map(|d| asked.away(d)).collect();
    let weights = match away {
        Some(away) if measured.is_some() => Weights::near(&away),
        _ => Weights::even(draws.len()),
    };

    let sensitivities = expected
        .into_iter()
        .enumerate()
        .map(|(i, expected)| {
            let drawn = || draws.iter().map(|d| d.s_per_si[i]);
            let s_per_si = weights.mean(drawn()).unwrap_or(expected.s_per_si);
            Sensitivity { s_per_si, band_s_per_si: weights.band(drawn()), ..expected }
        })
        .collect();
    let responses = ranges
        .iter()
        .enumerate()
        .map(|(i, (condition, day_si, values))| Response {
            condition: *condition,
            day_si: *day_si,
            reference_si: at(&reference, *condition),
            points: points(values, &changes[i], (&draws, &weights), i),
        })
        .collect();
    let models: Vec<Replacement> = draws.iter().map(|d| d.out).collect();
    let corrected: Vec<Corrected> = draws.iter().map(|d| d.corrected).collect();
    let both_ways = back.zip(measured).map(|((back_s, back), measured)| {
        let pairs: Vec<Pair> = draws.iter().filter_map(|d: &Drawn| d.both).collect();
        let start = day.surveyed_m().map(|_| back_start_m);
        let mark = request.target.mark().mark;
        BothWays::new([measured.out_s, back_s], [&out, &back], mark, start, (&pairs, &weights))
    });
    Ok(Study {
        model: Model {
            day_s: out.from_s,
            band_s: Weights::even(draws.len()).band(models.iter().map(|m| m.from_s)),
            distance_m: day_times.distance_m,
            mean_slope: at(&day, Condition::Slope),
            reference_s: out.to_s,
            day_air: day_run.air,
            reference_air: reference_run.air,
        },
        correction: Correction::new(measured.map(|m| m.out_s), &out, &models, &corrected, &weights),
        request: Request {
            reference: Reference { conditions: reference, ..request.reference.clone() },
            ..request.clone()
        },
        resolved,
        day,
        sensitivities,
        responses,
        both_ways,
        failed_draws: request.draws - draws.len() as u32,
        effective_draws: weights.effective(),
    })
}

/// The draws that have an answer, in their order.
fn drawn<T: Send>(
    draws: u32,
    watch: &dyn Watch,
    answer: impl Fn(u32) -> Option<T> + Sync,
) -> Result<Vec<T>, ConditionsError> {
    let answers: Vec<Option<T>> = (0..draws)
        .into_par_iter()
        .map(|draw| {
            if watch.called_off() {
                return None;
            }
            let answer = answer(draw);
            watch.done(1);
            answer
        })
        .collect();
    if watch.called_off() { Err(ConditionsError::CalledOff) } else { Ok(answers.into_iter().flatten().collect()) }
}

/// The points of a response at which the expected car reaches the gate.
fn points(
    values: &[f64],
    expected: &[Option<f64>],
    (draws, weights): (&[Drawn], &Weights),
    range: usize,
) -> Vec<Point> {
    let point = |(i, (at_si, expected)): (usize, (&f64, &Option<f64>))| {
        let of = |d: &Drawn| d.changes.as_ref().and_then(|changes| changes[range][i]);
        let reached: Vec<usize> = (0..draws.len()).filter(|k| of(&draws[*k]).is_some()).collect();
        let weights = weights.of(&reached);
        let changes = || reached.iter().filter_map(|k| of(&draws[*k]));
        let change_s = weights.mean(changes());
        expected.map(|expected| Point {
            at_si: *at_si,
            change_s: change_s.unwrap_or(expected),
            band_s: weights.band(changes()),
        })
    };
    values.iter().zip(expected).enumerate().filter_map(point).collect()
}

/// The run and its times, or why there are none.
fn reached(timer: &Timer<'_>, conditions: &Conditions, when: &'static str) -> Result<(Run, Times), ConditionsError> {
    let run = timer.run(conditions).map_err(ConditionsError::Run)?;
    if let Some(times) = Times::of(&run, timer.gate) {
        return Ok((run, times));
    }
    if run.gate(timer.gate).is_some() {
        return Err(ConditionsError::WithinRollout);
    }
    match unfinished(timer.vehicle, &conditions.put_into(timer.scenario), &run) {
        Some(why) => Err(ConditionsError::NotReached { when, why: Some(why), run: Some(Box::new(run)) }),
        None => Err(not_reached(when)),
    }
}

fn not_reached(when: &'static str) -> ConditionsError {
    ConditionsError::NotReached { when, why: None, run: None }
}

/// Where the car starts on the survey, m; 0 on a constant slope.
fn survey_start_m(day: &Conditions) -> f64 {
    match day.slope {
        Slope::Profile { start_m, .. } => start_m,
        Slope::Constant { .. } => 0.0,
    }
}

/// A gate at a survey's end is passed there, but for the last digits of where, m.
const LAST_DIGITS_M: f64 = 1e-6;

/// Beyond its ends a survey says nothing; a run that goes there is not that of the road.
fn on_the_survey(conditions: &Conditions, times: &Times, back: bool) -> Result<(), ConditionsError> {
    match conditions.surveyed_m() {
        Some((first_m, last_m)) if times.distance_m > last_m + LAST_DIGITS_M || first_m > LAST_DIGITS_M => {
            Err(ConditionsError::OffTheSurvey { back, run_m: times.distance_m, ahead_m: last_m, behind_m: -first_m })
        }
        _ => Ok(()),
    }
}

fn plausible(measured_s: Option<f64>, model: &Replacement, back: bool) -> Result<(), ConditionsError> {
    match measured_s {
        Some(measured_s) if !(1.0 / FARTHEST_OFF..=FARTHEST_OFF).contains(&(measured_s / model.from_s)) => {
            Err(ConditionsError::Implausible { back, measured_s, model_s: model.from_s })
        }
        _ => Ok(()),
    }
}
