//! Adaptive, error-controlled steps of an additive Runge-Kutta method, with dense output.
//!
//! The method is ARK4(3)6L[2]SA of C. A. Kennedy and M. H. Carpenter, "Additive Runge-Kutta schemes for
//! convection-diffusion-reaction equations", Applied Numerical Mathematics 44 (2003) 139-181: order 4 in six stages with an
//! embedded method of order 3; the implicit half is L-stable and stiffly accurate. Here the rates `f` are split at each
//! step into `A y`, treated implicitly, and the rest, treated explicitly; with `d = 1/(hγ)` and the stage's change
//! `Y_i = y + D_i` that is
//!
//! ```text
//! R_i = h Σ_{j<i} (e_ij f(Y_j) + (a_ij - e_ij) A D_j),   (I - hγA) D_i = R_i,   A D_i = d (D_i - R_i)
//! y⁺ = Y_6 + P h Σ (b_i - e_6i) (f(Y_i) - A D_i),   P = 2S - S²,   S = 1/(I - hγA)
//! ```
//!
//! With `P = I` the last line is the paper's `y + h Σ b_i f(Y_i)`; `P` is one to the order of the method and takes the
//! stiff part out, without which rigid shafts or tyres throw the end of a step off where they hold it.
//!
//! Order and estimate hold whatever matrix `A` is, as in a W-method. That is why it is here: the wheel on its tyre (some
//! 40 Hz, damped by slip at a rate of speed over relaxation length) forces an explicit pair to steps of some 13 ms to the
//! end of the run, long after there is anything to see. Only a handful of states take part in that stiffness, so `A`
//! holds those alone, in closed form, and everything else is treated explicitly at no cost.
//!
//! What was weighed, over 100 to 200 random cars, scenarios and drivers, as mean evaluations a run for the 90th percentile of
//! the gate errors in ms: ROS34PW2 (W-method of order 3, Rang and Angermann 2005) 5,220 for 0.16; ARK3(2)4L[2]SA 3,890 for
//! 0.78; ARK4(3)7L[2]SA (Kennedy and Carpenter 2019) 4,550 for 0.19; this one 4,400 for 0.21 and 5,270 for 0.11, in half as
//! many steps as ROS34PW2. Other sizes of the states, other first steps after a switch, and landing on events with a
//! step of their own instead of dense output moved along the same curve of error against cost, not off it.
//!
//! No general-purpose crate was found that offers such a method with a matrix of the caller's own structure, located
//! events and steps without allocation. On the same equations without switches, at equal error in one run of
//! `tests/benches/solvers`, ode_solvers' Dormand-Prince pair took 3.9 times as long, diffsol's ESDIRK and BDF 5.4 and 6.0,
//! and SUNDIALS CVODE 13.8.

/// The differential equations as the integrator sees them.
///
/// States come in three kinds, in this order: sums, explicit ones, and those with rows in the matrix.
pub(crate) trait System<const N: usize> {
    /// From here on states take part in the equations; those before are sums that no rate depends on.
    /// They are left as they are in a stage's argument, and their error is not looked at.
    const EXPLICIT: usize;
    /// From here on states have rows and columns in the matrix.
    const IMPLICIT: usize;

    /// Writes the rates of `y` at `time_s`.
    fn rates(&mut self, time_s: f64, y: &[f64; N], rates: &mut [f64; N]);

    /// The same, and takes `y` as the point about which the matrix is formed.
    fn rates_and_terms(&mut self, time_s: f64, y: &[f64; N], rates: &mut [f64; N]);

    /// Forms `A` at the point of the last [`System::rates_and_terms`] and factors `d I - A`.
    fn factor(&mut self, d: f64);

    /// Replaces the implicit states of `r` by the solution of `(d I - A) u = r`, with the `d` of the last [`System::factor`].
    fn solve(&self, r: &mut [f64; N]);

    /// Makes states that are tied to others follow them; the ties are linear, so that they hold for changes too.
    fn tie(&self, y: &mut [f64; N]);
}

