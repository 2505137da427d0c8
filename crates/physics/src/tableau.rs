//! The coefficients of the step: as its order conditions have them, and as the step uses them.
//!
//! `tests/method/find.py` says what is asked of such a method and finds some from random starts. These are one of them after a further
//! search for the fewest evaluations at equal gate errors of 1,123 random runs. They hold ringing that `A` knows to within a tenth from
//! growing by more than 3 % a step. Methods that hold it for any error of `A` to 30 % were found too; they needed a tenth more evaluations,
//! and no run was found that gains by it.

/// Stages, each a linear system that is solved.
pub(crate) const STAGES: usize = 5;
/// Arguments at which rates are evaluated; the first is the step's beginning.
pub(crate) const ARGUMENTS: usize = 3;
/// The argument of each stage.
pub(crate) const ARGUMENT_OF: [usize; STAGES] = [0, 1, 1, 1, 2];

pub(crate) const GAMMA: f64 = 0.225_025_003_280_076_02;
/// Per argument.
const ALPHA: [[f64; STAGES]; ARGUMENTS] = [
    [0.0, 0.0, 0.0, 0.0, 0.0],
    [0.393_884_285_281_308_03, 0.0, 0.0, 0.0, 0.0],
    [-0.880_396_000_141_889_2, 0.832_993_178_437_006, 0.621_002_247_119_368_4, 0.426_400_574_585_514_8, 0.0],
];
/// Per stage, left of the diagonal, which holds `GAMMA`.
const GAMMAS: [[f64; STAGES]; STAGES] = [
    [0.0, 0.0, 0.0, 0.0, 0.0],
    [-0.387_943_245_617_275_67, 0.0, 0.0, 0.0, 0.0],
    [-0.299_820_808_296_279_5, 0.220_651_042_510_639_27, 0.0, 0.0, 0.0],
    [-0.142_994_651_963_747_05, 0.086_612_136_864_539_59, -0.243_057_326_058_169_4, 0.0, 0.0],
    [0.957_259_884_042_118_9, -0.734_651_716_154_492, -0.424_166_232_547_497_3, -0.023_466_938_620_205_47, 0.0],
];
/// Of the embedded method.
const EMBEDDED: [f64; STAGES] = [
    -0.091_728_767_279_340_96,
    0.259_978_520_514_804_13,
    0.527_982_544_638_954_1,
    0.188_302_629_896_570_48,
    0.115_465_072_229_012_41,
];

/// The tableau in `u_i = γ k_i + Σ_{j<i} γ_ij k_j`, which saves the products with `A`
/// (E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, section IV.7).
pub(crate) struct Transformed {
    /// Arguments: `y + Σ a_ij u_j`.
    pub a: [[f64; STAGES]; ARGUMENTS],
    /// Right-hand sides: `f + Σ c_ij u_j / h`.
    pub c: [[f64; STAGES]; STAGES],
    /// Error: `Σ e_i u_i`.
    pub e: [f64; STAGES],
    /// Times of the arguments.
    pub at: [f64; ARGUMENTS],
    /// For states without rows in the matrix, of which stages with one argument know no difference: arguments, result and
    /// error by the rates at each argument.
    pub explicit: [[f64; ARGUMENTS]; ARGUMENTS],
    pub weights: [f64; ARGUMENTS],
    pub off: [f64; ARGUMENTS],
}

/// Stiffly accurate: the last row of both matrices together.
const fn weights() -> [f64; STAGES] {
    let last = STAGES - 1;
    let mut b = [GAMMA; STAGES];
    let mut j = 0;
    while j < last {
        b[j] = ALPHA[ARGUMENTS - 1][j] + GAMMAS[last][j];
        j += 1;
    }
    b
}

/// Sums a row over the stages that share an argument.
const fn by_argument(row: &[f64; STAGES]) -> [f64; ARGUMENTS] {
    let mut sums = [0.0; ARGUMENTS];
    let mut j = 0;
    while j < STAGES {
        sums[ARGUMENT_OF[j]] += row[j];
        j += 1;
    }
    sums
}

const fn transform() -> Transformed {
    // Γ is lower triangular with γ on its diagonal; its inverse is found by forward substitution.
    let mut inverse = [[0.0; STAGES]; STAGES];
    let mut col = 0;
    while col < STAGES {
        inverse[col][col] = 1.0 / GAMMA;
        let mut row = col + 1;
        while row < STAGES {
            let mut sum = 0.0;
            let mut k = col;
            while k < row {
                sum += GAMMAS[row][k] * inverse[k][col];
                k += 1;
            }
            inverse[row][col] = -sum / GAMMA;
            row += 1;
        }
        col += 1;
    }
    let b = weights();
    let mut off = b;
    let mut i = 0;
    while i < STAGES {
        off[i] -= EMBEDDED[i];
        i += 1;
    }
    let mut t = Transformed {
        a: [[0.0; STAGES]; ARGUMENTS],
        c: [[0.0; STAGES]; STAGES],
        e: [0.0; STAGES],
        at: [0.0; ARGUMENTS],
        explicit: [[0.0; ARGUMENTS]; ARGUMENTS],
        weights: by_argument(&b),
        off: by_argument(&off),
    };
    let mut i = 0;
    while i < STAGES {
        let mut j = 0;
        while j < i {
            t.c[i][j] = -inverse[i][j];
            j += 1;
        }
        let mut k = i;
        while k < STAGES {
            t.e[i] += off[k] * inverse[k][i];
            k += 1;
        }
        i += 1;
    }
    let mut i = 0;
    while i < ARGUMENTS {
        let mut j = 0;
        while j < STAGES {
            let mut k = j;
            while k < STAGES {
                t.a[i][j] += ALPHA[i][k] * inverse[k][j];
                k += 1;
            }
            t.at[i] += ALPHA[i][j];
            j += 1;
        }
        t.explicit[i] = by_argument(&ALPHA[i]);
        i += 1;
    }
    t
}

