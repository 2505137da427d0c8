//! By how much the road speed is late behind the engine speed.

use super::clusters::clusters;
use super::{Moment, TOLERANCE, moments};
use crate::estimate::Estimate;
use crate::measure::MeasuredRun;
use crate::series::Series;

/// Latencies that are tried, s.
const EARLIEST_S: f64 = -0.3;
const LATEST_S: f64 = 2.0;
const STEP_S: f64 = 0.05;
/// Fewest rows in gear that tell anything.
const FEWEST: usize = 15;

/// The latency at which most rows gather at the ratios of gears, made finer by what is left within each: the logarithm of the
/// ratio is that of the gear, and a latency l more adds l a/v to it, tyre slip adds a share of a. Nothing if too few rows are in gear.
pub(super) fn speed_late(engine: &Series, run: &MeasuredRun, zero_s: f64, known: Option<&[f64]>) -> Option<Estimate> {
    let tried = ((LATEST_S - EARLIEST_S) / STEP_S).round() as usize;
    let (_, coarse_s) = (0..=tried)
        .map(|i| EARLIEST_S + STEP_S * i as f64)
        .map(|late_s| {
            let moments = moments(engine, run, zero_s, late_s);
            let ratios = known.map_or_else(|| clusters(&moments), <[f64]>::to_vec);
            (gathered(&moments, &ratios), late_s)
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let mut late_s = coarse_s;
    let mut found = None;
    for _ in 0..3 {
        let moments = moments(engine, run, zero_s, late_s);
        let ratios = known.map_or_else(|| clusters(&moments), <[f64]>::to_vec);
        let (more_s, sd_s) = left_within(&moments, &ratios)?;
        late_s += more_s.clamp(-0.2, 0.2);
        found = Some(Estimate::normal(
            late_s,
            sd_s.hypot(0.25 * run.period_s.min(1.0)).hypot(run.first_movement_s.sd.min(0.02)),
        ));
    }
    found.filter(|f| f.value > EARLIEST_S - 0.3 && f.value < LATEST_S + 0.3)
}

/// How closely rows gather at the nearest ratios: each counts the more the nearer it is.
fn gathered(moments: &[Moment], ratios: &[f64]) -> f64 {
    let near = |m: &Moment| {
        let ratio = m.engine_radps / m.speed_mps;
        ratios.iter().map(|r| (-0.5 * ((ratio / r).ln() / 0.025).powi(2)).exp()).fold(0.0, f64::max)
    };
    // Of a fixed number of rows: a latency that pushes rows out of the run gains nothing by it.
    moments.iter().map(near).sum()
}

/// Slope of the logarithm of the ratio over a/v within gears, beside one over a, with its standard error.
fn left_within(moments: &[Moment], ratios: &[f64]) -> Option<(f64, f64)> {
    let mut rows: Vec<(usize, f64, f64, f64)> = Vec::new();
    for m in moments {
        let ratio = m.engine_radps / m.speed_mps;
        let off = |r: f64| (ratio / r).ln();
        let nearest = (0..ratios.len()).min_by(|a, b| off(ratios[*a]).abs().total_cmp(&off(ratios[*b]).abs()))?;
        if off(ratios[nearest]).abs() < TOLERANCE {
            rows.push((nearest, off(ratios[nearest]), m.acceleration_mps2 / m.speed_mps, m.acceleration_mps2));
        }
    }
    if rows.len() < FEWEST {
        return None;
    }
    // Means of each gear go first, so that no gear's own error counts.
    for gear in 0..ratios.len() {
        let n = rows.iter().filter(|r| r.0 == gear).count() as f64;
        let mean = |of: fn(&(usize, f64, f64, f64)) -> f64| {
            rows.iter().filter(|r| r.0 == gear).map(of).sum::<f64>() / n.max(1.0)
        };
        let (y, x, z) = (mean(|r| r.1), mean(|r| r.2), mean(|r| r.3));
        for row in rows.iter_mut().filter(|r| r.0 == gear) {
            *row = (gear, row.1 - y, row.2 - x, row.3 - z);
        }
    }
    let sum = |of: fn(&(usize, f64, f64, f64)) -> f64| rows.iter().map(of).sum::<f64>();
    let (xx, xz, zz) = (sum(|r| r.2 * r.2), sum(|r| r.2 * r.3), sum(|r| r.3 * r.3));
    let (xy, zy, yy) = (sum(|r| r.2 * r.1), sum(|r| r.3 * r.1), sum(|r| r.1 * r.1));
    let det = xx * zz - xz * xz;
    if det < 1e-6 * xx * zz || xx <= 0.0 {
        return None;
    }
    let slope = (xy * zz - zy * xz) / det;
    let other = (zy * xx - xy * xz) / det;
    let left = (yy - slope * xy - other * zy).max(0.0);
    let variance = left / (rows.len() as f64 - 2.0 - ratios.len() as f64).max(1.0);
    Some((slope, (variance * zz / det).sqrt()))
}
