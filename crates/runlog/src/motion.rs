//! The motion that a speed log allows: speed and acceleration as an integrated Wiener process from standstill, filtered
//! and sampled.
//!
//! Acceleration a is a Wiener process of intensity q (the mean square of its change is q per second), speed its integral,
//! distance the integral of speed. Before the start all are nothing; from it on the clutch brings the acceleration up in a
//! straight rise, about which the process strays. The filter is Kalman's; paths are drawn backwards
//! through it (forward filtering, backward sampling: S. Frühwirth-Schnatter, J. Time Series Analysis 15 (1994) 183; from
//! memory). Because every number is read off the same drawn paths, their errors are joint ones: a gate with rollout loses
//! what both of its ends share.

use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// Longest step between nodes, s: within it speed may bend away from the measurements on either side.
const LONGEST_NODE_S: f64 = 0.05;
/// After the start the acceleration is free to stray from its rise for this long, s; then other jerks rule.
const ONSET_S: f64 = 0.5;
/// Over this speed measurements closer than 0.02 s are made one, m/s.
const MERGED_FROM_MPS: f64 = 1.0;
/// An innovation beyond so many standard deviations is an outlier and weighs no more than one at the limit.
const OUTLIER_SD: f64 = 4.0;
const LN_2_PI: f64 = 1.837_877_066_409_345_3;

/// A moment of the motion, with a measurement or without.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Node {
    pub time_s: f64,
    /// Speed measured, m/s; NaN where none is.
    pub speed_mps: f64,
    /// Factor on the variance of one measurement: one over their number where several were made one.
    pub weight: f64,
    /// What share of a measurement this one counts.
    pub counts: f64,
}

/// What the model leaves open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Parameters {
    /// When the car began to move, s.
    pub start_s: f64,
    /// Acceleration that the clutch brings up, m/s², and the time that it takes, s.
    pub rise_mps2: f64,
    pub rise_s: f64,
    /// Intensity while it does, m²/s⁵.
    pub onset: f64,
    /// Intensity later, m²/s⁵.
    pub later: f64,
    /// Variance of one measurement, m²/s².
    pub variance: f64,
    /// Mean of what is measured of a standing car, m/s.
    pub standing_mps: f64,
    /// Variance of one measurement of it, m²/s².
    pub standing_variance: f64,
    /// Whether the size of the speed is measured, so that an error below nothing shows above it.
    pub folded: bool,
}

/// Nodes from measurements (times, speeds): the measurements, with others between them where they lie far apart.
pub(crate) fn nodes(measured: &[(f64, f64)], period_s: f64) -> Vec<Node> {
    let every = (0.02 / period_s.max(1e-4)).floor().max(1.0) as usize;
    // Of a car that hardly moves the size of the speed is shown, and the mean of sizes is not the size of the mean.
    let alike = |a: &(f64, f64), b: &(f64, f64)| a.1.min(b.1) > MERGED_FROM_MPS;
    let merged = measured.chunk_by(alike).flat_map(|part| part.chunks(every)).map(|chunk| {
        let n = chunk.len() as f64;
        let (t, v) = chunk.iter().fold((0.0, 0.0), |(t, v), m| (t + m.0, v + m.1));
        let single = chunk[0].1 <= MERGED_FROM_MPS;
        Node {
            time_s: t / n,
            speed_mps: v / n,
            weight: if single { 1.0 } else { 1.0 / n },
            // How the clutch brings the car to move is known less well than so many measurements could tell: they count
            // no more than those at a slower rate would.
            counts: if single { 1.0 / every as f64 } else { 1.0 },
        }
    });
    let mut nodes: Vec<Node> = Vec::new();
    for node in merged {
        if let Some(last) = nodes.last().copied() {
            let gap_s = node.time_s - last.time_s;
            let parts = (gap_s / LONGEST_NODE_S).ceil().clamp(1.0, 400.0) as usize;
            for part in 1..parts {
                let time_s = last.time_s + gap_s * part as f64 / parts as f64;
                nodes.push(Node { time_s, speed_mps: f64::NAN, weight: 1.0, counts: 1.0 });
            }
        }
        nodes.push(node);
    }
    nodes
}

/// Speed and acceleration with their covariance.
#[derive(Debug, Clone, Copy)]
struct State {
    v: f64,
    a: f64,
    vv: f64,
    va: f64,
    aa: f64,
}

impl State {
    const STANDING: Self = Self { v: 0.0, a: 0.0, vv: 0.0, va: 0.0, aa: 0.0 };

    fn predicted(&self, step: &Step) -> Self {
        let Step { h, q, dv, da } = *step;
        Self {
            v: self.v + h * self.a + dv,
            a: self.a + da,
            vv: self.vv + h * (2.0 * self.va + h * self.aa) + q * h * h * h / 3.0,
            va: self.va + h * self.aa + q * h * h / 2.0,
            aa: self.aa + q * h,
        }
    }

