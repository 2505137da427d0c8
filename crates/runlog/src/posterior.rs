//! What the measurements of a start say of the motion's parameters: weights over a grid of them, to draw from.

use crate::motion::{Node, Parameters, log_likelihood, nodes};
use crate::noise::StandstillNoise;
use crate::start::Start;
use crate::track::Track;

/// Intensities of the jerk once under way, m²/s⁵: from a car that hardly changes its pull to hard shifts.
const LATER: [f64; 7] = [0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0];
/// Accelerations that the clutch may bring up, as shares of the start's mean, and times that it may take, s.
const RISE: [f64; 5] = [0.4, 0.7, 1.0, 1.4, 2.0];
const RISE_S: [f64; 4] = [0.03, 0.1, 0.25, 0.5];
/// Lowest mean acceleration that a start is taken to have, m/s².
const LEAST_MPS2: f64 = 0.5;
/// Factors on the noise that the standing car shows.
const NOISE: [f64; 8] = [0.35, 0.5, 0.7, 1.0, 1.4, 2.0, 2.8, 4.0];
/// Noise of a receiver whose standing car shows none, m/s (common practice, no source: Doppler speeds are good to 0.03 to 0.1 m/s).
const USUAL_NOISE_MPS: f64 = 0.06;
/// Spread (standard deviation of the logarithm) of the true noise about what the standing car shows, and about the usual one.
const SPREAD_SEEN: f64 = 0.4;
const SPREAD_USUAL: f64 = 0.8;
/// Measurements of a standing car that tell how they spread, and the least that they spread, m/s.
const WELL_SEEN: usize = 8;
const LEAST_NOISE_MPS: f64 = 0.01;
/// Cells over the time in which the start may lie, twice: first over all of it, then over where it is likely.
const CELLS: usize = 48;
/// Measurements beyond this after the latest start say next to nothing about it, s and measurements.
const EARLY_S: f64 = 2.5;
const EARLY_MEASUREMENTS: f64 = 6.0;
/// Log weights under the best by more than this do not matter.
const NEGLIGIBLE: f64 = 9.0;

/// One set of parameters with its weight; the start lies anywhere within a cell.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cell {
    pub parameters: Parameters,
    pub width_s: f64,
    /// Sum of the weights up to and with this cell, 1 at the last.
    pub cumulative: f64,
}

/// Nodes of a start and the weights of its parameters.
pub(crate) struct Posterior {
    pub nodes: Vec<Node>,
    pub cells: Vec<Cell>,
    pub noise_mps: f64,
}

/// Weights of the parameters of a start; nothing if there are too few measurements.
pub(crate) fn posterior(track: &Track, start: &Start) -> Option<Posterior> {
    let period_s = track.period_s;
    let earliest_s = start.stood_until_s - (2.0 * period_s).max(1.5);
    let latest_s = earliest_s.max(latest_start_s(track, start));
    let measured: Vec<(f64, f64)> =
        track.within(earliest_s - 3.0 * period_s, start.ended_s + 2.0_f64.max(2.0 * period_s)).collect();
    if measured.len() < 5 {
        return None;
    }
    let nodes = nodes(&measured, period_s);
    let standstill = StandstillNoise::before(track, start);
    let noise = Noise::new(track, standstill.as_ref());
    let middle_s = 0.5 * (start.stood_until_s.max(earliest_s) + latest_s);
    let mean_mps2 = start.mean_acceleration_mps2.max(LEAST_MPS2);
    let runs = along_the_run(&nodes, &noise, middle_s, mean_mps2);
    let early_s = latest_s + EARLY_S.max(EARLY_MEASUREMENTS * period_s);
    let mut span = (earliest_s, latest_s);
    let mut weighed = Vec::new();
    for pass in 0..2 {
        // The likeliest run does to find where the start is likely.
        let among = if pass == 0 { &runs[..1] } else { &runs[..] };
        weighed = at_the_start(&nodes, among, span, early_s, mean_mps2);
        let best = weighed.iter().map(|(w, _)| *w).fold(f64::NEG_INFINITY, f64::max);
        let likely = weighed.iter().filter(|(w, _)| *w > best - NEGLIGIBLE).map(|(_, p)| p.start_s);
        let (low, high) = likely.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s), h.max(s)));
        let half = 0.5 * (span.1 - span.0) / CELLS as f64;
        let narrowed = ((low - half).max(earliest_s), (high + half).min(latest_s));
        if pass == 0 {
            span = narrowed;
        }
    }
    let width_s = (span.1 - span.0) / CELLS as f64;
    let best = weighed.iter().map(|(w, _)| *w).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = weighed.iter().map(|(w, _)| (w - best).exp()).sum();
    let mut cumulative = 0.0;
    let cells = weighed
        .into_iter()
        .filter(|(w, _)| *w > best - 2.0 * NEGLIGIBLE)
        .map(|(w, parameters)| {
            cumulative += (w - best).exp() / total;
            Cell { parameters, width_s, cumulative }
        })
        .collect();
    Some(Posterior { nodes, cells, noise_mps: runs.first()?.1.variance.sqrt() })
}

