//! The coefficients of ROS34PW2, as its paper prints them and as the step uses them.

pub(crate) const GAMMA: f64 = 4.358_665_215_084_59e-1;
pub(crate) const ALPHA: [[f64; 3]; 4] = [
    [0.0, 0.0, 0.0],
    [8.717_330_430_169_18e-1, 0.0, 0.0],
    [8.445_706_001_536_942e-1, -1.129_906_423_648_418_5e-1, 0.0],
    [0.0, 0.0, 1.0],
];
const GAMMAS: [[f64; 3]; 4] = [
    [0.0, 0.0, 0.0],
    [-8.717_330_430_169_18e-1, 0.0, 0.0],
    [-9.033_805_701_304_408e-1, 5.418_067_238_809_532_6e-2, 0.0],
    [2.421_238_070_609_534_6e-1, -1.223_250_583_904_514_7, 5.452_602_553_351_021e-1],
];
pub(crate) const WEIGHTS: [f64; 4] =
    [2.421_238_070_609_534_6e-1, -1.223_250_583_904_514_7, 1.545_260_255_335_102, 4.358_665_215_084_59e-1];
pub(crate) const EMBEDDED: [f64; 4] =
    [3.781_090_314_581_937e-1, -9.604_229_221_242_318e-2, 0.5, 2.179_332_607_542_295e-1];

/// The tableau in `u_i = γ k_i + Σ_{j<i} γ_ij k_j`, which saves the products with `A`
/// (E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, section IV.7).
pub(crate) struct Transformed {
    /// Stage arguments: `y + Σ a_ij u_j`.
    pub a: [[f64; 3]; 4],
    /// Right-hand sides: `f + Σ c_ij u_j / h`.
    pub c: [[f64; 3]; 4],
    /// Error: `Σ e_i u_i`.
    pub e: [f64; 4],
    /// Stage times.
    pub at: [f64; 4],
}

const fn transform() -> Transformed {
    // Γ is lower triangular with γ on its diagonal; its inverse is found by forward substitution.
    let mut inverse = [[0.0; 4]; 4];
    let mut col = 0;
    while col < 4 {
        inverse[col][col] = 1.0 / GAMMA;
        let mut row = col + 1;
        while row < 4 {
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
    let mut t = Transformed { a: [[0.0; 3]; 4], c: [[0.0; 3]; 4], e: [0.0; 4], at: [0.0; 4] };
    let mut i = 0;
    while i < 4 {
        let mut j = 0;
        while j < 3 {
            let mut k = j;
            while k < 3 {
                t.a[i][j] += ALPHA[i][k] * inverse[k][j];
                k += 1;
            }
            t.at[i] += ALPHA[i][j];
            if j < i {
                t.c[i][j] = -inverse[i][j];
            }
            j += 1;
        }
        let mut k = i;
        while k < 4 {
            t.e[i] += (WEIGHTS[k] - EMBEDDED[k]) * inverse[k][i];
            k += 1;
        }
        i += 1;
    }
    t
}

pub(crate) const TABLEAU: Transformed = transform();

#[cfg(test)]
mod tests {
    use super::*;

    /// The order conditions of the paper for any `A`, to order 3.
    #[test]
    fn the_tableau_satisfies_the_order_conditions_of_a_w_method() {
        let alpha: Vec<f64> = ALPHA.iter().map(|row| row.iter().sum()).collect();
        let gamma: Vec<f64> = GAMMAS.iter().map(|row| row.iter().sum::<f64>() + GAMMA).collect();
        let full = |i: usize, j: usize| {
            if i == j {
                GAMMA
            } else if j < 3 {
                GAMMAS[i][j]
            } else {
                0.0
            }
        };
        let sum = |f: &dyn Fn(usize) -> f64| (0..4).map(|i| WEIGHTS[i] * f(i)).sum::<f64>();
        let inner =
            |i: usize, row: &dyn Fn(usize, usize) -> f64, col: &[f64]| (0..4).map(|j| row(i, j) * col[j]).sum::<f64>();
        let explicit = |i: usize, j: usize| if j < 3 { ALPHA[i][j] } else { 0.0 };
        let close = |got: f64, want: f64, name: &str| assert!((got - want).abs() < 1e-14, "{name}: {got} for {want}");
        close(sum(&|_| 1.0), 1.0, "order 1");
        close(sum(&|i| alpha[i]), 0.5, "order 2");
        close(sum(&|i| gamma[i]), 0.0, "order 2, A");
        close(sum(&|i| alpha[i] * alpha[i]), 1.0 / 3.0, "order 3, f''");
        close(sum(&|i| inner(i, &explicit, &alpha)), 1.0 / 6.0, "order 3, f'f'");
        close(sum(&|i| inner(i, &explicit, &gamma)), 0.0, "order 3, f'A");
        close(sum(&|i| inner(i, &full, &alpha)), 0.0, "order 3, Af'");
        close(sum(&|i| inner(i, &full, &gamma)), 0.0, "order 3, AA");
    }

    /// What the step relies on: its end is its last stage, whose argument is explicit in the stage before it alone.
    #[test]
    fn the_last_stage_is_the_end_of_the_step() {
        assert!((WEIGHTS[3] - GAMMA).abs() < 1e-15);
        for j in 0..3 {
            assert!((ALPHA[3][j] + GAMMAS[3][j] - WEIGHTS[j]).abs() < 1e-15, "weight {j}");
        }
        assert_eq!(ALPHA[3], [0.0, 0.0, 1.0]);
    }
}
