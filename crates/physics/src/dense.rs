//! Values within a step: the cubic through both ends and their rates, its peaks, and where it crosses a mark.

use crate::elementary::larger;
use crate::integrator::Step;

impl<const N: usize> Step<N> {
    /// State within an accepted step, at `share` of its length: the cubic through both ends and their rates.
    #[allow(clippy::needless_range_loop, reason = "the index stands for a state in several arrays at once")]
    pub(crate) fn at(&self, share: f64) -> [f64; N] {
        // The same expression as for one component, in a plain loop: that is done several components at a time.
        let (s, r, h) = (share, 1.0 - share, self.length_s);
        let mut y = [0.0; N];
        for n in 0..N {
            let (low, high) = (self.from[n], self.to[n]);
            y[n] = r * low
                + s * high
                + s * r * (r * (h * self.from_rates[n] - (high - low)) - s * (h * self.to_rates[n] - (high - low)));
        }
        y
    }

    /// One component of [`Step::at`].
    #[inline]
    pub(crate) fn component_at(&self, n: usize, share: f64) -> f64 {
        let (s, r) = (share, 1.0 - share);
        let h = self.length_s;
        let (low, high) = (self.from[n], self.to[n]);
        // Written as the straight line plus a bubble: exact at both ends.
        r * low
            + s * high
            + s * r * (r * (h * self.from_rates[n] - (high - low)) - s * (h * self.to_rates[n] - (high - low)))
    }

    /// Rates within an accepted step, of the same cubic.
    pub(crate) fn rates_at(&self, share: f64) -> [f64; N] {
        core::array::from_fn(|n| self.rate_at(n, share))
    }

    /// One component of [`Step::rates_at`].
    #[inline]
    fn rate_at(&self, n: usize, share: f64) -> f64 {
        let change = self.to[n] - self.from[n];
        let early = self.length_s * self.from_rates[n] - change;
        let late = self.length_s * self.to_rates[n] - change;
        let slope =
            change + early * (1.0 - 4.0 * share + 3.0 * share * share) - late * (2.0 * share - 3.0 * share * share);
        slope / self.length_s
    }

    /// Largest value of component `n` within the first `share` of the step: inside if its rate changes from rising to
    /// falling there, else at an end.
    pub(crate) fn largest(&self, n: usize, share: f64) -> f64 {
        let end = if share < 1.0 { self.component_at(n, share) } else { self.to[n] };
        let ends = larger(self.from[n], end);
        match top(self.from_rates[n], self.to_rates[n]) {
            Some(top) if top < share => ends.max(self.component_at(n, top)),
            _ => ends,
        }
    }

    /// Largest rate of component `n` inside the first `share` of the step, where the cubic's slope turns from rising to
    /// falling; nothing if it does not.
    pub(crate) fn largest_rate_inside(&self, n: usize, share: f64) -> Option<f64> {
        let change = self.to[n] - self.from[n];
        let early = self.length_s * self.from_rates[n] - change;
        let late = self.length_s * self.to_rates[n] - change;
        let top = (2.0 * early + late) / (3.0 * (early + late));
        let inside = early + late < 0.0 && top > 0.0 && top < share;
        inside.then(|| self.rate_at(n, top))
    }
}

/// Where in a step, as a share of it, a value is largest that rises at the rate `early` at its beginning and `late` at its end; nothing if
/// it does not turn from rising to falling. By a parabola through both: good to the order of the cubic.
#[inline]
pub(crate) fn top(early: f64, late: f64) -> Option<f64> {
    (early > 0.0 && late < 0.0).then(|| early / (early - late))
}

/// Where a function that is at most zero at share 0 and above zero at share 1 crosses zero,
/// to within `width` (in shares): regula falsi with the Illinois rule, bisection where that stalls.
///
/// Returns the upper end of the last bracket, so that the function is above zero there.
pub(crate) fn crossing(mut value: impl FnMut(f64) -> f64, at_start: f64, at_end: f64, width: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    let (mut f_low, mut f_high) = (at_start, at_end);
    let mut side = 0;
    for turn in 0..100 {
        if high - low <= width {
            break;
        }
        let falsi = (low * f_high - high * f_low) / (f_high - f_low);
        let stalled = turn % 4 == 3 || !(falsi > low && falsi < high);
        // Steps a width to each side close the bracket once the root is known to that width.
        let middle = if stalled { 0.5 * (low + high) } else { falsi.clamp(low + 0.25 * width, high - 0.25 * width) };
        let f_middle = value(middle);
        if f_middle > 0.0 {
            (high, f_high) = (middle, f_middle);
            if side == 1 {
                f_low *= 0.5;
            }
            side = 1;
        } else {
            (low, f_low) = (middle, f_middle);
            if side == -1 {
                f_high *= 0.5;
            }
            side = -1;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dense_output_meets_both_ends_and_is_cubic_between() {
        let cubic = |t: f64| 1.0 + 2.0 * t - t * t + 0.5 * t * t * t;
        let slope = |t: f64| 2.0 - 2.0 * t + 1.5 * t * t;
        let mut step: Step<1> = Step::new();
        step.length_s = 2.0;
        (step.from, step.from_rates) = ([cubic(0.0)], [slope(0.0)]);
        (step.to, step.to_rates) = ([cubic(2.0)], [slope(2.0)]);
        for i in 0..=10 {
            let share = f64::from(i) / 10.0;
            assert!((step.at(share)[0] - cubic(2.0 * share)).abs() < 1e-14);
        }
    }

    #[test]
    fn the_largest_rate_within_a_step_is_that_of_its_cubic() {
        // t + 3 t² - t³ is steepest at t = 1, with a rate of 4.
        let mut step: Step<1> = Step::new();
        step.length_s = 1.5;
        (step.from, step.from_rates) = ([0.0], [1.0]);
        (step.to, step.to_rates) = ([1.5 + 6.75 - 3.375], [1.0 + 9.0 - 6.75]);
        let rate = step.largest_rate_inside(0, 1.0).expect("it lies within");
        assert!((rate - 4.0).abs() < 1e-12, "{rate}");
        assert_eq!(step.largest_rate_inside(0, 0.6), None);
    }

    #[test]
    fn a_crossing_is_found_from_above_also_across_a_jump() {
        let root = crossing(|s| s * s * s - 0.2, -0.2, 0.8, 1e-10);
        assert!((root - 0.2_f64.cbrt()).abs() < 1e-10 && root * root * root >= 0.2);
        let jump = crossing(|s| if s < 0.37 { -1.0 } else { 1e3 }, -1.0, 1e3, 1e-10);
        assert!((jump - 0.37).abs() < 1e-10);
    }
}
