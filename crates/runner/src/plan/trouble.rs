//! What goes wrong with a launch, against another that is better.

use bitepoint_physics::run::{Limit, Run, Story};
use serde::Serialize;

use super::judge::Judge;

/// What a worse launch does that the better one does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Trouble {
    /// It stalls, rolls back or does not get there, or does so more often.
    NoStart,
    /// It exceeds a limit that was asked for.
    OverLimit,
    /// The engine bogs.
    Bogs,
    /// The tyres spin for long.
    Spins,
    /// The clutch slips for long.
    Slips,
    /// The driver holds the throttle back for wheelspin, or does so for longer.
    Eases,
    /// It takes a shift more.
    ShiftsMore,
    /// Nothing of note: it waits longer for this.
    WaitsFor(Limit),
}

/// What runs have in common.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Summary {
    not_there: f64,
    over_limit: f64,
    bogs: f64,
    spins: f64,
    slips: f64,
    eases_s: f64,
    shifts: f64,
    limited_s: [f64; 8],
}

/// A share of starts, or a mean count, that must have risen by this to be told.
const RISEN: f64 = 0.3;
/// The same for starts that do not get there: one in fifty costs more than anything else does.
const RISEN_BOTCHED: f64 = 0.02;

impl Summary {
    /// Of runs of one launch; a run that could not be computed is one that does not get there.
    pub(super) fn of(judge: &Judge<'_>, runs: &[Option<Run>]) -> Self {
        let mut sum = Self::default();
        let each = 1.0 / runs.len().max(1) as f64;
        let idle = judge.vehicle.engine.idle_radps;
        for run in runs {
            let Some(run) = run.as_ref().filter(|run| judge.target.time_s(run).is_some()) else {
                sum.not_there += each;
                continue;
            };
            let add = |to: &mut f64, holds: bool| *to += if holds { each } else { 0.0 };
            let story = run.launch.story;
            add(&mut sum.over_limit, !judge.limits.kept_by(run));
            add(&mut sum.bogs, story == Story::Bog || run.launch.lowest_radps < idle);
            add(&mut sum.spins, story == Story::Spin);
            add(&mut sum.slips, story == Story::Slip);
            sum.eases_s += each * run.launch.trimmed_s;
            sum.shifts += each * run.shifts.len() as f64;
            for (total, s) in sum.limited_s.iter_mut().zip(run.limited_s) {
                *total += each * s;
            }
        }
        sum
    }

    /// What is worse here than in `better`.
    pub(super) fn against(&self, better: &Self) -> Trouble {
        let risen = |of: fn(&Self) -> f64| of(self) - of(better);
        let told = [
            (Trouble::NoStart, risen(|s| s.not_there) >= RISEN_BOTCHED),
            (Trouble::OverLimit, risen(|s| s.over_limit) >= RISEN),
            (Trouble::Bogs, risen(|s| s.bogs) >= RISEN),
            (Trouble::Spins, risen(|s| s.spins) >= RISEN),
            (Trouble::Slips, risen(|s| s.slips) >= RISEN),
            (Trouble::ShiftsMore, risen(|s| s.shifts) >= RISEN),
            (Trouble::Eases, risen(|s| s.eases_s) >= RISEN),
        ];
        if let Some((trouble, _)) = told.into_iter().find(|(_, holds)| *holds) {
            return trouble;
        }
        let longer = |limit: Limit| self.limited_s[limit as usize] - better.limited_s[limit as usize];
        let longest =
            Limit::ALL.into_iter().reduce(|most, other| if longer(other) > longer(most) { other } else { most });
        Trouble::WaitsFor(longest.unwrap_or(Limit::Engine))
    }
}
