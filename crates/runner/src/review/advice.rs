//! The one thing to change next.

use serde::Serialize;

use super::cause::Cause;
use super::costs::Cost;
use super::make::Reviewed;

/// Less than this is not worth a change, s.
const WORTH_IT_S: f64 = 0.02;

/// What to change, and why.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Advice {
    /// What to do otherwise; nothing where nothing cost enough.
    pub cause: Option<Cause>,
    /// Starts that had it.
    pub starts: usize,
    /// What changing it alone would win in a start on the mean, s.
    pub mean_won_s: f64,
    /// Index of the start in which it cost most, whose numbers are told.
    pub example: Option<usize>,
    /// Starts whose costs are known.
    pub counted: usize,
}

/// What a change of one thing alone wins; where the car would then stall, its share of the gap.
fn won_s(cost: &Cost) -> f64 {
    cost.alone_s.unwrap_or(cost.lost_s)
}

/// The cause that wins most if it alone is mended, over all starts with costs.
pub(super) fn advice(starts: &[Reviewed]) -> Advice {
    let counted = starts.iter().filter(|s| s.costs.is_some()).count();
    let with = |cause: Cause| {
        starts.iter().enumerate().flat_map(move |(i, s)| {
            s.costs.iter().flat_map(move |costs| {
                // Nobody is promised more than the whole gap: what seems to win more is beyond what the log can show.
                let most_s = costs.gap_s.max(0.0);
                let parts = costs.parts.iter().filter(move |p| p.cause == cause);
                parts.map(move |p| (i, won_s(p).min(most_s)))
            })
        })
    };
    let total = |cause: Cause| with(cause).map(|(_, won)| won).sum::<f64>();
    let worst = Cause::ALL.into_iter().map(|c| (c, total(c))).max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((cause, all_s)) = worst.filter(|(_, won)| *won > WORTH_IT_S * counted.max(1) as f64) else {
        return Advice { cause: None, starts: 0, mean_won_s: 0.0, example: None, counted };
    };
    let example = with(cause).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i);
    let had = with(cause).filter(|(_, won)| *won > WORTH_IT_S).count();
    Advice { cause: Some(cause), starts: had, mean_won_s: all_s / counted.max(1) as f64, example, counted }
}
