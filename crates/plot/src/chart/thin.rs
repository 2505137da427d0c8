//! Fewer points for the same line.

/// How far a line may move on the sheet when points are left out, px: well under the width of any pen.
const TOLERANCE_PX: f64 = 0.3;

/// Leaves out points that lie on the line through their neighbours, so that peaks stay where they are.
///
/// D. Douglas and T. Peucker, Cartographica 10 (1973) 112, with a stack in place of recursion.
pub(crate) fn thin(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[points.len() - 1] = true;
    let mut stack = vec![(0, points.len() - 1)];
    while let Some((first, last)) = stack.pop() {
        let farthest = (first + 1..last)
            .map(|i| (i, distance(points[i], points[first], points[last])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((i, away)) = farthest.filter(|(_, away)| *away > TOLERANCE_PX) {
            debug_assert!(away.is_finite());
            keep[i] = true;
            stack.push((first, i));
            stack.push((i, last));
        }
    }
    points.iter().zip(keep).filter_map(|(point, keep)| keep.then_some(*point)).collect()
}

fn distance(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    if length == 0.0 {
        return (p.0 - a.0).hypot(p.1 - a.1);
    }
    ((p.0 - a.0) * dy - (p.1 - a.1) * dx).abs() / length
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_line_needs_its_ends_alone() {
        let line: Vec<_> = (0..1000).map(|i| (f64::from(i), 2.0 * f64::from(i))).collect();
        assert_eq!(thin(&line), vec![(0.0, 0.0), (999.0, 1998.0)]);
    }

    #[test]
    fn a_lone_spike_among_thousands_of_points_stays() {
        let mut line: Vec<_> = (0..5000).map(|i| (f64::from(i) * 0.1, 50.0)).collect();
        line[3210].1 = 3.0;
        let thinned = thin(&line);
        assert!(thinned.contains(&(321.0, 3.0)));
        assert!(thinned.len() <= 5, "{}", thinned.len());
    }

    #[test]
    fn no_point_that_is_left_out_was_farther_from_the_line_than_allowed() {
        let wave: Vec<_> = (0..2000).map(|i| (f64::from(i) * 0.2, 40.0 * (f64::from(i) * 0.03).sin())).collect();
        let thinned = thin(&wave);
        assert!(thinned.len() < wave.len() / 4);
        for p in &wave {
            let nearest = thinned
                .windows(2)
                .filter(|pair| pair[0].0 <= p.0 && p.0 <= pair[1].0)
                .map(|pair| distance(*p, pair[0], pair[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(nearest <= TOLERANCE_PX, "{p:?}: {nearest}");
        }
    }
}
