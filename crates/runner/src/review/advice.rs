//! The one thing to change next.

use serde::Serialize;

use super::cause::Cause;
use super::costs::{Cost, Costs};

/// Less than this is not worth a change, s.
const WORTH_IT_S: f64 = 0.02;

/// A start is reproduced where what stays unexplained is under this share of its gap, and under its largest cost.
const UNEXPLAINED: f64 = 1.0 / 3.0;
/// Less than this unexplained says nothing against a start, s: timing and smoothing leave as much.
const UNEXPLAINED_S: f64 = 0.05;
/// One start alone is reason enough if its cause wins so much, s, and half of the gap.
const CLEAR_S: f64 = 0.15;
/// Starts that otherwise have to show it.
const ENOUGH: usize = 2;

/// What to change, and why.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Advice {
    /// What to do otherwise; nothing where nothing cost enough, or too little shows it.
    pub cause: Option<Cause>,
    /// Starts that had it.
    pub starts: usize,
    /// What changing it alone would win in a start on the mean, s.
    pub mean_won_s: f64,
    /// Index of the start in which it cost most, whose numbers are told.
    pub example: Option<usize>,
    /// Starts whose costs are known and that the model reproduces.
    pub counted: usize,
    /// Starts whose costs are known but that the model cannot reproduce: they are no reason to change anything.
    pub not_reproduced: usize,
}

/// Whether what a start cost is explained well enough to blame something.
fn is_reproduced(costs: &Costs) -> bool {
    let rest_s = costs.rest_s.abs();
    let largest_s = costs.parts.iter().map(|part| part.lost_s).fold(0.0, f64::max);
    rest_s <= UNEXPLAINED_S || rest_s <= UNEXPLAINED * costs.gap_s.abs() && rest_s <= largest_s
}

/// What a change of one thing alone wins; where the car would then stall, its share of the gap.
fn won_s(cost: &Cost) -> f64 {
    cost.alone_s.unwrap_or(cost.lost_s)
}

/// The cause that wins most if it alone is mended, over all starts that the model reproduces.
pub(super) fn advice(starts: &[Option<&Costs>]) -> Advice {
    let known = || starts.iter().enumerate().filter_map(|(i, costs)| Some((i, (*costs)?)));
    let reproduced = || known().filter(|(_, costs)| is_reproduced(costs));
    let counted = reproduced().count();
    let not_reproduced = known().count() - counted;
    // What the cause wins in each start that has it.
    let with = |cause: Cause| {
        reproduced().flat_map(move |(i, costs)| {
            // Nobody is promised more than the whole gap: what seems to win more is beyond what the log can show.
            let most_s = costs.gap_s.max(0.0);
            let parts = costs.parts.iter().filter(move |p| p.cause == cause);
            parts.map(move |p| (i, won_s(p).min(most_s), most_s))
        })
    };
    let total = |cause: Cause| with(cause).map(|(_, won, _)| won).sum::<f64>();
    let had = |cause: Cause| with(cause).filter(|(_, won, _)| *won > WORTH_IT_S).count();
    let is_clear = |cause: Cause| with(cause).any(|(_, won, gap)| won > CLEAR_S && won > 0.5 * gap);
    // A clutch is taken out on the word of two starts, not of one.
    let is_shown = |cause: Cause| had(cause) >= ENOUGH || cause != Cause::Clutch && is_clear(cause);
    let worst = Cause::ALL.into_iter().filter(|c| is_shown(*c)).map(|c| (c, total(c)));
    let worst = worst.max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((cause, all_s)) = worst.filter(|(_, won)| *won > WORTH_IT_S * counted.max(1) as f64) else {
        return Advice { cause: None, starts: 0, mean_won_s: 0.0, example: None, counted, not_reproduced };
    };
    let example = with(cause).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, ..)| i);
    let mean_won_s = all_s / counted.max(1) as f64;
    Advice { cause: Some(cause), starts: had(cause), mean_won_s, example, counted, not_reproduced }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn costs(gap_s: f64, rest_s: f64, parts: &[(Cause, f64)]) -> Costs {
        let part = |(cause, lost_s): &(Cause, f64)| Cost {
            cause: *cause,
            gear: None,
            measured: None,
            planned: 0.0,
            during_s: None,
            lost_s: *lost_s,
            alone_s: None,
            faults: Vec::new(),
        };
        Costs { gap_s, parts: parts.iter().map(part).collect(), rest_s, replay_s: None, replay: Vec::new() }
    }

    fn advised(all: Vec<Costs>) -> Advice {
        advice(&all.iter().map(Some).collect::<Vec<_>>())
    }

    #[test]
    fn a_start_that_the_model_cannot_reproduce_blames_nobody() {
        // A clutch that would explain much more than the gap, undone by what is not explained.
        let odd = costs(0.71, -1.71, &[(Cause::Clutch, 1.93), (Cause::ShiftRevs, 0.22)]);
        let found = advised(vec![odd.clone(), odd]);
        assert_eq!((found.cause, found.counted, found.not_reproduced), (None, 0, 2));
    }

    #[test]
    fn one_start_is_enough_only_for_a_large_clear_effect_and_never_for_a_clutch() {
        let small = costs(0.3, 0.02, &[(Cause::Throttle, 0.1), (Cause::Release, 0.08)]);
        assert_eq!(advised(vec![small.clone()]).cause, None);
        assert_eq!(advised(vec![small.clone(), small]).cause, Some(Cause::Throttle));
        assert_eq!(advised(vec![costs(0.6, 0.0, &[(Cause::Throttle, 0.5)])]).cause, Some(Cause::Throttle));
        assert_eq!(advised(vec![costs(0.6, 0.0, &[(Cause::Clutch, 0.5)])]).cause, None);
    }

    #[test]
    fn nobody_is_promised_more_than_the_gap() {
        let found = advised(vec![costs(0.2, 0.0, &[(Cause::Throttle, 0.9), (Cause::Release, -0.7)])]);
        assert_eq!((found.cause, found.mean_won_s), (Some(Cause::Throttle), 0.2));
    }
}
