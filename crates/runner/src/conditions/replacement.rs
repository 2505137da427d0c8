//! The difference between two days, shared among the conditions in which they differ.
//!
//! Conditions interplay: a tail wind is worth more in dense air. `crate::shapley` shares what they do together.

use rayon::prelude::*;
use serde::Serialize;

use super::condition::{CONDITIONS, Condition, Conditions};
use super::timer::{Timer, Times};
use crate::shapley::shares;

/// What taking one day's conditions out and putting another's in does to the model's time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Replacement {
    /// Time under the first conditions, s.
    pub from_s: f64,
    /// Time under the others, s.
    pub to_s: f64,
    /// Time with the others' slope and wind in the first one's air and on its clock, s.
    pub level_s: f64,
    /// Share of each condition in `to_s - from_s`, s.
    pub shares_s: [f64; CONDITIONS],
}

/// Replaces all conditions of `from` by those of `to`: a run for each set of conditions that can be replaced. The clocks of the
/// two must be the same, or one of them start at first movement. Nothing if a run does not reach the gate.
#[must_use]
pub fn replace(timer: &Timer<'_>, from: &Conditions, to: &Conditions) -> Option<Replacement> {
    let differing: Vec<Condition> = Condition::ALL.into_iter().filter(|c| !from.same(*c, to)).collect();
    // One run has both clocks, so that the rollout needs none of its own.
    let driven: Vec<Condition> = differing.iter().copied().filter(|c| *c != Condition::Rollout).collect();
    let rollout_m = from.rollout_m.max(to.rollout_m);
    let times: Vec<Times> = (0..1_usize << driven.len())
        .into_par_iter()
        .map(|set| {
            let conditions = mixed(from, to, &driven, set);
            timer.times(&Conditions { rollout_m, ..conditions })
        })
        .collect::<Option<_>>()?;
    let time_s = |set: usize| {
        // The rollout, where it differs, comes last and so has the highest bit.
        let clock = if set >> driven.len() == 0 { from.rollout_m } else { to.rollout_m };
        times[set & (times.len() - 1)].on_clock_s(clock)
    };
    let n = differing.len();
    let mut shares_s = [0.0; CONDITIONS];
    let values: Vec<Option<f64>> = (0..1_usize << n).map(|set| Some(time_s(set))).collect();
    for (condition, share_s) in differing.iter().zip(shares(n, &values)?) {
        shares_s[*condition as usize] = share_s;
    }
    let road = [Condition::Slope, Condition::Wind];
    let level = driven.iter().enumerate().filter(|(_, c)| road.contains(c)).fold(0, |set, (i, _)| set | 1 << i);
    Some(Replacement { from_s: time_s(0), to_s: time_s((1 << n) - 1), level_s: time_s(level), shares_s })
}

/// Those of `from` with the conditions in `set` (a bit each) as in `to`.
fn mixed(from: &Conditions, to: &Conditions, among: &[Condition], set: usize) -> Conditions {
    let taken = among.iter().enumerate().filter(|(i, _)| set & (1 << i) != 0);
    taken.fold(from.clone(), |mixed, (_, condition)| mixed.with(*condition, to))
}
