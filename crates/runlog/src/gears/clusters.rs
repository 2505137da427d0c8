//! Ratios at which the engine of an unknown car dwells.

use super::Moment;

/// Width within which ratios are the same gear's, in logarithms: rows scatter by some per cent.
const BANDWIDTH: f64 = 0.03;
/// Neighbouring gears are at least so far apart (a step of 15 %; common practice, no source).
const APART: f64 = 0.14;
/// Least time that a gear holds, s.
const LEAST_S: f64 = 0.35;

/// Ratios (rad/m) that the moments gather at, the highest first.
pub(super) fn clusters(moments: &[Moment]) -> Vec<f64> {
    let steps = moments.windows(2).map(|w| (w[1].time_s - w[0].time_s).min(1.0));
    let weighed = moments.iter().zip(steps).filter(|(m, _)| m.steady);
    let mut left: Vec<(f64, f64)> = weighed.map(|(m, s)| ((m.engine_radps / m.speed_mps).ln(), s)).collect();
    let mut found: Vec<f64> = Vec::new();
    while let Some((centre, weight)) = densest(&left) {
        if weight < LEAST_S {
            break;
        }
        if found.iter().all(|f| (f - centre).abs() >= APART) {
            found.push(centre);
        }
        left.retain(|(r, _)| (r - centre).abs() > 0.5 * APART);
    }
    found.sort_by(|a, b| b.total_cmp(a));
    found.into_iter().map(f64::exp).collect()
}

/// Where the most time gathers within the bandwidth on either side, and how much.
fn densest(weighed: &[(f64, f64)]) -> Option<(f64, f64)> {
    let mut sorted = weighed.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut from, mut to) = (0, 0);
    let (mut weight, mut moment) = (0.0, 0.0);
    let mut best: Option<(f64, f64)> = None;
    for (centre, _) in &sorted {
        while to < sorted.len() && sorted[to].0 <= centre + BANDWIDTH {
            weight += sorted[to].1;
            moment += sorted[to].0 * sorted[to].1;
            to += 1;
        }
        while sorted[from].0 < centre - BANDWIDTH {
            weight -= sorted[from].1;
            moment -= sorted[from].0 * sorted[from].1;
            from += 1;
        }
        if weight > best.map_or(1e-9, |b| b.1) {
            best = Some((moment / weight, weight));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratios_that_the_engine_dwells_at_are_the_gears() {
        let moments: Vec<Moment> = (0..300)
            .map(|i| {
                let time_s = 0.02 * f64::from(i);
                let speed_mps = 5.0 + 4.0 * time_s;
                let ratio = if time_s < 2.0 {
                    40.0
                } else if time_s < 2.3 {
                    33.0
                } else {
                    25.0
                };
                Moment { time_s, speed_mps, engine_radps: ratio * speed_mps, steady: true }
            })
            .collect();
        let found = clusters(&moments);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[0] - 40.0).abs() < 0.1 && (found[1] - 25.0).abs() < 0.1, "{found:?}");
    }
}
