//! The car's state at even times, for charts and tables.

use crate::integrator::Step;
use crate::mode::Mode;
use crate::model::Model;
use crate::run::Sample;

/// Takes samples with a model of its own, so that the run is not touched.
pub(crate) struct Sampler<'a, const N: usize> {
    every_s: f64,
    next: i64,
    probe: Model<'a, N>,
    pub(crate) samples: Vec<Sample>,
}

impl<'a, const N: usize> Sampler<'a, N> {
    /// Samples from `start_s` on, at whole multiples of `every_s`.
    pub(crate) fn new(probe: Model<'a, N>, start_s: f64, every_s: f64) -> Self {
        Self { every_s, next: (start_s / every_s).ceil() as i64, probe, samples: Vec::new() }
    }

    /// Samples the first `share` of an accepted step with a model of its own, so that the run is not touched.
    pub(crate) fn take(&mut self, step: &Step<N>, share: f64, mode: &Mode) {
        self.probe.mode = *mode;
        let end_s = step.time_s + share * step.length_s;
        while (self.next as f64) * self.every_s <= end_s {
            let time_s = self.next as f64 * self.every_s;
            self.next += 1;
            let y = step.at(((time_s - step.time_s) / step.length_s).clamp(0.0, 1.0));
            self.samples.push(self.probe.sample(time_s, &y));
        }
    }
}
