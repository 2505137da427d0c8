//! A smooth curve through measured points that never overshoots them.

use core::fmt;

/// Piecewise cubic Hermite curve, monotone between its points.
///
/// Slopes are those of F. N. Fritsch and J. Butland, "A method for constructing local monotone
/// piecewise cubic interpolants", SIAM J. Sci. Stat. Comput. 5 (1984) 300-304, weighted for uneven
/// spacing. Outside the points the curve keeps its end values: a torque curve says nothing of
/// speeds at which nobody measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    pieces: Vec<Piece>,
    /// The last point.
    last: (f64, f64),
    /// `first_interval[b]` is the interval that holds the left edge of bin `b` of equal width.
    first_interval: Vec<u16>,
    bins_per_unit: f64,
}

/// One interval.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    /// Its ends.
    from: f64,
    to: f64,
    /// Its cubic in `x - from`, lowest power first.
    cubic: [f64; 4],
}

/// Why points do not make a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CurveError {
    /// Fewer than two points, or more than 60,000.
    Count(usize),
    /// The abscissa at this index does not exceed the one before it.
    NotRising(usize),
    /// A coordinate at this index is not a finite number.
    NotFinite(usize),
}

impl fmt::Display for CurveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count(n) => write!(f, "a curve needs 2 to 60000 points, got {n}"),
            Self::NotRising(i) => write!(f, "point {} does not lie to the right of the one before it", i + 1),
            Self::NotFinite(i) => write!(f, "point {} is not a finite number", i + 1),
        }
    }
}

impl core::error::Error for CurveError {}

