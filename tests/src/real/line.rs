//! Straight lines through points, and how well two columns agree.

/// A least-squares line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Rise per unit.
    pub slope: f64,
    /// Value at zero.
    pub intercept: f64,
}

impl Line {
    /// Through points (x, y).
    #[must_use]
    pub fn through(points: &[(f64, f64)]) -> Self {
        let (x, y) = (mean(points.iter().map(|p| p.0)), mean(points.iter().map(|p| p.1)));
        let xy: f64 = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
        let xx: f64 = points.iter().map(|p| (p.0 - x) * (p.0 - x)).sum();
        Self { slope: xy / xx, intercept: y - xy / xx * x }
    }

    /// Its value at `x`.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        self.intercept + self.slope * x
    }
}

/// Mean of values.
#[must_use]
pub fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}

/// Root of the mean square.
#[must_use]
pub fn rms(values: impl Iterator<Item = f64>) -> f64 {
    mean(values.map(|value| value * value)).sqrt()
}

/// Pearson's correlation of pairs.
#[must_use]
pub fn correlation(pairs: &[(f64, f64)]) -> f64 {
    let (x, y) = (mean(pairs.iter().map(|p| p.0)), mean(pairs.iter().map(|p| p.1)));
    let xy: f64 = pairs.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    let xx: f64 = pairs.iter().map(|p| (p.0 - x) * (p.0 - x)).sum();
    let yy: f64 = pairs.iter().map(|p| (p.1 - y) * (p.1 - y)).sum();
    xy / (xx * yy).sqrt()
}