const STAGES: usize = 6;
const GAMMA: f64 = 0.25;
/// Explicit half.
const EXPLICIT: [[f64; 5]; STAGES] = [
    [0.0; 5],
    [1.0 / 2.0, 0.0, 0.0, 0.0, 0.0],
    [13_861.0 / 62_500.0, 6_889.0 / 62_500.0, 0.0, 0.0, 0.0],
    [
        -116_923_316_275.0 / 2_393_684_061_468.0,
        -2_731_218_467_317.0 / 15_368_042_101_831.0,
        9_408_046_702_089.0 / 11_113_171_139_209.0,
        0.0,
        0.0,
    ],
    [
        -451_086_348_788.0 / 2_902_428_689_909.0,
        -2_682_348_792_572.0 / 7_519_795_681_897.0,
        12_662_868_775_082.0 / 11_960_479_115_383.0,
        3_355_817_975_965.0 / 11_060_851_509_271.0,
        0.0,
    ],
    [
        647_845_179_188.0 / 3_216_320_057_751.0,
        73_281_519_250.0 / 8_382_639_484_533.0,
        552_539_513_391.0 / 3_454_668_386_233.0,
        3_354_512_671_639.0 / 8_306_763_924_573.0,
        4_040.0 / 17_871.0,
    ],
];
/// Implicit half; γ follows on the diagonal from the second stage on.
const IMPLICIT: [[f64; 5]; STAGES] = [
    [0.0; 5],
    [1.0 / 4.0, 0.0, 0.0, 0.0, 0.0],
    [8_611.0 / 62_500.0, -1_743.0 / 31_250.0, 0.0, 0.0, 0.0],
    [5_012_029.0 / 34_652_500.0, -654_441.0 / 2_922_500.0, 174_375.0 / 388_108.0, 0.0, 0.0],
    [
        15_267_082_809.0 / 155_376_265_600.0,
        -71_443_401.0 / 120_774_400.0,
        730_878_875.0 / 902_184_768.0,
        2_285_395.0 / 8_070_912.0,
        0.0,
    ],
    [82_889.0 / 524_892.0, 0.0, 15_625.0 / 83_664.0, 69_875.0 / 102_672.0, -2_260.0 / 8_211.0],
];
/// Stage times.
const AT: [f64; STAGES] = [0.0, 1.0 / 2.0, 83.0 / 250.0, 31.0 / 50.0, 17.0 / 20.0, 1.0];
/// Weights of both halves.
const WEIGHTS: [f64; STAGES] =
    [82_889.0 / 524_892.0, 0.0, 15_625.0 / 83_664.0, 69_875.0 / 102_672.0, -2_260.0 / 8_211.0, 1.0 / 4.0];
/// Weights of the embedded method.
const EMBEDDED: [f64; STAGES] = [
    4_586_570_599.0 / 29_645_900_160.0,
    0.0,
    178_811_875.0 / 945_068_544.0,
    814_220_225.0 / 1_159_782_912.0,
    -3_700_637.0 / 11_593_932.0,
    61_727.0 / 225_920.0,
];

/// One step that was tried: both ends with their rates, and the difference between the two methods.
#[derive(Debug, Clone)]
#[repr(align(16))]
pub(crate) struct Step<const N: usize> {
    /// Time at its beginning, s.
    pub time_s: f64,
    /// Length, s.
    pub length_s: f64,
    /// State at its beginning.
    pub from: [f64; N],
    /// Rates there.
    pub from_rates: [f64; N],
    /// State at its end.
    pub to: [f64; N],
    /// Rates there, once the step is accepted.
    pub to_rates: [f64; N],
    /// Estimated error of `to`.
    pub error: [f64; N],
    /// Rates at the stages after the first.
    stage_rates: [[f64; N]; STAGES - 1],
    /// `A D` at the stages after the first, of implicit states.
    stage_stiff: [[f64; N]; STAGES - 1],
    /// State at the last stage.
    last: [f64; N],
}

impl<const N: usize> Step<N> {
    /// An empty step to be filled by [`Step::advance`].
    pub(crate) fn new() -> Self {
        let zero = [0.0; N];
        Self {
            time_s: 0.0,
            length_s: 0.0,
            from: zero,
            from_rates: zero,
            to: zero,
            to_rates: zero,
            error: zero,
            stage_rates: [zero; STAGES - 1],
            stage_stiff: [zero; STAGES - 1],
            last: zero,
        }
    }

    /// Tries a step of `length_s` from `from` (with its `from_rates`), filling `to` and `error`.
    ///
    /// `system` must have been asked for rates and terms at `from` last, so that it knows where to form its matrix.
    /// Rows of the matrix that are zero make a state explicit; those are not solved but summed.
    pub(crate) fn advance<S: System<N>>(&mut self, system: &mut S, length_s: f64) {
        self.length_s = length_s;
        let d = 1.0 / (length_s * GAMMA);
        system.factor(d);
        self.stage::<1, S>(system, d);
        self.stage::<2, S>(system, d);
        self.stage::<3, S>(system, d);
        self.stage::<4, S>(system, d);
        self.stage::<5, S>(system, d);
        self.combine::<S>(system, d);
    }

