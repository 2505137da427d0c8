//! A run as time and distance over speed, and runs spliced from two.
//!
//! Between two speeds a run takes some time and some distance. A run of which the stretch between two speeds is taken from
//! another is what the driver would have had, had that stretch gone as there.

use bitepoint_physics::timing::Mark;

/// Between the speeds, m/s.
pub(crate) const STEP_MPS: f64 = 0.1;

/// Time and distance between neighbouring speeds, from standstill; a speed counts as reached when it first is.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Profile {
    bins: Vec<(f64, f64)>,
}

impl Profile {
    /// From points of a run: time s, speed m/s, distance m, in their order.
    pub(super) fn of(points: impl Iterator<Item = (f64, f64, f64)>) -> Self {
        let mut bins = Vec::new();
        let (mut reached, mut before) = ((0.0, 0.0), (0.0, 0.0, 0.0));
        for point in points {
            loop {
                let level = STEP_MPS * (bins.len() + 1) as f64;
                if point.1 < level {
                    break;
                }
                let share = ((level - before.1) / (point.1 - before.1)).clamp(0.0, 1.0);
                let share = if share.is_finite() { share } else { 1.0 };
                let here = (before.0 + share * (point.0 - before.0), before.2 + share * (point.2 - before.2));
                bins.push((here.0 - reached.0, here.1 - reached.1));
                reached = here;
            }
            before = point;
        }
        Self { bins }
    }

    /// This run with the other's where `taken` says so and where this one has nothing.
    pub(super) fn spliced(&self, other: &Self, taken: &[bool]) -> Self {
        let length = self.bins.len().max(other.bins.len());
        let pick = |i: usize| {
            let (own, others) = (self.bins.get(i), other.bins.get(i));
            let first = if taken.get(i).copied().unwrap_or(false) { others.or(own) } else { own.or(others) };
            first.copied().unwrap_or_default()
        };
        Self { bins: (0..length).map(pick).collect() }
    }

    /// Time to a mark, s; nothing if it is not reached.
    pub(super) fn time_to(&self, mark: Mark) -> Option<f64> {
        let (mut time_s, mut distance_m) = (0.0, 0.0);
        for (i, (dt, dx)) in self.bins.iter().enumerate() {
            let share = match mark {
                Mark::SpeedMps(v) => (v - STEP_MPS * i as f64) / STEP_MPS,
                Mark::DistanceM(x) => (x - distance_m) / dx,
            };
            if share <= 1.0 {
                return Some(time_s + share.max(0.0) * dt);
            }
            time_s += dt;
            distance_m += dx;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At constant acceleration a: t = v/a, x = v²/2a.
    fn constant(a: f64, to_s: f64) -> Profile {
        Profile::of((0..=1000).map(|i| to_s * f64::from(i) / 1000.0).map(|t| (t, a * t, 0.5 * a * t * t)))
    }

    #[test]
    fn times_of_a_constant_acceleration_are_those_of_the_closed_form() {
        let run = constant(4.0, 10.0);
        assert!((run.time_to(Mark::SpeedMps(20.05)).expect("reached") - 5.0125).abs() < 1e-6);
        assert!((run.time_to(Mark::DistanceM(50.0)).expect("reached") - 5.0).abs() < 1e-3);
        assert_eq!(run.time_to(Mark::SpeedMps(41.0)), None);
    }

    #[test]
    fn a_splice_takes_the_time_of_each_part_from_its_own_run() {
        let (slow, quick) = (constant(2.0, 10.0), constant(4.0, 5.0));
        let taken: Vec<bool> = (0..200).map(|i| i < 100).collect();
        let time_s = slow.spliced(&quick, &taken).time_to(Mark::SpeedMps(20.0)).expect("reached");
        assert!((time_s - (10.0 / 4.0 + 10.0 / 2.0)).abs() < 1e-6, "{time_s}");
    }
}
