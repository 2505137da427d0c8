//! Stretches of a run for which something holds.

use bitepoint_physics::run::{Limit, Sample};

/// From and to, s from first movement.
pub(crate) type Span = (f64, f64);

/// Slower than this the slip ratio has no meaning for a reader, m/s.
pub(crate) const WALKING_MPS: f64 = 1.0;

/// Stretches for which `holds`, from each sample to the next.
pub(crate) fn spans(samples: &[Sample], holds: impl Fn(&Sample) -> bool) -> Vec<Span> {
    let mut found: Vec<Span> = Vec::new();
    for pair in samples.windows(2) {
        let (from, to) = (pair[0].time_s, pair[1].time_s);
        if to <= from || !holds(&pair[0]) {
            continue;
        }
        match found.last_mut() {
            Some(last) if last.1 == from => last.1 = to,
            _ => found.push((from, to)),
        }
    }
    found
}

/// Total length, s.
pub(crate) fn total(spans: &[Span]) -> f64 {
    spans.iter().map(|(from, to)| to - from).sum()
}

/// Whether a driven tyre is past its peak.
pub(crate) fn spins(sample: &Sample) -> bool {
    sample.slip > sample.peak_slip && sample.tread_mps > WALKING_MPS
}

/// What limits the car, stretch by stretch, from first movement.
pub(crate) fn limits(samples: &[Sample]) -> Vec<(Span, Limit)> {
    let mut found: Vec<(Span, Limit)> = Vec::new();
    for pair in samples.windows(2) {
        let (from, to) = (pair[0].time_s.max(0.0), pair[1].time_s);
        if to <= from {
            continue;
        }
        match found.last_mut() {
            Some((span, limit)) if *limit == pair[0].limit && span.1 == from => span.1 = to,
            _ => found.push(((from, to), pair[0].limit)),
        }
    }
    found
}