    /// Forms the end of the step and its error from the stages.
    #[inline(always)]
    fn combine<S: System<N>>(&mut self, system: &mut S, d: f64) {
        // The second stage has no weight in either method.
        let [_, f2, f3, f4, f5] = &self.stage_rates;
        let f0 = &self.from_rates;
        let b = WEIGHTS.map(|weight| weight * self.length_s);
        let off: [f64; STAGES] = core::array::from_fn(|i| (WEIGHTS[i] - EMBEDDED[i]) * self.length_s);
        for n in 0..S::IMPLICIT {
            self.to[n] = self.from[n] + (b[0] * f0[n] + b[2] * f2[n] + b[3] * f3[n] + b[4] * f4[n] + b[5] * f5[n]);
        }
        // The usual smoothing of the estimate by `S` would save 6 % of the evaluations at equal gate error, but hides what a
        // matrix that is not quite the Jacobian leaves in rigid parts: their forces then ring unseen.
        for n in S::EXPLICIT..N {
            self.error[n] = off[0] * f0[n] + off[2] * f2[n] + off[3] * f3[n] + off[4] * f4[n] + off[5] * f5[n];
        }
        // From the last stage, which is stiffly accurate, to the end of the step: see above.
        let e = &EXPLICIT[STAGES - 1];
        let mut left = [0.0; N];
        for n in S::IMPLICIT..N {
            left[n] = (WEIGHTS[0] - e[0]) * f0[n] - e[1] * (self.stage_rates[0][n] - self.stage_stiff[0][n])
                + (WEIGHTS[2] - e[2]) * (f2[n] - self.stage_stiff[1][n])
                + (WEIGHTS[3] - e[3]) * (f3[n] - self.stage_stiff[2][n])
                + (WEIGHTS[4] - e[4]) * (f4[n] - self.stage_stiff[3][n])
                + WEIGHTS[5] * (f5[n] - self.stage_stiff[4][n]);
        }
        left.iter_mut().for_each(|value| *value *= d);
        system.solve(&mut left);
        let mut twice = left;
        twice.iter_mut().for_each(|value| *value *= d);
        system.solve(&mut twice);
        for n in S::IMPLICIT..N {
            self.to[n] = self.last[n] + self.length_s * (2.0 * left[n] - twice[n]);
        }
        system.tie(&mut self.to);
        system.tie(&mut self.error);
    }

    /// Solves and evaluates stage `I`, a constant so that the tableau's entries are constants too.
    #[inline(always)]
    #[allow(clippy::needless_range_loop, reason = "the index stands for a stage in several arrays at once")]
    fn stage<const I: usize, S: System<N>>(&mut self, system: &mut S, d: f64) {
        let mut change = [0.0; N];
        for n in S::EXPLICIT..N {
            change[n] = EXPLICIT[I][0] * self.from_rates[n];
        }
        // At the first stage there is no change yet, so that its `A D` is zero.
        for j in 1..I {
            for n in S::EXPLICIT..N {
                change[n] += EXPLICIT[I][j] * self.stage_rates[j - 1][n];
            }
            for n in S::IMPLICIT..N {
                change[n] += (IMPLICIT[I][j] - EXPLICIT[I][j]) * self.stage_stiff[j - 1][n];
            }
        }
        // What is solved for is `d R`, in which the step's length cancels.
        let mut solved = change;
        for n in S::IMPLICIT..N {
            solved[n] *= 1.0 / GAMMA;
        }
        system.solve(&mut solved);
        for n in S::EXPLICIT..S::IMPLICIT {
            solved[n] *= self.length_s;
        }
        let mut argument = self.from;
        for n in S::EXPLICIT..N {
            argument[n] += solved[n];
        }
        for n in S::IMPLICIT..N {
            self.stage_stiff[I - 1][n] = d * solved[n] - change[n] * (1.0 / GAMMA);
        }
        system.tie(&mut argument);
        if I == STAGES - 1 {
            self.last = argument;
        }
        system.rates(self.time_s + AT[I] * self.length_s, &argument, &mut self.stage_rates[I - 1]);
    }

    /// Makes the end of an accepted step the beginning of the next.
    pub(crate) fn go_on(&mut self) {
        self.time_s += self.length_s;
        self.from = self.to;
        self.from_rates = self.to_rates;
    }

