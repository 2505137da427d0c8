//! What became of a launch, from best to worst.

use core::cmp::Ordering;

/// What became of a launch; the better of two is the lesser.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// It arrives and keeps every limit: its time, or its expected time, s.
    Arrives(f64),
    /// It arrives, but the engine is dragged under its idle, by so many rad/s: under that no torque curve says what an engine does, and
    /// within a hair of stalling the model finds starts that nobody can repeat.
    UnderIdle(f64),
    /// It arrives, but the engine is held, or driven before the clutch is fully engaged, above the redline, by so many rad/s.
    AboveRedline(f64),
    /// It arrives, but exceeds a limit: the excesses as fractions of each one's ordinary size, together.
    OverLimit(f64),
    /// It does not arrive: the fraction of the way that is left.
    NotReached(f64),
    /// It could not be computed, or is no longer wanted.
    Failed,
}

impl Verdict {
    fn rank(self) -> (u8, f64) {
        match self {
            Self::Arrives(s) => (0, s),
            Self::UnderIdle(by) => (1, by),
            Self::AboveRedline(by) => (2, by),
            Self::OverLimit(by) => (3, by),
            Self::NotReached(left) => (4, left),
            Self::Failed => (5, 0.0),
        }
    }

    /// Its time, s, if it arrives and keeps every limit.
    #[must_use]
    pub fn time_s(self) -> Option<f64> {
        if let Self::Arrives(s) = self { Some(s) } else { None }
    }

    /// Whether it gets to the target, whatever else it does.
    #[must_use]
    pub fn reaches(self) -> bool {
        !matches!(self, Self::NotReached(_) | Self::Failed)
    }

    /// A number that orders as the verdicts do, for a search that only compares numbers. No time of a run comes near 1e3.
    pub(super) fn for_search(self) -> f64 {
        let (rank, value) = self.rank();
        1e3 * f64::from(rank) + value.clamp(0.0, 999.0)
    }

    /// The better of two.
    #[must_use]
    pub fn better(self, other: Self) -> Self {
        if other < self { other } else { self }
    }
}

impl PartialOrd for Verdict {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        let (a, b) = (self.rank(), other.rank());
        Some(a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdicts_are_ordered_from_best_to_worst_also_for_a_search() {
        let ordered = [
            Verdict::Arrives(4.0),
            Verdict::Arrives(40.0),
            Verdict::UnderIdle(1.0),
            Verdict::UnderIdle(30.0),
            Verdict::AboveRedline(5.0),
            Verdict::OverLimit(0.1),
            Verdict::OverLimit(2.0),
            Verdict::NotReached(0.2),
            Verdict::NotReached(0.9),
            Verdict::Failed,
        ];
        for pair in ordered.windows(2) {
            assert!(pair[0] < pair[1] && pair[0].for_search() < pair[1].for_search(), "{pair:?}");
        }
    }
}
