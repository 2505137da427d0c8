//! Quick falls of the engine speed while the car drives on: shifts, or the end of wheelspin.

/// A fall ends when the engine has risen again by this share, and one of less is noise.
const REVERSAL: f64 = 0.04;
/// Neighbouring gears lie further apart than this.
const LEAST: f64 = 0.1;
/// A shift takes less, s.
const LONGEST_S: f64 = 1.6;
/// Rows over which noise is evened out, s.
const WINDOW_S: f64 = 0.06;

/// A fall of the engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fall {
    pub from_s: f64,
    pub to_s: f64,
    pub from_radps: f64,
}

/// Falls of the engine speed (times and rad/s), in their order.
pub(crate) fn falls(engine: &[(f64, f64)]) -> Vec<Fall> {
    let evened: Vec<(f64, f64)> = evened(engine);
    let mut found = Vec::new();
    let Some((mut top, mut bottom)) = evened.first().map(|first| (*first, *first)) else { return found };
    let mut falling = false;
    for point in evened.iter().copied().chain(evened.last().map(|l| (l.0, f64::INFINITY))) {
        if falling {
            if point.1 < bottom.1 {
                bottom = point;
            } else if point.1 > bottom.1 * (1.0 + REVERSAL) {
                if bottom.1 < top.1 * (1.0 - LEAST) && bottom.0 - top.0 < LONGEST_S {
                    found.push(Fall { from_s: top.0, to_s: bottom.0, from_radps: top.1 });
                }
                (falling, top) = (false, point);
            }
        } else if point.1 >= top.1 {
            top = point;
        } else if point.1 < top.1 * (1.0 - REVERSAL) {
            (falling, bottom) = (true, point);
        }
    }
    found
}

/// Means over short windows.
fn evened(engine: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut from = 0;
    (0..engine.len())
        .map(|i| {
            while engine[i].0 - engine[from].0 > WINDOW_S {
                from += 1;
            }
            let window = &engine[from..=i];
            let n = window.len() as f64;
            let (t, r) = window.iter().fold((0.0, 0.0), |(t, r), p| (t + p.0, r + p.1));
            (t / n, r / n)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fall_begins_at_the_highest_speed_before_it() {
        let engine = |t: f64| {
            if t < 2.0 {
                400.0 + 100.0 * t
            } else if t < 2.3 {
                600.0 - 700.0 * (t - 2.0)
            } else {
                390.0 + 60.0 * (t - 2.3)
            }
        };
        let points: Vec<(f64, f64)> = (0..200).map(|i| 0.02 * f64::from(i)).map(|t| (t, engine(t))).collect();
        let found = falls(&points);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].from_s - 2.0).abs() < 0.05 && (found[0].to_s - 2.3).abs() < 0.07, "{found:?}");
    }
}
