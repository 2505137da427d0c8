//! Variance-based sensitivity indices.
//!
//! Of two independent sets of points A and B and, for each input i, the points of A with i taken from B (A_B^i):
//! first order S_i = mean( f(B) (f(A_B^i) - f(A)) ) / V (A. Saltelli et al., Computer Physics Communications 181 (2010) 259, after
//! I. M. Sobol'), total T_i = mean( (f(A) - f(A_B^i))² ) / 2V (M. J. W. Jansen, Computer Physics Communications 117 (1999) 35).
//! Both from memory. S_i is the share of the variance that would go if i alone were known; T_i the share that would stay if all
//! but i were known. An "input" may be a group of inputs taken from B together.

use serde::Serialize;

/// Outputs at the points of a design, row by row. A row in which any is no number is left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rows {
    /// At A.
    pub a: Vec<f64>,
    /// At B.
    pub b: Vec<f64>,
    /// At A with one input taken from B; one list for each input.
    pub ab: Vec<Vec<f64>>,
}

/// Indices of one input, shares of the variance. Sampling can put a small one below 0.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Index {
    /// First order: by this input alone.
    pub first: f64,
    /// Standard error of that.
    pub first_error: f64,
    /// Total: by this input and all that it does together with others.
    pub total: f64,
    /// Standard error of that.
    pub total_error: f64,
}

/// Blocks that are left out in turn for the standard errors.
const BLOCKS: usize = 16;

/// Variance below which an output does not vary, relative to its square: what is left is rounding.
const NO_VARIANCE: f64 = 1e-18;

impl Rows {
    fn sound(&self) -> Vec<usize> {
        let lists = || [&self.a, &self.b].into_iter().chain(&self.ab);
        (0..self.a.len()).filter(|&row| lists().all(|list| list[row].is_finite())).collect()
    }

    /// Rows in which every output is a number.
    #[must_use]
    pub fn sound_rows(&self) -> usize {
        self.sound().len()
    }

    /// Standard deviation of the output.
    #[must_use]
    pub fn sd(&self) -> f64 {
        moments(self, &self.sound()).1.sqrt()
    }
}

/// Indices of every input, with standard errors by the jackknife over blocks of rows; nothing if the output does not vary or too few
/// rows are sound.
#[must_use]
pub fn indices(rows: &Rows) -> Option<Vec<Index>> {
    let sound = rows.sound();
    if sound.len() < 2 * BLOCKS {
        return None;
    }
    let (mean, variance) = moments(rows, &sound);
    if variance <= NO_VARIANCE * (mean * mean).max(1e-12) {
        return None;
    }
    let whole = estimates(rows, &sound);
    let without: Vec<Indices> = (0..BLOCKS)
        .map(|block| {
            let left: Vec<usize> = sound
                .iter()
                .enumerate()
                .filter(|(i, _)| i * BLOCKS / sound.len() != block)
                .map(|(_, row)| *row)
                .collect();
            estimates(rows, &left)
        })
        .collect();
    // Delete-a-group jackknife: (G - 1)/G times the sum of squares about the mean.
    let error = |of: &dyn Fn(&Indices) -> f64| {
        let mean = without.iter().map(of).sum::<f64>() / BLOCKS as f64;
        let squares: f64 = without.iter().map(|each| (of(each) - mean) * (of(each) - mean)).sum();
        (squares * (BLOCKS - 1) as f64 / BLOCKS as f64).sqrt()
    };
    let index = |(i, (first, total)): (usize, &(f64, f64))| Index {
        first: *first,
        first_error: error(&|each| each[i].0),
        total: *total,
        total_error: error(&|each| each[i].1),
    };
    Some(whole.iter().enumerate().map(index).collect())
}

/// Mean and variance of the output over A and B.
fn moments(rows: &Rows, of: &[usize]) -> (f64, f64) {
    let n = 2.0 * of.len().max(1) as f64;
    let both = || of.iter().flat_map(|&row| [rows.a[row], rows.b[row]]);
    let mean = both().sum::<f64>() / n;
    (mean, both().map(|y| (y - mean) * (y - mean)).sum::<f64>() / (n - 1.0).max(1.0))
}

/// First-order and total index of every input.
type Indices = Vec<(f64, f64)>;

/// First-order and total index of every input.
fn estimates(rows: &Rows, of: &[usize]) -> Indices {
    let (mean, variance) = moments(rows, of);
    let n = of.len().max(1) as f64;
    rows.ab
        .iter()
        .map(|ab| {
            // Taking the mean off f(B) changes nothing that is expected, and much of the scatter.
            let first: f64 = of.iter().map(|&row| (rows.b[row] - mean) * (ab[row] - rows.a[row])).sum();
            let total: f64 = of.iter().map(|&row| (rows.a[row] - ab[row]).powi(2)).sum();
            (first / n / variance, total / (2.0 * n) / variance)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_output_that_does_not_vary_has_no_indices() {
        let same = vec![4.2; 64];
        assert_eq!(indices(&Rows { a: same.clone(), b: same.clone(), ab: vec![same] }), None);
    }

    #[test]
    fn a_row_that_is_no_number_is_left_out() {
        let a: Vec<f64> = (0..64).map(|i| f64::from(i % 8)).collect();
        let b: Vec<f64> = (0..64).map(|i| f64::from((i / 8) % 8)).collect();
        let mut rows = Rows { ab: vec![b.clone()], a, b };
        let whole = indices(&rows).expect("varies")[0];
        assert!((whole.total - 1.0).abs() < 0.05, "{whole:?}");
        rows.a.push(f64::NAN);
        rows.b.push(1.0);
        rows.ab[0].push(1.0);
        assert_eq!(rows.sound_rows(), 64);
        assert_eq!(indices(&rows).expect("varies")[0], whole);
    }
}
