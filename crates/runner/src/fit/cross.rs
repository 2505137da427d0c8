//! Cross-validation: each start foretold by the others.

use super::driven::{self, UNKNOWNS};
use super::joint::Joint;
use super::memo::Memo;
use super::observed::Observed;
use super::outcome::LeftOut;

/// So many are left out in turn at most: each takes a fit.
const MOST: usize = 6;
/// A start is timed to this share of its top speed.
const TO: f64 = 0.9;

/// Leaves out each start in turn. `z` is the solution with all of them.
pub(super) fn left_out(joint: &Joint<'_>, z: &[f64]) -> Vec<LeftOut> {
    if joint.starts.len() < 2 {
        return Vec::new();
    }
    (0..joint.starts.len().min(MOST)).filter_map(|out| one(joint, z, out)).collect()
}

fn one(joint: &Joint<'_>, z: &[f64], out: usize) -> Option<LeftOut> {
    let others: Vec<usize> = (0..joint.starts.len()).filter(|i| *i != out).collect();
    let fewer = Joint {
        launch: joint.launch,
        vehicle: joint.vehicle,
        scenario: joint.scenario,
        expected: joint.expected,
        starts: others.iter().map(|i| joint.starts[*i]).collect(),
        coasts: joint.coasts,
        inputs: joint.inputs.clone(),
        factors: joint.factors,
        watch: joint.watch,
        memos: others.iter().map(|_| Memo::default()).collect(),
    };
    let n = joint.inputs.len();
    let mut from: Vec<f64> = z[..n].to_vec();
    others.iter().for_each(|i| from.extend_from_slice(joint.driver(z, *i)));
    from.extend_from_slice(&z[n + UNKNOWNS * joint.starts.len()..]);
    let solution = fewer.solve(&from)?;
    let (car, day) = fewer.car_and_day(&solution.values);
    let mut driver = vec![0.0; UNKNOWNS];
    for i in 0..others.len() {
        let of = fewer.driver(&solution.values, i);
        driver.iter_mut().zip(of).for_each(|(mean, z)| *mean += z / others.len() as f64);
    }
    // When this car moved is its own matter: the log says it, the others do not.
    driver[0] = 0.0;
    let observed = joint.starts[out];
    let foretold = driven::speeds(observed, &day, &car, &driver)?;
    let before_day = joint.scenario.resolve_launched(joint.expected, joint.launch).ok()?.scenario;
    let before = driven::speeds(observed, &before_day, joint.expected, &[0.0; UNKNOWNS]);
    let top = observed.speed_mps.iter().copied().fold(0.0, f64::max);
    let to_mps = TO * top;
    let squares: f64 = observed.speed_mps.iter().zip(&foretold).map(|(m, f)| (m - f).powi(2)).sum();
    Some(LeftOut {
        start: out,
        to_mps,
        measured_s: reached(observed, &observed.speed_mps, to_mps)?,
        foretold_s: reached(observed, &foretold, to_mps)?,
        before_s: before.and_then(|b| reached(observed, &b, to_mps)),
        rms_mps: (squares / foretold.len() as f64).sqrt(),
    })
}

/// When a speed is first reached, between measurements in a straight line; beyond the last, by its last second's pull.
fn reached(observed: &Observed, speeds: &[f64], to_mps: f64) -> Option<f64> {
    let t = &observed.time_s;
    if let Some(i) = (1..speeds.len()).find(|i| speeds[*i] >= to_mps) {
        let share = (to_mps - speeds[i - 1]) / (speeds[i] - speeds[i - 1]).max(1e-9);
        return Some(t[i - 1] + share.clamp(0.0, 1.0) * (t[i] - t[i - 1]));
    }
    let last = speeds.len().checked_sub(1)?;
    let back = (0..last).rev().find(|i| t[last] - t[*i] >= 1.0)?;
    let pull = (speeds[last] - speeds[back]) / (t[last] - t[back]);
    (pull > 0.1).then(|| t[last] + (to_mps - speeds[last]) / pull)
}
