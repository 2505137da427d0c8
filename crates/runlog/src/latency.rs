//! By how much the speed is late behind the acceleration or the engine, and whether speed and acceleration agree.

use serde::Serialize;

use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::falls::{Fall, falls};
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
    // Over shorter spans noise is all that changes.
    let spans = spans(&track, 0.3, |_| true);
    let fits = tried(LATEST_S).filter_map(|late_s| Some((late_s, line(&spans, &acceleration, late_s)?))).collect();
    let (late_s, best) = latest(fits, track.period_s, LEAST_CORRELATION)?;
    Some(AgainstAcceleration {
        late_s,
        scale: Estimate::normal(best.slope, best.slope_sd),
        correlation: best.correlation,
    })
}

/// Latencies that are tried against the engine, s: shifts come every few seconds, and one must not be taken for another.
const LATEST_ENGINE_S: f64 = 1.2;
/// Time on either side of a shift whose acceleration it is held against, s.
const AROUND_S: f64 = 0.8;
/// The clutch bites before the engine has fallen all the way, or after, and tyres that slip move both: what that makes uncertain, s (a third of
/// an ordinary shift, found on made logs).
const BITES_WITHIN_S: f64 = 0.18;
/// A fall from less than this share of the run's highest engine speed is no shift.
const SHIFT_FROM: f64 = 0.75;
/// Correlation under which nothing can be told.
const LEAST_ENGINE_CORRELATION: f64 = 0.4;

/// By how much the speed is late behind the engine speed, s: the car stops pulling when the engine falls for a shift. Between
/// `from_s` and `to_s`, so that a clutch that bites does not count. Nothing if there is no shift or the two do not go together.
#[must_use]
pub fn against_engine(stretch: &Stretch, from_s: f64, to_s: f64) -> Option<Estimate> {
    let track = Track::of(stretch)?;
    let within = |t: f64| (from_s..=to_s).contains(&t);
    let engine: Vec<(f64, f64)> = stretch.known(Channel::EngineSpeed).into_iter().filter(|(t, _)| within(*t)).collect();
    let highest = engine.iter().map(|(_, r)| *r).fold(0.0, f64::max);
    let shifts: Vec<Fall> = falls(&engine).into_iter().filter(|f| f.from_radps > SHIFT_FROM * highest).collect();
    let spans = spans(&track, 0.1, within);
    let fits =
        tried(LATEST_ENGINE_S).filter_map(|late_s| Some((late_s, at_shifts(&spans, &shifts, late_s)?))).collect();
    let (late_s, _) = latest(fits, track.period_s, LEAST_ENGINE_CORRELATION)?;
    Some(Estimate::normal(late_s.value, late_s.sd.hypot(BITES_WITHIN_S)))
}

/// Line of the acceleration over the share of its span in which the engine does not fall, each shift against its own
/// surroundings: the car's pull goes down from gear to gear.
fn at_shifts(spans: &[(f64, f64, f64)], shifts: &[Fall], late_s: f64) -> Option<Line> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for shift in shifts {
        let (from, to) = (shift.from_s + late_s, shift.to_s + late_s);
        let near = spans.iter().filter(|s| s.0 > from - AROUND_S && s.1 < to + AROUND_S);
        let own: Vec<(f64, f64)> =
            near.map(|(a, b, change)| (1.0 - (b.min(to) - a.max(from)).max(0.0) / (b - a), change / (b - a))).collect();
        let n = own.len() as f64;
        let (x, y) = own.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
        points.extend(own.iter().map(|p| (p.0 - x, p.1 - y)));
    }
    through(&points)
}

/// Latencies from the earliest to one, s.
fn tried(latest_s: f64) -> impl Iterator<Item = f64> {
    (0..=((latest_s - EARLIEST_S) / STEP_S).round() as usize).map(|i| EARLIEST_S + STEP_S * i as f64)
}

/// Spans between measurements of the speed, about so long, with its change: from, to, change.
fn spans(track: &Track, length_s: f64, taken: impl Fn(f64) -> bool) -> Vec<(f64, f64, f64)> {
    let every = (length_s / track.period_s).ceil().max(1.0) as usize;
    (0..track.time_s.len().saturating_sub(every))
        .map(|i| (track.time_s[i], track.time_s[i + every], track.speed_mps[i + every] - track.speed_mps[i]))
        .filter(|(from, to, _)| taken(*from) && to - from < 3.5 * track.period_s * every as f64)
        .step_by(every)
        .collect()
}

/// The latency whose line leaves least.
fn latest(fits: Vec<(f64, Line)>, period_s: f64, least: f64) -> Option<(Estimate, Line)> {
    let (late_s, best) = *fits.iter().min_by(|a, b| a.1.residual.total_cmp(&b.1.residual))?;
    if best.correlation < least || best.slope <= 0.0 {
        return None;
    }
    let limit = best.residual * (1.0 + 1.0 / (best.count as f64 - 3.0));
    let within = fits.iter().filter(|(_, l)| l.residual <= limit).map(|(late_s, _)| *late_s);
    let (low, high) = within.fold((late_s, late_s), |(l, h), s| (l.min(s), h.max(s)));
    // Speed between its measurements is taken as straight: that errs by some of their period.
    let sd = (0.5 * (high - low)).max(0.5 * STEP_S).hypot(0.1 * period_s);
    Some((Estimate::normal(late_s, sd), best))
}

/// A straight line through changes of speed over integrals of a pull.
#[derive(Debug, Clone, Copy)]
struct Line {
    slope: f64,
    slope_sd: f64,
    correlation: f64,
    /// Mean square left, so that latencies at which other spans fall into holes compare.
    residual: f64,
    count: usize,
}

/// The line at one latency, with a bias of the pull (a sensor that is not level) let free.
fn line(spans: &[(f64, f64, f64)], pull: &Series, late_s: f64) -> Option<Line> {
    let points: Vec<(f64, f64)> = spans
        .iter()
        .filter_map(|(from, to, change)| Some((pull.integral(from - late_s, to - late_s)?, *change)))
        .collect();
    if 2 * points.len() < spans.len() {
        return None;
    }
    through(&points)
}

/// The straight line through points that leaves least.
fn through(points: &[(f64, f64)]) -> Option<Line> {
    let n = points.len() as f64;
    if points.len() < FEWEST {
        return None;
    }
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / n;
    let (mean_x, mean_y) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in points {
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
