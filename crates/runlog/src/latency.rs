//! By how much the speed is late behind the acceleration, and whether both speak of the same speed.

use serde::Serialize;

use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::log::Stretch;
use crate::rate::Rate;
use crate::series::Series;
use crate::track::Track;

/// Latencies that are tried, s.
const EARLIEST_S: f64 = -0.5;
const LATEST_S: f64 = 3.5;
const STEP_S: f64 = 0.02;
/// Fewest changes of the speed that tell anything.
const FEWEST: usize = 12;
/// Correlation under which the two do not go together.
const LEAST_CORRELATION: f64 = 0.6;

/// Speed against measured acceleration.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AgainstAcceleration {
    /// By how much the speed is late, s.
    pub late_s: Estimate,
    /// Change of the speed over the integral of the acceleration: 1 if both have the right unit and a level sensor.
    pub scale: Estimate,
    /// Correlation of the two at that latency.
    pub correlation: f64,
}

/// Holds the changes of the speed against the integrals of the acceleration over the same spans, moved by each latency in
/// turn, and takes the one at which a straight line leaves least. The error is where the residual's sum of squares has grown
/// by its mean square (a likelihood's profile). Nothing if the log has no acceleration or the two do not go together.
#[must_use]
pub fn against_acceleration(stretch: &Stretch) -> Option<AgainstAcceleration> {
    let track = Track::of(stretch)?;
    let known = stretch.known(Channel::Acceleration);
    let step_s = Rate::of_times(&known.iter().map(|(t, _)| *t).collect::<Vec<_>>())?.period_s;
    let acceleration = Series::new(known, 3.5 * step_s)?;
    // Spans of some tenths of a second: over shorter ones noise is all that changes.
    let every = (0.3 / track.period_s).ceil().max(1.0) as usize;
    let spans: Vec<(f64, f64, f64)> = (0..track.time_s.len().saturating_sub(every))
        .step_by(every)
        .map(|i| (track.time_s[i], track.time_s[i + every], track.speed_mps[i + every] - track.speed_mps[i]))
        .filter(|(from, to, _)| to - from < 3.5 * track.period_s * every as f64)
        .collect();
    let tried = ((LATEST_S - EARLIEST_S) / STEP_S) as usize;
    let fits: Vec<(f64, Line)> = (0..=tried)
        .map(|i| EARLIEST_S + STEP_S * i as f64)
        .filter_map(|late_s| Some((late_s, line(&spans, &acceleration, late_s)?)))
        .collect();
    let (late_s, best) = fits.iter().min_by(|a, b| a.1.residual.total_cmp(&b.1.residual))?;
    if best.correlation < LEAST_CORRELATION || best.slope <= 0.0 {
        return None;
    }
    let freedom = best.count as f64 - 3.0;
    let limit = best.residual * (1.0 + 1.0 / freedom);
    let within = fits.iter().filter(|(_, l)| l.residual <= limit).map(|(late_s, _)| *late_s);
    let (low, high) = within.fold((*late_s, *late_s), |(l, h), s| (l.min(s), h.max(s)));
    let sd = (0.5 * (high - low)).max(0.5 * STEP_S);
    Some(AgainstAcceleration {
        late_s: Estimate::normal(*late_s, sd),
        scale: Estimate::normal(best.slope, best.slope_sd),
        correlation: best.correlation,
    })
}

/// A straight line through changes of speed over integrals of acceleration.
#[derive(Debug, Clone, Copy)]
struct Line {
    slope: f64,
    slope_sd: f64,
    correlation: f64,
    /// Mean square left, so that latencies at which other spans fall into holes compare.
    residual: f64,
    count: usize,
}

/// The line at one latency, with a bias of the acceleration (a sensor that is not level) let free.
fn line(spans: &[(f64, f64, f64)], acceleration: &Series, late_s: f64) -> Option<Line> {
    let points: Vec<(f64, f64)> = spans
        .iter()
        .filter_map(|(from, to, change)| Some((acceleration.integral(from - late_s, to - late_s)?, *change)))
        .collect();
    let n = points.len() as f64;
    if points.len() < FEWEST || 2 * points.len() < spans.len() {
        return None;
    }
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / n;
    let (mean_x, mean_y) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in &points {
        xx += (x - mean_x).powi(2);
        xy += (x - mean_x) * (y - mean_y);
        yy += (y - mean_y).powi(2);
    }
    if xx <= 0.0 || yy <= 0.0 {
        return None;
    }
    let slope = xy / xx;
    let left = (yy - slope * xy).max(1e-9 * yy);
    Some(Line {
        slope,
        slope_sd: (left / (n - 2.0) / xx).sqrt(),
        correlation: xy / (xx * yy).sqrt(),
        residual: left / n,
        count: points.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_late_speed_in_another_unit_is_told_by_the_acceleration() {
        let time_s: Vec<f64> = (0..800).map(|i| 0.05 * f64::from(i)).collect();
        let pull = |t: f64| if (10.0..16.0).contains(&t) { 3.0 - 0.4 * (t - 10.0) + (4.0 * t).sin() } else { 0.0 };
        let mut speed = vec![0.0];
        for t in &time_s[1..] {
            speed.push(speed[speed.len() - 1] + 0.05 * pull(t - 0.025 - 0.4));
        }
        let scaled: Vec<f64> = speed.iter().map(|v| 1.609 * v).collect();
        let tilted: Vec<f64> = time_s.iter().map(|t| pull(*t) + 0.2).collect();
        let stretch = Stretch::new(time_s, vec![(Channel::Speed, scaled), (Channel::Acceleration, tilted)]);
        let found = against_acceleration(&stretch).expect("both go together");
        assert!((found.late_s.value - 0.4).abs() < 0.03, "{found:?}");
        assert!((found.scale.value - 1.609).abs() < 0.05, "{found:?}");
    }
}
