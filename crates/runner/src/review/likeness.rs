//! How far a run of the model is from a log.

use bitepoint_physics::run::Sample;

use super::trace::{Row, Trace};

/// Mean difference of the throttle, as a share of wide open, from shortly before first movement to `until_s`.
pub(super) fn throttle_off(trace: &Trace, samples: &[Sample], until_s: f64) -> f64 {
    let widest = trace.widest().unwrap_or(1.0);
    off(trace, samples, until_s, |row| row.throttle / widest, |sample| sample.throttle)
}

/// Mean difference of the engine speed, rad/s, likewise.
pub(super) fn engine_off(trace: &Trace, samples: &[Sample], until_s: f64) -> f64 {
    off(trace, samples, until_s, |row| row.engine_radps, |sample| sample.engine_radps)
}

/// Mean difference of the road speed, m/s, likewise.
pub(super) fn speed_off(trace: &Trace, samples: &[Sample], until_s: f64) -> f64 {
    off(trace, samples, until_s, |row| row.speed_mps, |sample| sample.speed_mps)
}

/// Mean difference of the clutch pedal, as a share of its way, likewise.
pub(super) fn pedal_off(trace: &Trace, samples: &[Sample], until_s: f64) -> f64 {
    off(trace, samples, until_s, |row| row.released, |sample| sample.pedal)
}

fn off(
    trace: &Trace,
    samples: &[Sample],
    until_s: f64,
    measured: impl Fn(&Row) -> f64,
    modelled: impl Fn(&Sample) -> f64,
) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0_f64);
    for row in trace.rows.iter().filter(|r| (-0.3..=until_s).contains(&r.time_s)) {
        let k = samples.partition_point(|s| s.time_s < row.time_s);
        let (Some(sample), true) = (samples.get(k).or(samples.last()), measured(row).is_finite()) else { continue };
        sum += (measured(row) - modelled(sample)).abs();
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { f64::INFINITY }
}