impl Curve {
    /// Curve through `points` as `(x, y)`, x strictly rising, at least two.
    ///
    /// # Errors
    /// Too few or too many points, x not rising, or a coordinate that is not finite.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, CurveError> {
        if points.len() < 2 || points.len() > 60_000 {
            return Err(CurveError::Count(points.len()));
        }
        if let Some(i) = points.iter().position(|p| !(p.0.is_finite() && p.1.is_finite())) {
            return Err(CurveError::NotFinite(i));
        }
        if let Some(i) = points.windows(2).position(|w| w[1].0 <= w[0].0) {
            return Err(CurveError::NotRising(i + 1));
        }
        let slopes = monotone_slopes(points);
        let pieces: Vec<Piece> = points
            .windows(2)
            .zip(slopes.windows(2))
            .map(|(p, s)| {
                let width = p[1].0 - p[0].0;
                let secant = (p[1].1 - p[0].1) / width;
                let cubic = [
                    p[0].1,
                    s[0],
                    (3.0 * secant - 2.0 * s[0] - s[1]) / width,
                    (s[0] + s[1] - 2.0 * secant) / (width * width),
                ];
                Piece { from: p[0].0, to: p[1].0, cubic }
            })
            .collect();
        let last = points[points.len() - 1];
        let span = last.0 - points[0].0;
        let bins = 4 * points.len();
        let first_interval = (0..bins)
            .map(|b| {
                let edge = points[0].0 + span * b as f64 / bins as f64;
                let after = points.partition_point(|p| p.0 <= edge);
                after.clamp(1, points.len() - 1) as u16 - 1
            })
            .collect();
        Ok(Self { pieces, last, first_interval, bins_per_unit: bins as f64 / span })
    }

    /// Index of the piece that holds at `x`, or the value of the end beyond which `x` lies.
    fn find(&self, x: f64) -> Result<usize, f64> {
        let from_start = x - self.pieces[0].from;
        if from_start <= 0.0 {
            return Err(self.pieces[0].cubic[0]);
        }
        let Some(&first) = self.first_interval.get((from_start * self.bins_per_unit) as usize) else {
            return Err(self.last.1);
        };
        let mut i = first as usize;
        while self.pieces.get(i + 1).is_some_and(|next| x >= next.from) {
            i += 1;
        }
        Ok(i)
    }

    /// Cubic that holds at `x` with how far `x` lies into it, or the value of the end beyond which it lies. Looks first at the
    /// piece where the last `x` was, and keeps that up to date.
    #[inline(always)]
    fn piece_near(&self, x: f64, near: &mut usize) -> Result<(&[f64; 4], f64), f64> {
        if let Some(piece) = self.pieces.get(*near)
            && x >= piece.from
            && x < piece.to
        {
            return Ok((&piece.cubic, x - piece.from));
        }
        *near = self.find(x)?;
        let piece = &self.pieces[*near];
        Ok((&piece.cubic, x - piece.from))
    }

    /// Value at `x`, sought first in the piece `near`, which is then the one that holds at `x`.
    #[inline(always)]
    pub(crate) fn value_near(&self, x: f64, near: &mut usize) -> f64 {
        match self.piece_near(x, near) {
            Ok(([c0, c1, c2, c3], d)) => c0 + d * (c1 + d * (c2 + d * c3)),
            Err(end) => end,
        }
    }

    /// Value and slope at `x`.
    #[must_use]
    pub fn value_and_slope(&self, x: f64) -> (f64, f64) {
        let mut near = usize::MAX;
        match self.piece_near(x, &mut near) {
            Ok(([c0, c1, c2, c3], d)) => (c0 + d * (c1 + d * (c2 + d * c3)), c1 + d * (2.0 * c2 + d * 3.0 * c3)),
            Err(end) => (end, 0.0),
        }
    }

    /// Value at `x`.
    #[must_use]
    pub fn value(&self, x: f64) -> f64 {
        let mut near = usize::MAX;
        self.value_near(x, &mut near)
    }

    /// How far one may go to the right of `x` and still look into every interval: to the end of the one that holds `x`, or,
    /// where that is near, half-way into the shorter of it and the next.
    #[must_use]
    pub fn reach(&self, x: f64) -> f64 {
        // Beyond the last point nothing changes, so that nothing can be passed over.
        if x >= self.last.0 {
            return f64::INFINITY;
        }
        let next = self.pieces.partition_point(|piece| piece.from <= x);
        let end = |i: usize| self.pieces.get(i).map_or(self.last.0, |piece| piece.from);
        let here = if next == 0 { f64::INFINITY } else { end(next) - end(next - 1) };
        let ahead = if next == self.pieces.len() { f64::INFINITY } else { end(next + 1) - end(next) };
        (end(next) - x).max(0.5 * here.min(ahead))
    }

    /// First and last abscissa.
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        (self.pieces[0].from, self.last.0)
    }

    /// The points that the curve was made of.
    #[must_use]
    pub fn points(&self) -> Vec<(f64, f64)> {
        self.pieces.iter().map(|piece| (piece.from, piece.cubic[0])).chain([self.last]).collect()
    }

    /// Where the largest of `count` evenly spaced values of `score(x, value)` lies, and that score.
    #[must_use]
    pub fn largest(&self, count: usize, score: impl Fn(f64, f64) -> f64) -> (f64, f64) {
        let (from, to) = self.range();
        (0..=count)
            .map(|i| from + (to - from) * i as f64 / count as f64)
            .chain(self.pieces.iter().map(|piece| piece.from))
            .chain([to])
            .map(|x| (x, score(x, self.value(x))))
            .fold((from, f64::NEG_INFINITY), |best, at| if at.1 > best.1 { at } else { best })
    }
}