pub(crate) const TABLEAU: Transformed = transform();

#[cfg(test)]
mod tests {
    use super::*;

    fn alpha(i: usize, j: usize) -> f64 {
        ALPHA[ARGUMENT_OF[i]][j]
    }

    fn gamma(i: usize, j: usize) -> f64 {
        if i == j { GAMMA } else { GAMMAS[i][j] }
    }

    fn product(row: &[f64; STAGES], matrix: fn(usize, usize) -> f64) -> [f64; STAGES] {
        core::array::from_fn(|j| (0..STAGES).map(|i| row[i] * matrix(i, j)).sum())
    }

    fn dot(row: &[f64; STAGES], f: impl Fn(usize) -> f64) -> f64 {
        (0..STAGES).map(|i| row[i] * f(i)).sum()
    }

    fn row_sum(matrix: fn(usize, usize) -> f64, i: usize) -> f64 {
        (0..STAGES).map(|j| matrix(i, j)).sum()
    }

    fn close(got: f64, want: f64, name: &str) {
        assert!((got - want).abs() < 1e-13, "{name}: {got} for {want}");
    }

    /// The order conditions of a W-method (T. Steihaug and A. Wolfbrandt, Mathematics of Computation 33 (1979) 521-534): they hold
    /// whatever `A` is.
    #[test]
    fn the_order_is_three_for_any_matrix() {
        let b = weights();
        let (by_alpha, by_gamma) = (product(&b, alpha), product(&b, gamma));
        close(dot(&b, |_| 1.0), 1.0, "order 1");
        close(dot(&b, |i| row_sum(alpha, i)), 0.5, "order 2");
        close(dot(&b, |i| row_sum(gamma, i)), 0.0, "order 2, A");
        close(dot(&b, |i| row_sum(alpha, i).powi(2)), 1.0 / 3.0, "order 3, f''");
        close(dot(&by_alpha, |i| row_sum(alpha, i)), 1.0 / 6.0, "order 3, f'f'");
        close(dot(&by_alpha, |i| row_sum(gamma, i)), 0.0, "order 3, f'A");
        close(dot(&by_gamma, |i| row_sum(alpha, i)), 0.0, "order 3, Af'");
        close(dot(&by_gamma, |i| row_sum(gamma, i)), 0.0, "order 3, AA");
    }

    #[test]
    fn the_embedded_method_has_order_two_for_any_matrix() {
        close(dot(&EMBEDDED, |_| 1.0), 1.0, "order 1");
        close(dot(&EMBEDDED, |i| row_sum(alpha, i)), 0.5, "order 2");
        close(dot(&EMBEDDED, |i| row_sum(gamma, i)), 0.0, "order 2, A");
    }

    /// Value of the method and of its embedded one after a step of y' = λ y with `A` = λ and λ h = iω.
    fn after_step(omega: f64) -> [nalgebra::Complex<f64>; 2] {
        type Complex = nalgebra::Complex<f64>;
        let z = Complex::new(0.0, omega);
        let mut k = [Complex::new(0.0, 0.0); STAGES];
        for i in 0..STAGES {
            let sum: Complex = (0..i).map(|j| k[j] * (alpha(i, j) + gamma(i, j))).sum();
            k[i] = z * (1.0 + sum) / (1.0 - GAMMA * z);
        }
        [weights(), EMBEDDED].map(|b| 1.0 + (0..STAGES).map(|i| k[i] * b[i]).sum::<Complex>())
    }

    #[test]
    fn ringing_of_any_frequency_does_not_grow_and_what_is_stiff_is_gone() {
        for i in 0..4000 {
            let omega = 1e-2 * 1.005_f64.powi(i);
            let [value, _] = after_step(omega);
            assert!(value.norm() < 1.0 + 1e-6, "{omega}: {}", value.norm());
        }
        let [value, embedded] = after_step(1e9);
        assert!(value.norm() < 1e-8 && embedded.norm() < 1.0, "{value}, {embedded}");
    }

    /// With order 3 for stiff states that follow others at once (differential-algebraic equations of index 1): Σ b ω α² = 1, where
    /// ω is the inverse of both matrices together (E. Hairer and G. Wanner, section VI.4). Being stiffly accurate, that holds if the last
    /// argument lies at the step's end.
    #[test]
    fn the_last_stage_is_the_end_of_the_step() {
        assert_eq!(weights()[STAGES - 1], GAMMA);
        close(TABLEAU.at[ARGUMENTS - 1], 1.0, "time of the last argument");
    }
}
