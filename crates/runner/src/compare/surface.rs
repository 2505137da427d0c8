//! A quadratic surface through outputs at points of independent standard normal inputs, by least squares.

use nalgebra::{DMatrix, DVector};

/// Value as a sum of 1, z_i, (z_i² - 1)/√2 and z_i z_j with coefficients: terms that are orthonormal for standard normal inputs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Surface {
    inputs: usize,
    coefficients: Vec<f64>,
}

/// Weight that draws coefficients to nothing, as a number of points: next to none, but enough where points are few.
const RIDGE: f64 = 0.5;

impl Surface {
    /// Number of terms for so many inputs.
    pub(super) fn terms_of(inputs: usize) -> usize {
        1 + 2 * inputs + inputs * inputs.saturating_sub(1) / 2
    }

    /// Fits points; nothing if they are fewer than twice the terms, or lie so that no surface can be told.
    pub(super) fn fit(points: &[(Vec<f64>, f64)]) -> Option<Self> {
        Self::solve(points).map(|(surface, _)| surface)
    }

    /// The same, and the share of the variance that it foretells at points left out of the fit one at a time.
    pub(super) fn fit_with_foresight(points: &[(Vec<f64>, f64)]) -> Option<(Self, f64)> {
        let (surface, leverages) = Self::solve(points)?;
        let mean = points.iter().map(|(_, y)| y).sum::<f64>() / points.len() as f64;
        let missed: f64 = points
            .iter()
            .zip(leverages)
            // What the surface misses at a point that took no part in it: the residual over one less the leverage.
            .map(|((z, y), leverage)| ((y - surface.value(z)) / (1.0 - leverage).max(1e-3)).powi(2))
            .sum();
        let all: f64 = points.iter().map(|(_, y)| (y - mean) * (y - mean)).sum();
        (all > 0.0).then(|| (surface, (1.0 - missed / all).max(0.0)))
    }

    /// The surface and the leverage of every point.
    fn solve(points: &[(Vec<f64>, f64)]) -> Option<(Self, Vec<f64>)> {
        let inputs = points.first()?.0.len();
        let count = Self::terms_of(inputs);
        if points.len() < 2 * count {
            return None;
        }
        let design = DMatrix::from_row_iterator(points.len(), count, points.iter().flat_map(|(z, _)| terms(z)));
        let values = DVector::from_iterator(points.len(), points.iter().map(|(_, y)| *y));
        let mut normal = design.tr_mul(&design);
        // The mean is not drawn to anything.
        (1..count).for_each(|i| normal[(i, i)] += RIDGE);
        let cholesky = normal.cholesky()?;
        let coefficients = cholesky.solve(&design.tr_mul(&values)).iter().copied().collect();
        let solved = cholesky.solve(&design.transpose());
        let leverages = (0..points.len()).map(|i| design.row(i).transpose().dot(&solved.column(i))).collect();
        Some((Self { inputs, coefficients }, leverages))
    }

    /// Its height at a point.
    pub(super) fn value(&self, z: &[f64]) -> f64 {
        terms(&z[..self.inputs]).zip(&self.coefficients).map(|(term, c)| term * c).sum()
    }
}

fn terms(z: &[f64]) -> impl Iterator<Item = f64> {
    let squares = z.iter().map(|x| (x * x - 1.0) * core::f64::consts::FRAC_1_SQRT_2);
    let pairs = (0..z.len()).flat_map(move |i| (0..i).map(move |j| z[i] * z[j]));
    core::iter::once(1.0).chain(z.iter().copied()).chain(squares).chain(pairs)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bands::normal;

    fn points(count: u32, of: impl Fn(&[f64]) -> f64) -> Vec<(Vec<f64>, f64)> {
        (0..count)
            .map(|i| {
                let z: Vec<f64> = (0..3).map(|d| normal(d, i, 5)).collect();
                let y = of(&z);
                (z, y)
            })
            .collect()
    }

    #[test]
    fn a_quadratic_is_found_again_and_foretold() {
        let of = |z: &[f64]| 3.0 + z[0] - 0.5 * z[1] * z[2] + 0.2 * z[1] * z[1];
        let (surface, foresight) = Surface::fit_with_foresight(&points(256, of)).expect("fits");
        assert!(foresight > 0.999, "{foresight}");
        assert!((surface.value(&[1.0, -1.0, 0.5]) - of(&[1.0, -1.0, 0.5])).abs() < 0.02);
    }

    #[test]
    fn what_no_surface_can_follow_is_not_foretold() {
        // A deviate of a dimension that the surface is not shown.
        let noise: Vec<_> =
            points(256, |_| 0.0).into_iter().enumerate().map(|(i, (z, _))| (z, normal(9, i as u32, 5))).collect();
        let (_, foresight) = Surface::fit_with_foresight(&noise).expect("fits");
        assert!(foresight < 0.05, "{foresight}");
        assert_eq!(Surface::fit(&noise[..19]), None);
    }
}
