//! The difference between two days, shared among the conditions in which they differ.
//!
//! Conditions interplay: a tail wind is worth more in dense air. The share of a condition is the mean, over all orders in which the
//! conditions can be changed one after the other, of what its own change does (L. S. Shapley, "A value for n-person games", in
//! Contributions to the Theory of Games II, Princeton 1953, 307-317). So the shares add up to the difference, and what conditions
//! do together is shared evenly between them.

use rayon::prelude::*;
use serde::Serialize;

use super::condition::{CONDITIONS, Condition, Conditions};
use super::timer::{Timer, Times};

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
    for (player, condition) in differing.iter().enumerate() {
        shares_s[*condition as usize] = (0..1_usize << n)
            .filter(|set| set & (1 << player) == 0)
            .map(|set| weight(n, set.count_ones() as usize) * (time_s(set | 1 << player) - time_s(set)))
            .sum();
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

/// Share of the orders of `n` conditions in which exactly a given set of `before` of them comes before a given other one.
fn weight(n: usize, before: usize) -> f64 {
    let factorial = |k: usize| (1..=k).map(|i| i as f64).product::<f64>();
    factorial(before) * factorial(n - before - 1) / factorial(n)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_weights_of_all_sets_add_up_to_one() {
        for n in 1..=CONDITIONS {
            let sum: f64 = (0..1_usize << (n - 1)).map(|set| weight(n, set.count_ones() as usize)).sum();
            assert!((sum - 1.0).abs() < 1e-12, "{n}: {sum}");
        }
    }
}