    /// Takes in a measurement of variance `r`.
    fn update(&mut self, measured: f64, r: f64) {
        let y = measured - self.v;
        let mut s = self.vv + r;
        let z2 = y * y / s;
        if z2 > OUTLIER_SD * OUTLIER_SD {
            s = y * y / (OUTLIER_SD * OUTLIER_SD);
        }
        let (kv, ka) = (self.vv / s, self.va / s);
        self.v += kv * y;
        self.a += ka * y;
        self.aa -= ka * self.va;
        self.va -= kv * self.va;
        self.vv -= kv * self.vv;
    }
}

fn log_normal(z2: f64, variance: f64) -> f64 {
    -0.5 * (z2.min(OUTLIER_SD * OUTLIER_SD) + variance.ln() + LN_2_PI)
}

/// What happens over a step of length `h`: intensity of the jerk, and what the rise adds to speed and acceleration.
#[derive(Debug, Clone, Copy)]
struct Step {
    h: f64,
    q: f64,
    dv: f64,
    da: f64,
}

impl Step {
    #[inline]
    fn new(p: &Parameters, from_s: f64, h: f64) -> Self {
        let since_s = from_s - p.start_s;
        if since_s >= ONSET_S.max(p.rise_s) {
            return Self { h, q: p.later, dv: 0.0, da: 0.0 };
        }
        let onset_s = (ONSET_S - since_s).clamp(0.0, h);
        let rise_s = (p.rise_s - since_s).clamp(0.0, h);
        let da = p.rise_mps2 / p.rise_s * rise_s;
        Self { h, q: (p.onset * onset_s + p.later * (h - onset_s)) / h, dv: da * (h - 0.5 * rise_s), da }
    }
}

/// Log likelihood of the measurements up to `until_s`; those before the start are of a standing car.
pub(crate) fn log_likelihood(nodes: &[Node], p: &Parameters, until_s: f64) -> f64 {
    let mut sum = 0.0;
    let mut state = State::STANDING;
    let mut last_s = p.start_s;
    for node in nodes.iter().take_while(|n| n.time_s <= until_s) {
        if node.time_s <= p.start_s {
            if node.speed_mps.is_finite() {
                let variance = p.standing_variance * node.weight;
                let folded = if p.folded { core::f64::consts::LN_2 } else { 0.0 };
                let z2 = (node.speed_mps - p.standing_mps).powi(2) / variance;
                sum += node.counts * (folded + log_normal(z2, variance));
            }
            continue;
        }
        let h = node.time_s - last_s;
        state = state.predicted(&Step::new(p, last_s, h));
        if node.speed_mps.is_finite() {
            let (shown_mps, expected_mps, r) = (node.speed_mps, state.v, p.variance * node.weight);
            let s = state.vv + r;
            let mut likelihood = log_normal((shown_mps - expected_mps).powi(2) / s, s);
            if p.folded && expected_mps < 1.0 {
                // The same speed is shown by an error that takes it through nothing.
                likelihood += (-2.0 * shown_mps * expected_mps / s).min(50.0).exp().ln_1p();
            }
            sum += node.counts * likelihood;
            state.update(shown_mps, r / node.counts);
        }
        last_s = node.time_s;
    }
    sum
}

/// A drawn path: from the start on, at its nodes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Path {
    pub time_s: Vec<f64>,
    pub speed_mps: Vec<f64>,
    pub acceleration_mps2: Vec<f64>,
    pub distance_m: Vec<f64>,
}

/// Room for the filter, used again for every path.
#[derive(Default)]
pub(crate) struct Workspace {
    filtered: Vec<State>,
    steps: Vec<Step>,
}