fn monotone_slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let n = points.len();
    let width = |i: usize| points[i + 1].0 - points[i].0;
    let secant = |i: usize| (points[i + 1].1 - points[i].1) / width(i);
    if n == 2 {
        return vec![secant(0); 2];
    }
    let inner = |i: usize| {
        let (left, right) = (secant(i - 1), secant(i));
        if left * right <= 0.0 {
            return 0.0;
        }
        let (w_left, w_right) = (2.0 * width(i) + width(i - 1), width(i) + 2.0 * width(i - 1));
        (w_left + w_right) / (w_left / left + w_right / right)
    };
    // Three-point end slopes, held back so that the end intervals stay monotone.
    let end = |near: usize, far: usize| {
        let (h0, h1) = (width(near), width(far));
        let (s0, s1) = (secant(near), secant(far));
        let slope = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
        if slope * s0 <= 0.0 {
            0.0
        } else if s0 * s1 <= 0.0 && slope.abs() > 3.0 * s0.abs() {
            3.0 * s0
        } else {
            slope
        }
    };
    let mut slopes = Vec::with_capacity(n);
    slopes.push(end(0, 1));
    slopes.extend((1..n - 1).map(inner));
    slopes.push(end(n - 2, n - 3));
    slopes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_goes_as_far_as_the_reach_looks_into_every_interval() {
        let xs = [0.0, 10.0, 10.5, 12.0, 40.0];
        let curve = Curve::new(&xs.map(|x| (x, x * x))).expect("valid points");
        for begin in -100..400 {
            let (mut x, mut stops) = (f64::from(begin) * 0.1, 0);
            let mut seen = [false; 4];
            while x < 40.0 {
                (0..4).for_each(|i| seen[i] |= xs[i] < x && x < xs[i + 1]);
                x += 0.999 * curve.reach(x);
                stops += 1;
            }
            let first = xs.partition_point(|&knot| knot <= f64::from(begin) * 0.1);
            assert!(seen[first..].iter().all(|seen| *seen), "from {begin}: {seen:?}");
            assert!(stops < 60, "{stops}");
        }
        assert_eq!(curve.reach(40.0), f64::INFINITY);
    }

    #[test]
    fn a_straight_line_is_kept_exactly() {
        let curve = Curve::new(&[(0.0, 1.0), (1.0, 3.0), (4.0, 9.0), (5.0, 11.0)]).expect("valid points");
        for i in 0..=50 {
            let x = 0.1 * f64::from(i);
            let (value, slope) = curve.value_and_slope(x);
            assert!((value - (1.0 + 2.0 * x)).abs() < 1e-12, "{x}: {value}");
            assert!(x == 0.0 || x >= 5.0 || (slope - 2.0).abs() < 1e-12, "{x}: {slope}");
        }
    }

    #[test]
    fn it_stays_between_its_points_and_meets_them() {
        let points = [(800.0, 150.0), (1500.0, 300.0), (3000.0, 305.0), (5000.0, 300.0), (6500.0, 210.0)];
        let curve = Curve::new(&points).expect("valid points");
        for w in points.windows(2) {
            assert_eq!(curve.value(w[0].0), w[0].1);
            let (low, high) = (w[0].1.min(w[1].1), w[0].1.max(w[1].1));
            for i in 0..=100 {
                let value = curve.value(w[0].0 + (w[1].0 - w[0].0) * f64::from(i) / 100.0);
                assert!(value >= low - 1e-9 && value <= high + 1e-9, "{value} outside {low}..{high}");
            }
        }
        assert_eq!(curve.value(0.0), 150.0);
        assert_eq!(curve.value(9000.0), 210.0);
    }

    #[test]
    fn its_slope_is_the_derivative_of_its_value() {
        let curve = Curve::new(&[(0.0, 0.0), (1.0, 2.0), (1.5, 2.2), (4.0, 1.0)]).expect("valid points");
        for i in 1..39 {
            let x = 0.1 * f64::from(i) + 0.013;
            let numeric = (curve.value(x + 1e-6) - curve.value(x - 1e-6)) / 2e-6;
            assert!((curve.value_and_slope(x).1 - numeric).abs() < 1e-6, "at {x}");
        }
    }

    #[test]
    fn bad_points_are_refused_with_their_index() {
        assert_eq!(Curve::new(&[(0.0, 0.0)]), Err(CurveError::Count(1)));
        assert_eq!(Curve::new(&[(0.0, 0.0), (0.0, 1.0)]), Err(CurveError::NotRising(1)));
        assert_eq!(Curve::new(&[(0.0, 0.0), (1.0, f64::NAN)]), Err(CurveError::NotFinite(1)));
    }
}
