//! A channel as points in time, read between them.

/// Points with rising times.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Series {
    points: Vec<(f64, f64)>,
    /// Integral from the first point on, at each point.
    integral: Vec<f64>,
    /// Holes longer than this are not bridged, s.
    longest_s: f64,
}

impl Series {
    /// Points of which holes of more than `longest_s` are not bridged; nothing of fewer than two.
    pub(crate) fn new(points: Vec<(f64, f64)>, longest_s: f64) -> Option<Self> {
        if points.len() < 2 {
            return None;
        }
        let mut sum = 0.0;
        let mut integral = Vec::with_capacity(points.len());
        integral.push(0.0);
        for w in points.windows(2) {
            sum += 0.5 * (w[1].0 - w[0].0) * (w[0].1 + w[1].1);
            integral.push(sum);
        }
        Some(Self { points, integral, longest_s })
    }

    /// Index of the point before `t`, if the points on both sides are near enough.
    fn before(&self, t: f64) -> Option<usize> {
        let next = self.points.partition_point(|p| p.0 <= t);
        if next == self.points.len() && self.points[next - 1].0 == t {
            return Some(next - 2);
        }
        let before = next.checked_sub(1).filter(|_| next < self.points.len())?;
        (self.points[next].0 - self.points[before].0 <= self.longest_s).then_some(before)
    }

    /// Value at a time, straight between the points; nothing outside them or in a hole.
    pub(crate) fn at(&self, t: f64) -> Option<f64> {
        let k = self.before(t)?;
        let ((t0, v0), (t1, v1)) = (self.points[k], self.points[k + 1]);
        Some(v0 + (v1 - v0) * (t - t0) / (t1 - t0))
    }

    /// Integral from one time to a later one; nothing if either lies outside or in a hole.
    pub(crate) fn integral(&self, from: f64, to: f64) -> Option<f64> {
        let up_to = |t: f64| {
            let k = self.before(t)?;
            let (t0, v0) = self.points[k];
            Some(self.integral[k] + 0.5 * (t - t0) * (v0 + self.at(t)?))
        };
        Some(up_to(to)? - up_to(from)?)
    }

    pub(crate) fn points(&self) -> &[(f64, f64)] {
        &self.points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_and_integrals_between_points_are_those_of_straight_lines() {
        let series = Series::new(vec![(0.0, 0.0), (1.0, 2.0), (2.0, 2.0), (9.0, 0.0)], 2.0).expect("a series");
        assert_eq!(series.at(0.5), Some(1.0));
        assert_eq!(series.integral(0.5, 2.0 - 1e-12).map(|i| (i * 1e6).round() / 1e6), Some(2.75));
        assert_eq!(series.at(5.0), None);
        assert_eq!(series.at(-0.1), None);
        assert_eq!(series.at(9.0), Some(0.0));
    }
}