/// Draws a path given the measurements.
pub(crate) fn draw(nodes: &[Node], p: &Parameters, rng: &mut Pcg64Mcg, work: &mut Workspace, path: &mut Path) {
    let first = nodes.partition_point(|n| n.time_s <= p.start_s);
    work.filtered.clear();
    work.steps.clear();
    path.time_s.clear();
    path.time_s.push(p.start_s);
    work.filtered.push(State::STANDING);
    let mut state = State::STANDING;
    let mut last_s = p.start_s;
    for node in &nodes[first..] {
        let step = Step::new(p, last_s, node.time_s - last_s);
        state = state.predicted(&step);
        if node.speed_mps.is_finite() {
            state.update(node.speed_mps, p.variance * node.weight / node.counts);
        }
        work.filtered.push(state);
        work.steps.push(step);
        path.time_s.push(node.time_s);
        last_s = node.time_s;
    }
    let n = work.filtered.len();
    path.speed_mps.resize(n, 0.0);
    path.acceleration_mps2.resize(n, 0.0);
    let (mut v, mut a) = sample(&work.filtered[n - 1], rng);
    (path.speed_mps[n - 1], path.acceleration_mps2[n - 1]) = (v, a);
    for k in (1..n - 1).rev() {
        let here = backward(&work.filtered[k], &work.steps[k], v, a);
        (v, a) = sample(&here, rng);
        (path.speed_mps[k], path.acceleration_mps2[k]) = (v, a);
    }
    (path.speed_mps[0], path.acceleration_mps2[0]) = (0.0, 0.0);
    path.distance_m.clear();
    path.distance_m.push(0.0);
    for k in 1..n {
        let h = path.time_s[k] - path.time_s[k - 1];
        // The mean of the integral of an integrated Wiener process between known ends: Hermite's rule.
        let mean_mps = 0.5 * (path.speed_mps[k - 1] + path.speed_mps[k])
            + h / 12.0 * (path.acceleration_mps2[k - 1] - path.acceleration_mps2[k]);
        path.distance_m.push(path.distance_m[k - 1] + h * mean_mps);
    }
}

/// The state at a node given what was measured up to it and the state `v`, `a` at the next.
fn backward(filtered: &State, step: &Step, v: f64, a: f64) -> State {
    let ahead = filtered.predicted(step);
    let h = step.h;
    // Covariance of the state here with the predicted one: P Fᵀ.
    let (c_vv, c_va) = (filtered.vv + h * filtered.va, filtered.va);
    let (c_av, c_aa) = (filtered.va + h * filtered.aa, filtered.aa);
    let det = (ahead.vv * ahead.aa - ahead.va * ahead.va).max(f64::MIN_POSITIVE);
    let gain = |c_v: f64, c_a: f64| ((c_v * ahead.aa - c_a * ahead.va) / det, (c_a * ahead.vv - c_v * ahead.va) / det);
    let (g_vv, g_va) = gain(c_vv, c_va);
    let (g_av, g_aa) = gain(c_av, c_aa);
    let (dv, da) = (v - ahead.v, a - ahead.a);
    State {
        v: filtered.v + g_vv * dv + g_va * da,
        a: filtered.a + g_av * dv + g_aa * da,
        vv: filtered.vv - g_vv * c_vv - g_va * c_va,
        va: filtered.va - g_vv * c_av - g_va * c_aa,
        aa: filtered.aa - g_av * c_av - g_aa * c_aa,
    }
}

fn sample(state: &State, rng: &mut Pcg64Mcg) -> (f64, f64) {
    let (n1, n2): (f64, f64) = (StandardNormal.sample(rng), StandardNormal.sample(rng));
    let sd_v = state.vv.max(0.0).sqrt();
    let along = if sd_v > 0.0 { state.va / sd_v } else { 0.0 };
    let across = (state.aa - along * along).max(0.0).sqrt();
    (state.v + sd_v * n1, state.a + along * n1 + across * n2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawn_paths_keep_to_exact_measurements() {
        let measured: Vec<(f64, f64)> = (0..50).map(|i| (0.1 * f64::from(i), 0.4 * f64::from(i))).collect();
        let nodes = nodes(&measured, 0.1);
        let p = Parameters {
            start_s: 0.0,
            rise_mps2: 4.0,
            rise_s: 0.05,
            onset: 100.0,
            later: 1.0,
            variance: 1e-8,
            standing_mps: 0.0,
            standing_variance: 1e-4,
            folded: false,
        };
        let mut rng = Pcg64Mcg::new(7);
        let (mut work, mut path) = (Workspace::default(), Path::default());
        draw(&nodes, &p, &mut rng, &mut work, &mut path);
        let last = path.time_s.len() - 1;
        assert!((path.time_s[last] - 4.9).abs() < 1e-9);
        assert!((path.speed_mps[last] - 19.6).abs() < 1e-3);
        assert!((path.distance_m[last] - 0.5 * 4.0 * 4.9 * 4.9).abs() < 0.05, "{}", path.distance_m[last]);
    }

    /// Between two exact measurements the process is a bridge: the variance of its middle is that of theory.
    #[test]
    fn paths_spread_between_measurements_as_the_process_does() {
        let (q, length_s) = (4.0, 1.0);
        let end = State { v: 3.0, a: 0.0, vv: 0.0, va: 0.0, aa: 0.0 };
        let step = Step { h: 0.5 * length_s, q, dv: 0.0, da: 0.0 };
        let middle = backward(&State::STANDING.predicted(&step), &step, end.v, end.a);
        // An integrated Wiener process pinned in value and slope at both ends: the least-energy cubic's residual, q h³/192.
        assert!((middle.vv - q * length_s.powi(3) / 192.0).abs() < 1e-12, "{}", middle.vv);
        assert!((middle.v - 1.5).abs() < 1e-12);
    }
}
