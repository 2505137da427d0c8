//! Which uncertain input matters most to a time or a difference: what to measure first.
//!
//! A car has some sixty uncertain inputs, most of which matter little. The draws of the bands tell which: those whose squared
//! correlation with any of the outputs is largest get indices of their own, all the others together get one as a group, so that
//! nothing is left out of the account and the cost does not grow with the number of inputs.

use serde::Serialize;

use super::draws::{Field, Times, normal_at};
use super::sobol::{Index, Rows, indices};
use crate::launch::Launch;
use crate::watch::Watch;

/// Inputs that get indices of their own.
pub(super) const OWN: usize = 10;
/// Points of one row: A, B, one for each input with its own index, one for the group of the others.
pub(super) const POINTS_A_ROW: u64 = OWN as u64 + 3;

/// What the uncertain inputs do to every output.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Influence {
    /// Number of uncertain inputs.
    pub inputs: u32,
    /// Those of them that have an index of their own; the others are one group.
    pub with_own_index: u32,
    /// Rows of points.
    pub rows: u32,
    /// The outputs that vary: the base's time first, then the differences in the order of the changes.
    pub on: Vec<InfluenceOn>,
}

/// What the uncertain inputs do to one output.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct InfluenceOn {
    /// Place of the change whose difference it is; nothing for the base's time.
    pub variant: Option<u32>,
    /// Standard deviation of the output, s.
    pub sd_s: f64,
    /// Rows that were left out because a car did not arrive.
    pub rows_left_out: u32,
    /// Indices, the largest total first; the group of the others last.
    pub shares: Vec<Share>,
}

/// One input's share of an output's variance.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Share {
    /// Its dotted key; nothing for the group of all others. "part.KEY" is the spread that a part states for a value of its own.
    pub key: Option<String>,
    /// The indices.
    #[serde(flatten)]
    pub index: Index,
}

/// Outputs of one set of times: the base's time, and each variant's less the base's. What did not arrive is no number.
pub(super) fn outputs(times: &Times) -> Vec<f64> {
    let base = times.own[0].unwrap_or(f64::NAN);
    core::iter::once(base).chain(times.own[1..].iter().map(|time| time.unwrap_or(f64::NAN) - base)).collect()
}

/// Influence of all inputs on all outputs; nothing if it was called off. `drawn` holds deviates and outputs of draws that were made
/// before.
pub(super) fn influence(
    field: &Field<'_>,
    menu: &[Launch],
    drawn: &[(Vec<f64>, Vec<f64>)],
    (rows, seed): (u32, u32),
    watch: &dyn Watch,
) -> Option<Influence> {
    let names = &field.names;
    let own = most_correlated(names.len(), drawn);
    let groups: Vec<Vec<usize>> = own
        .iter()
        .map(|&i| vec![i])
        .chain([(0..names.len()).filter(|i| !own.contains(i)).collect::<Vec<_>>()])
        .filter(|group| !group.is_empty())
        .collect();
    let points = groups.len() as u32 + 2;
    let deviates = |set: u32| -> Vec<f64> {
        let (row, point) = (set / points, (set % points) as usize);
        let taken = |i: usize| point == 1 || (point >= 2 && groups[point - 2].contains(&i));
        (0..names.len()).map(|i| normal_at(row, if taken(i) { names.len() + i } else { i }, seed)).collect()
    };
    let all = field.times(menu, false, rows * points, &deviates, watch)?;
    let all: Vec<Vec<f64>> = all.iter().map(outputs).collect();
    let on = (0..field.cars.len()).filter_map(|output| {
        let column = |point: u32| (0..rows).map(|row| all[(row * points + point) as usize][output]).collect::<Vec<f64>>();
        let of = Rows { a: column(0), b: column(1), ab: (2..points).map(column).collect() };
        let found = indices(&of)?;
        let key = |group: usize| (group < own.len()).then(|| names[own[group]].clone());
        let mut shares: Vec<Share> =
            found.into_iter().enumerate().map(|(group, index)| Share { key: key(group), index }).collect();
        shares.sort_by(|a, b| a.key.is_none().cmp(&b.key.is_none()).then(b.index.total.total_cmp(&a.index.total)));
        Some(InfluenceOn {
            variant: output.checked_sub(1).map(|i| i as u32),
            sd_s: of.sd(),
            rows_left_out: rows - of.sound_rows() as u32,
            shares,
        })
    });
    Some(Influence { inputs: names.len() as u32, with_own_index: own.len() as u32, rows, on: on.collect() })
}

/// Inputs whose squared correlation with any output is largest, largest first.
fn most_correlated(inputs: usize, drawn: &[(Vec<f64>, Vec<f64>)]) -> Vec<usize> {
    let outputs = drawn.first().map_or(0, |(_, y)| y.len());
    let mut scores: Vec<(f64, usize)> = (0..inputs)
        .map(|i| {
            let with = |o: usize| squared_correlation(drawn.iter().map(|(z, y)| (z[i], y[o])));
            ((0..outputs).map(with).fold(0.0, f64::max), i)
        })
        .collect();
    scores.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    scores.into_iter().take(OWN).map(|(_, i)| i).collect()
}

fn squared_correlation(pairs: impl Iterator<Item = (f64, f64)> + Clone) -> f64 {
    let sound = pairs.filter(|(_, y)| y.is_finite());
    let n = sound.clone().count().max(1) as f64;
    let (sx, sy) = sound.clone().fold((0.0, 0.0), |sum, (x, y)| (sum.0 + x, sum.1 + y));
    let (mx, my) = (sx / n, sy / n);
    let (xx, yy, xy) = sound.fold((0.0, 0.0, 0.0), |sum, (x, y)| {
        (sum.0 + (x - mx) * (x - mx), sum.1 + (y - my) * (y - my), sum.2 + (x - mx) * (y - my))
    });
    if xx * yy > 0.0 { xy * xy / (xx * yy) } else { 0.0 }
}
