//! Two sets of runs: their difference, how sure it is, and how many runs would tell a small one.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// The difference that is worth telling, s.
pub const TELL_S: f64 = 0.05;
/// Of such a difference this share of repeats should find it, at the 5 % level.
const POWER: f64 = 0.8;
/// Up to so many runs in the smaller set, and without ties, the rank test counts every order.
const EXACT: usize = 8;

/// Before against after.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SetComparison {
    /// Runs before.
    pub before: usize,
    /// Runs after.
    pub after: usize,
    /// Mean after less mean before, s.
    pub difference_s: f64,
    /// Lower end of its 95 % interval (Welch), s.
    pub low95_s: f64,
    /// Upper end, s.
    pub high95_s: f64,
    /// Degrees of freedom (Welch and Satterthwaite).
    pub freedom: f64,
    /// Chance of such a difference if there were none: Welch's t, two-sided.
    pub welch_p: f64,
    /// The same by ranks (Mann and Whitney), two-sided.
    pub rank_p: f64,
    /// Runs in each set by which a difference of 0.05 s would be found four times in five, with the spread seen.
    pub runs_to_tell: u64,
}

/// Count, mean and variance.
pub(super) fn moments(values: &[f64]) -> (f64, f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (n, mean, values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0))
}

/// Compares two sets of times, s; nothing of fewer than two runs in either, or of runs that are all alike.
#[must_use]
pub fn compare_sets(before: &[f64], after: &[f64]) -> Option<SetComparison> {
    if before.len() < 2 || after.len() < 2 {
        return None;
    }
    let ((n, mean_n, var_n), (m, mean_m, var_m)) = (moments(before), moments(after));
    let (a, b) = (var_n / n, var_m / m);
    let error = (a + b).sqrt();
    if error <= 0.0 {
        return None;
    }
    let freedom = (a + b).powi(2) / (a * a / (n - 1.0) + b * b / (m - 1.0));
    let student = StudentsT::new(0.0, 1.0, freedom).ok()?;
    let difference_s = mean_m - mean_n;
    let reach = student.inverse_cdf(0.975) * error;
    let normal = Normal::standard();
    let z = normal.inverse_cdf(0.975) + normal.inverse_cdf(POWER);
    Some(SetComparison {
        before: before.len(),
        after: after.len(),
        difference_s,
        low95_s: difference_s - reach,
        high95_s: difference_s + reach,
        freedom,
        welch_p: 2.0 * student.cdf(-(difference_s / error).abs()),
        rank_p: mann_whitney_p(before, after),
        runs_to_tell: (z * z * (var_n + var_m) / (TELL_S * TELL_S)).ceil().max(2.0) as u64,
    })
}

/// Two-sided chance of the rank sum: by counting for small sets without ties, else by the normal limit with corrections for
/// ties and continuity (Mann and Whitney 1947).
#[must_use]
pub fn mann_whitney_p(x: &[f64], y: &[f64]) -> f64 {
    let mut all: Vec<f64> = x.iter().chain(y).copied().collect();
    all.sort_by(f64::total_cmp);
    let ties: f64 = all.chunk_by(|a, b| a == b).map(|c| (c.len() as f64).powi(3) - c.len() as f64).sum();
    let above = |a: &f64| {
        y.iter()
            .map(|b| {
                if a > b {
                    1.0
                } else if a == b {
                    0.5
                } else {
                    0.0
                }
            })
            .sum::<f64>()
    };
    let u: f64 = x.iter().map(above).sum();
    let (n, m) = (x.len() as f64, y.len() as f64);
    let u = u.max(n * m - u);
    if ties == 0.0 && x.len().min(y.len()) <= EXACT {
        return exact_p(x.len(), y.len(), u as usize);
    }
    let total = n + m;
    let sd = (n * m / 12.0 * (total + 1.0 - ties / (total * (total - 1.0)))).sqrt();
    if sd <= 0.0 {
        return 1.0;
    }
    (2.0 * Normal::standard().sf((u - 0.5 * n * m - 0.5) / sd)).min(1.0)
}

/// Share of all orders with at least this count, twice.
fn exact_p(n: usize, m: usize, u: usize) -> f64 {
    // ways[i][s]: orders of i of the first set among the j of the second seen so far with count s.
    let mut ways = vec![vec![0.0; n * m + 1]; n + 1];
    for row in &mut ways {
        row[0] = 1.0;
    }
    for j in 1..=m {
        let mut next = vec![vec![0.0; n * m + 1]; n + 1];
        next[0][0] = 1.0;
        for i in 1..=n {
            for s in 0..=n * m {
                // The largest of all is of the first set (it exceeds all j), or of the second.
                let first = if s >= j { next[i - 1][s - j] } else { 0.0 };
                next[i][s] = first + ways[i][s];
            }
        }
        ways = next;
    }
    let total: f64 = ways[n].iter().sum();
    (2.0 * ways[n][u..].iter().sum::<f64>() / total).min(1.0)
}
