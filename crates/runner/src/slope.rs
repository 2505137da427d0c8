//! How much something changes with one deviate, where it may jump.
//!
//! A start changes its kind here and there (a tyre lets go or does not), and the time jumps by a tenth of a second: a difference over a short step
//! is either blind to that or made by it. A straight line through points over the whole range of the deviate weighs it as it counts.

/// Where values are taken, in standard deviations.
const PLACES: [f64; 4] = [-1.5, -0.5, 0.5, 1.5];

/// Slope of the least-squares line through values at several deviates; those that have none are left out. 0 where fewer than two are left.
pub(crate) fn slope(value: impl Fn(f64) -> Option<f64>) -> f64 {
    let points: Vec<(f64, f64)> = PLACES.into_iter().filter_map(|z| Some((z, value(z)?))).collect();
    let n = points.len() as f64;
    let (mean_z, mean_y) = points.iter().fold((0.0, 0.0), |(z, y), p| (z + p.0 / n, y + p.1 / n));
    let along: f64 = points.iter().map(|p| (p.0 - mean_z) * (p.1 - mean_y)).sum();
    let across: f64 = points.iter().map(|p| (p.0 - mean_z).powi(2)).sum();
    if across > 0.0 { along / across } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_has_its_slope_and_a_lone_point_none() {
        assert!((slope(|z| Some(3.0 - 0.2 * z)) + 0.2).abs() < 1e-12);
        assert!((slope(|z| (z < 1.0).then_some(0.7 * z)) - 0.7).abs() < 1e-12);
        assert_eq!(slope(|z| (z > 1.0).then_some(z)), 0.0);
        // A jump of one at zero: 0.8 per deviate by a short difference over one, 0.4 by the line.
        assert!((slope(|z| Some(f64::from(z > 0.0))) - 0.4).abs() < 1e-12);
    }
}