/// A car that shows 1.5 m/s for sure has started.
fn latest_start_s(track: &Track, start: &Start) -> f64 {
    let after = track.within(start.stood_until_s, start.moved_by_s);
    after.filter(|(_, v)| *v > 1.5).map(|(t, _)| t).next().unwrap_or(start.moved_by_s)
}

/// The noise of the speed: what is known before looking at the run.
struct Noise {
    expected_mps: f64,
    spread: f64,
    standing_mps: f64,
    folded: bool,
    /// Nothing where the standstill was too short to tell.
    standing_variance: Option<f64>,
    quantum_variance: f64,
    inflation: f64,
}

impl Noise {
    fn new(track: &Track, standstill: Option<&StandstillNoise>) -> Self {
        // Steps of a coarse speed err alike as long as the same value shows.
        let quantum_variance = track.quantum_mps.map_or(0.0, |q| q * q / 12.0 * track.alike);
        let quantum_seen = track.quantum_mps.map_or(0.0, |q| q * q / 12.0);
        let well_seen = standstill.filter(|s| s.measurements >= WELL_SEEN);
        // The sizes of normal errors have a mean of 0.80 of their root mean square in one dimension, of 0.89 in two.
        let folded = well_seen.is_some_and(|s| (0.65..0.95).contains(&(s.mean_mps / s.rms_mps)));
        let (standing_mps, spread_mps) = match well_seen {
            Some(s) if folded => (0.0, s.rms_mps),
            Some(s) => (s.mean_mps, s.sd_mps),
            None => (0.0, 0.0),
        };
        let rms_mps = standstill.map_or(0.0, |s| s.rms_mps);
        let seen = (rms_mps * rms_mps - quantum_seen).max(0.0).sqrt();
        let (expected_mps, spread) =
            if seen > 0.005 { (seen.max(0.01), SPREAD_SEEN) } else { (USUAL_NOISE_MPS, SPREAD_USUAL) };
        Self {
            expected_mps,
            spread,
            standing_mps,
            folded,
            standing_variance: well_seen
                .map(|_| (spread_mps * spread_mps + quantum_variance).max(LEAST_NOISE_MPS.powi(2))),
            quantum_variance,
            inflation: standstill.map_or(1.0, StandstillNoise::inflation),
        }
    }
}

type Weighed = Vec<(f64, Parameters)>;

/// Noise and later jerk, weighed by the whole run.
fn along_the_run(nodes: &[Node], noise: &Noise, start_s: f64, mean_mps2: f64) -> Weighed {
    let end_s = nodes.last().map_or(start_s, |n| n.time_s);
    let mut weighed: Weighed = Vec::with_capacity(NOISE.len() * LATER.len());
    for factor in NOISE {
        let noise_mps = factor * noise.expected_mps;
        let variance = noise_mps * noise_mps * noise.inflation + noise.quantum_variance;
        let log_prior = -0.5 * (factor.ln() / noise.spread).powi(2);
        for later in LATER {
            let p = Parameters {
                start_s,
                rise_mps2: mean_mps2,
                rise_s: 0.15,
                onset: 100.0,
                later,
                variance,
                standing_mps: noise.standing_mps,
                folded: noise.folded,
                // A car that happened to be shown still for some seconds is no better known than one that moves.
                standing_variance: noise.standing_variance.map_or(variance, |s| s.max(variance)),
            };
            weighed.push((log_prior + log_likelihood(nodes, &p, end_s), p));
        }
    }
    weighed.sort_by(|a, b| b.0.total_cmp(&a.0));
    let best = weighed[0].0;
    weighed.retain(|(w, _)| *w > best - 3.0);
    weighed.truncate(6);
    weighed
}

/// The same, crossed with the start and the rise, weighed by what lies about the start.
fn at_the_start(nodes: &[Node], runs: &[(f64, Parameters)], span: (f64, f64), early_s: f64, mean_mps2: f64) -> Weighed {
    let width_s = (span.1 - span.0) / CELLS as f64;
    let mut weighed = Weighed::with_capacity(runs.len() * RISE.len() * RISE_S.len() * CELLS);
    for (run_weight, run) in runs {
        // The run's own weight already holds the early part once: taking it off again leaves the run's.
        let early = log_likelihood(nodes, run, early_s);
        for (share, rise_s) in RISE.into_iter().flat_map(|share| RISE_S.map(|rise_s| (share, rise_s))) {
            let rise_mps2 = share * mean_mps2;
            for cell in 0..CELLS {
                let start_s = span.0 + (cell as f64 + 0.5) * width_s;
                let p = Parameters { start_s, rise_mps2, rise_s, onset: 0.5 * rise_mps2 * rise_mps2, ..*run };
                weighed.push((run_weight - early + log_likelihood(nodes, &p, early_s), p));
            }
        }
    }
    weighed
}
