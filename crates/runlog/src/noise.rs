//! How noisy a speed is, from the log itself.

use serde::Serialize;

use crate::start::Start;
use crate::track::Track;

/// Noise of a speed as a standing car shows it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StandstillNoise {
    /// Mean speed shown, m/s: a receiver shows the size of its error, which is never below nothing.
    pub mean_mps: f64,
    /// Standard deviation about it, m/s.
    pub sd_mps: f64,
    /// Root mean square of the speed, m/s: of a car that stands, all of it is error.
    pub rms_mps: f64,
    /// Correlation of the error from one measurement to the next.
    pub correlation: f64,
    /// Measurements that this rests on.
    pub measurements: usize,
}

/// Fewest measurements that tell a correlation.
const FEWEST: usize = 20;

impl StandstillNoise {
    /// From the standstill before a start; nothing if it has fewer than three measurements.
    #[must_use]
    pub fn before(track: &Track, start: &Start) -> Option<Self> {
        let for_s = match start.stop {
            crate::start::Stop::Seen { for_s } => for_s,
            crate::start::Stop::Brief => return None,
        };
        // The last moments may already be motion.
        let to_s = start.stood_until_s - (2.0 * track.period_s).clamp(0.1, 0.5 * for_s.max(0.2));
        let speeds: Vec<f64> = track.within(start.stood_until_s - for_s, to_s).map(|(_, v)| v).collect();
        let n = speeds.len();
        if n < 3 {
            return None;
        }
        let rms_mps = (speeds.iter().map(|v| v * v).sum::<f64>() / n as f64).sqrt();
        let mean = speeds.iter().sum::<f64>() / n as f64;
        let square: f64 = speeds.iter().map(|v| (v - mean).powi(2)).sum();
        let product: f64 = speeds.windows(2).map(|w| (w[0] - mean) * (w[1] - mean)).sum();
        let correlation = if n >= FEWEST && square > 0.0 { (product / square).clamp(0.0, 0.9) } else { 0.0 };
        let sd_mps = (square / (n - 1) as f64).sqrt();
        Some(Self { mean_mps: mean, sd_mps, rms_mps, correlation, measurements: n })
    }

    /// Factor on the variance of independent errors that makes them weigh as much as these correlated ones
    /// (the variance of the mean of a first-order autoregression).
    #[must_use]
    pub fn inflation(&self) -> f64 {
        // What little correlation chance makes of few measurements is none.
        if self.correlation * (self.measurements as f64).sqrt() < 2.5 {
            return 1.0;
        }
        (1.0 + self.correlation) / (1.0 - self.correlation)
    }
}
