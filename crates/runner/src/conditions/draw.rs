//! Everything that is asked, for one draw of the uncertain inputs: all differences are of the same car (common random numbers).

use bitepoint_physics::simulate::Tolerances;
use bitepoint_physics::vehicle::Vehicle;

use super::both_ways::Pair;
use super::condition::{Condition, Conditions};
use super::correction::Corrected;
use super::replacement::{Replacement, replace};
use super::response;
use super::sensitivity::Step;
use super::timer::Timer;
use crate::bands::{FIRST_FREE, deviate, normal, uniform};
use crate::case::Case;

/// What every draw is asked.
#[derive(Debug, Clone)]
pub(super) struct Asked<'a> {
    pub(super) case: &'a Case,
    /// The car as estimated, for which the launch is planned.
    pub(super) expected: &'a Vehicle,
    pub(super) gate: &'static str,
    /// Whether the measured clock starts after the rollout, and whether the reference's does.
    pub(super) with_rollout: [bool; 2],
    pub(super) reference: Conditions,
    pub(super) measured: Option<Measured>,
    /// Where the run back starts on a surveyed road, m.
    pub(super) back_start_m: f64,
    /// Conditions with their values on the day and those at which a response is taken.
    pub(super) ranges: &'a [(Condition, f64, Vec<f64>)],
    pub(super) seed: u32,
}

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Measured {
    pub(super) out_s: f64,
    pub(super) back_s: Option<f64>,
    /// One standard deviation of each, s.
    pub(super) timing_sd_s: f64,
}

/// What a draw answers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawn {
    /// In the order of the steps around the day.
    pub(super) s_per_si: Vec<f64>,
    pub(super) out: Replacement,
    pub(super) corrected: Corrected,
    pub(super) both: Option<Pair>,
    /// Changes over the ranges, s; nothing for draws that are not asked for them.
    pub(super) changes: Option<Vec<Vec<Option<f64>>>>,
}

/// Draws that are asked for responses: enough for a band that is looked at.
const RESPONSE_DRAWS: u32 = 128;

/// Dimensions of what is drawn besides the inputs.
const TIMING_OUT: usize = FIRST_FREE;
const TIMING_BACK: usize = TIMING_OUT + 1;
const METHOD: usize = TIMING_OUT + 2;

impl Asked<'_> {
    /// All answers of one draw; nothing if a run of it does not reach the gate.
    pub(super) fn drawn(&self, draw: u32) -> Option<Drawn> {
        self.timed(draw, |timer, day, reference, rollout_m| {
            let steps = Step::around(day, rollout_m);
            let s_per_si = steps.iter().map(|step| step.slope(timer, day)).collect::<Option<_>>()?;
            let out = replace(timer, day, reference)?;
            let measured = self.measured.unwrap_or(Measured { out_s: out.from_s, back_s: None, timing_sd_s: 0.0 });
            let read = |time_s: f64, dimension| time_s + measured.timing_sd_s * normal(dimension, draw, self.seed);
            let place = uniform(METHOD, draw, self.seed);
            let corrected = Corrected::between(read(measured.out_s, TIMING_OUT), &out, place);
            let both = match measured.back_s {
                None => None,
                Some(back_s) => {
                    let back = replace(timer, &day.the_other_way(self.back_start_m), reference)?;
                    let there_and_back = [corrected, Corrected::between(read(back_s, TIMING_BACK), &back, place)];
                    Some(Pair { out, back, corrected: there_and_back })
                }
            };
            let changes = || {
                let each = self.ranges.iter();
                each.map(|(condition, day_si, values)| response::changes(timer, day, (*condition, *day_si), values))
                    .collect()
            };
            let changes = if draw < RESPONSE_DRAWS { changes() } else { None };
            Some(Drawn { s_per_si, out, corrected, both, changes })
        })
    }

    /// How far a draw's times are from the measured ones, as a share of them; nothing where nothing was measured.
    pub(super) fn away(&self, drawn: &Drawn) -> Option<f64> {
        let measured = self.measured?;
        let out = libm::log(drawn.out.from_s / measured.out_s);
        let Some((back_s, pair)) = measured.back_s.zip(drawn.both) else { return Some(out) };
        let back = libm::log(pair.back.from_s / back_s);
        Some((0.5 * (out * out + back * back)).sqrt())
    }

    /// Hands the draw's car with its day, the reference and the rollout to `ask`.
    fn timed<T>(&self, draw: u32, ask: impl Fn(&Timer<'_>, &Conditions, &Conditions, f64) -> Option<T>) -> Option<T> {
        let (vehicle, scenario) = self.case.drawn(self.expected, &|key| deviate(key, draw, self.seed));
        let clocks = self.with_rollout.map(|with| if with { scenario.rollout_m } else { 0.0 });
        let day = Conditions::of(&scenario, clocks[0]);
        let reference = Conditions { rollout_m: clocks[1], ..self.reference.clone() };
        let timer =
            Timer { vehicle: &vehicle, scenario: &scenario, gate: self.gate, tolerances: Tolerances::default() };
        ask(&timer, &day, &reference, scenario.rollout_m)
    }
}