    /// State within an accepted step, at `share` of its length: the cubic through both ends and their rates.
    pub(crate) fn at(&self, share: f64) -> [f64; N] {
        core::array::from_fn(|n| self.component_at(n, share))
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

    /// Rate of one component at `share` of the step: the slope of [`Step::component_at`].
    #[inline]
    pub(crate) fn rate_at(&self, n: usize, share: f64) -> f64 {
        let (s, r) = (share, 1.0 - share);
        let mean = (self.to[n] - self.from[n]) / self.length_s;
        r * (r - 2.0 * s) * self.from_rates[n] + s * (s - 2.0 * r) * self.to_rates[n] + 6.0 * s * r * mean
    }

    /// Largest value of component `n` within the first `share` of the step: inside if its rate changes from rising to
    /// falling there, else at an end.
    pub(crate) fn largest(&self, n: usize, share: f64) -> f64 {
        let ends = self.from[n].max(self.component_at(n, share));
        if self.from_rates[n] > 0.0 && self.to_rates[n] < 0.0 {
            // A parabola through the end rates: good to the order of the cubic.
            let top = self.from_rates[n] / (self.from_rates[n] - self.to_rates[n]);
            if top < share {
                return ends.max(self.component_at(n, top));
            }
        }
        ends
    }
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

    /// y' = λ (y - cos z) - sin z, z' = 1 with the exact solution y = cos z when started there
    /// (A. Prothero and A. Robinson, Mathematics of Computation 28 (1974) 145-162), and a Jacobian that may be off.
    struct Prothero {
        lambda: f64,
        assumed: f64,
        by_time: f64,
        d: f64,
    }

    impl System<2> for Prothero {
        const EXPLICIT: usize = 0;
        const IMPLICIT: usize = 0;
        fn rates(&mut self, _: f64, y: &[f64; 2], rates: &mut [f64; 2]) {
            *rates = [self.lambda * (y[0] - y[1].cos()) - y[1].sin(), 1.0];
        }
        fn rates_and_terms(&mut self, t: f64, y: &[f64; 2], rates: &mut [f64; 2]) {
            self.rates(t, y, rates);
            self.by_time = self.assumed * y[1].sin() - y[1].cos();
        }
        fn factor(&mut self, d: f64) {
            self.d = d;
        }
        fn solve(&self, r: &mut [f64; 2]) {
            r[1] /= self.d;
            r[0] = (r[0] + self.by_time * r[1]) / (self.d - self.assumed);
        }
        fn tie(&self, _: &mut [f64; 2]) {}
    }

    /// A pendulum, nonlinear, with a matrix that holds only part of its Jacobian.
    struct Pendulum {
        d: f64,
    }

    impl System<2> for Pendulum {
        const EXPLICIT: usize = 0;
        const IMPLICIT: usize = 0;
        fn rates(&mut self, _: f64, y: &[f64; 2], rates: &mut [f64; 2]) {
            *rates = [y[1], -y[0].sin()];
        }
        fn rates_and_terms(&mut self, t: f64, y: &[f64; 2], rates: &mut [f64; 2]) {
            self.rates(t, y, rates);
        }
        fn tie(&self, _: &mut [f64; 2]) {}
        fn factor(&mut self, d: f64) {
            self.d = d;
        }
        fn solve(&self, r: &mut [f64; 2]) {
            // A = [[0, 0.7], [0, 0]]
            r[1] /= self.d;
            r[0] = (r[0] + 0.7 * r[1]) / self.d;
        }
    }

    fn run<const N: usize>(system: &mut impl System<N>, start: [f64; N], to: f64, steps: u32) -> [f64; N] {
        let mut step = Step::new();
        step.from = start;
        for _ in 0..steps {
            system.rates_and_terms(step.time_s, &step.from.clone(), &mut step.from_rates);
            step.advance(system, to / f64::from(steps));
            step.go_on();
        }
        step.from
    }

    type Matrix = [[f64; STAGES]; STAGES];

    fn halves() -> [Matrix; 2] {
        let wide = |table: &[[f64; 5]; STAGES], diagonal: f64| -> Matrix {
            core::array::from_fn(|i| {
                core::array::from_fn(|j| {
                    if j < i {
                        table[i][j]
                    } else if j == i && i > 0 {
                        diagonal
                    } else {
                        0.0
                    }
                })
            })
        };
        [wide(&EXPLICIT, 0.0), wide(&IMPLICIT, GAMMA)]
    }

    fn times(a: &Matrix, x: [f64; STAGES]) -> [f64; STAGES] {
        a.map(|row| row.iter().zip(x).map(|(a, x)| a * x).sum())
    }

    fn dot(a: [f64; STAGES], b: [f64; STAGES]) -> f64 {
        a.iter().zip(b).map(|(a, b)| a * b).sum()
    }

    fn product(a: [f64; STAGES], b: [f64; STAGES]) -> [f64; STAGES] {
        core::array::from_fn(|i| a[i] * b[i])
    }

    /// Order conditions of partitioned methods, every mixture of both halves (Hairer, Norsett, Wanner, Solving Ordinary
    /// Differential Equations I, section II.15; both halves have the same stage times and weights).
    #[test]
    fn the_tableau_has_order_four_with_any_split_and_order_three_embedded() {
        let close = |got: f64, want: f64, name: &str| assert!((got - want).abs() < 1e-14, "{name}: {got} for {want}");
        let c = AT;
        for half in halves() {
            for (got, want) in times(&half, [1.0; STAGES]).into_iter().zip(c) {
                close(got, want, "row sum");
            }
        }
        for (b, order) in [(WEIGHTS, 4), (EMBEDDED, 3)] {
            close(dot(b, [1.0; STAGES]), 1.0, "order 1");
            close(dot(b, c), 1.0 / 2.0, "order 2");
            close(dot(b, product(c, c)), 1.0 / 3.0, "order 3, c c");
            for half in halves() {
                close(dot(b, times(&half, c)), 1.0 / 6.0, "order 3, a c");
            }
            if order == 3 {
                continue;
            }
            close(dot(b, product(c, product(c, c))), 1.0 / 4.0, "order 4, c c c");
            for one in halves() {
                close(dot(b, product(c, times(&one, c))), 1.0 / 8.0, "order 4, c a c");
                close(dot(b, times(&one, product(c, c))), 1.0 / 12.0, "order 4, a c c");
                for other in halves() {
                    close(dot(b, times(&one, times(&other, c))), 1.0 / 24.0, "order 4, a a c");
                }
            }
        }
    }

    #[test]
    fn it_converges_with_order_four_though_the_matrix_is_wrong() {
        let exact = run(&mut Pendulum { d: 0.0 }, [1.0, 0.0], 2.0, 5_000);
        let error = |steps| (run(&mut Pendulum { d: 0.0 }, [1.0, 0.0], 2.0, steps)[0] - exact[0]).abs();
        let (coarse, fine) = (error(20), error(80));
        let order = (coarse / fine).log2() / 2.0;
        assert!((3.8..4.3).contains(&order), "order {order}: {coarse:e} to {fine:e}");
    }

    #[test]
    fn a_stiff_problem_is_followed_with_steps_far_over_the_explicit_limit() {
        // Steps of 0.1 where an explicit method would need 3e-6, also with a matrix that is a tenth off.
        for (assumed, within) in [(-1e6, 2e-3), (-1.1e6, 2e-3), (-0.9e6, 2e-3)] {
            let mut system = Prothero { lambda: -1e6, assumed, by_time: 0.0, d: 0.0 };
            let end = run(&mut system, [1.0, 0.0], 2.0, 20);
            let error = end[0] - 2.0_f64.cos();
            assert!(error.abs() < within, "{assumed}: {error:e}");
        }
    }

    #[test]
    fn the_error_estimate_has_the_size_of_the_lower_order() {
        let mut step = Step::new();
        step.from = [1.0, 0.3];
        let mut system = Pendulum { d: 0.0 };
        let mut estimate = |h: f64| {
            system.rates(0.0, &[1.0, 0.3], &mut step.from_rates);
            step.advance(&mut system, h);
            step.error[1].abs()
        };
        let order = (estimate(0.1) / estimate(0.05)).log2();
        assert!((3.7..4.4).contains(&order), "local order {order}");
    }

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
            assert!((step.rate_at(0, share) - slope(2.0 * share)).abs() < 1e-14);
        }
    }

    #[test]
    fn a_crossing_is_found_from_above_also_across_a_jump() {
        let root = crossing(|s| s * s * s - 0.2, -0.2, 0.8, 1e-10);
        assert!((root - 0.2_f64.cbrt()).abs() < 1e-10 && root * root * root >= 0.2);
        let jump = crossing(|s| if s < 0.37 { -1.0 } else { 1e3 }, -1.0, 1e3, 1e-10);
        assert!((jump - 0.37).abs() < 1e-10);
    }
}
