//! Which uncertain input matters most to a time or a difference: what to measure first.
//!
//! A car has some sixty uncertain inputs, most of which matter little. For each output those whose squared correlation with it is
//! largest over the draws of the bands get a quadratic surface through these draws, and the indices are those of the surface: no
//! further runs. What the surface does not foretell (all other inputs, and what is no quadratic) is told as the rest.

use bitepoint_inputs::rules::RULE_DEVIATE;
use rayon::prelude::*;
use serde::Serialize;

use super::sobol::{Rows, indices};
use super::surface::Surface;
use crate::bands::normal;

/// Inputs that get an index of their own.
const OWN: usize = 8;
/// Rows of points on the surface: a power of two, as the sequence wants.
const ROWS: u32 = 2048;
/// Blocks of draws that are left out in turn for the standard errors.
const BLOCKS: usize = 16;

/// What the uncertain inputs do to one output.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Influence {
    /// Standard deviation of the output over the draws, s.
    pub sd_s: f64,
    /// Share of its variance that the surface foretells at draws left out of the fit; the rest belongs to all other inputs, and to
    /// what no quadratic follows.
    pub foretold: f64,
    /// Shares of the variance by input, the largest total first.
    pub shares: Vec<Share>,
}

/// One input's share of the variance of an output.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Share {
    /// Its dotted key. "part.KEY" is the spread that a part states for a value of its own.
    pub key: String,
    /// First order: the share that would go if this input alone were known. Sampling can put a small one below 0.
    pub first: f64,
    /// Standard error of that, by leaving out draws.
    pub first_error: f64,
    /// Total: the share that would stay if all inputs but this one were known.
    pub total: f64,
    /// Standard error of that.
    pub total_error: f64,
}

/// Influence of the inputs on one output, from its values in draws (no number where it has none); nothing if it does not vary or the
/// draws are too few.
pub(super) fn influence(names: &[String], deviates: &[Vec<f64>], output: &[f64], seed: u32) -> Option<Influence> {
    let sound: Vec<(&Vec<f64>, f64)> =
        deviates.iter().zip(output).filter(|(_, y)| y.is_finite()).map(|(z, y)| (z, *y)).collect();
    let (mean, variance) = moments(&sound);
    // Times are computed to some 1e-9 s; what varies less does not vary.
    if variance.sqrt() < 1e-7 * mean.abs().max(1e-2) {
        return None;
    }
    // Nobody can measure a number of the rules on their car: what these leave open is part of the rest.
    let measurable: Vec<usize> = (0..names.len()).filter(|&i| !names[i].starts_with(RULE_DEVIATE)).collect();
    let own = most_correlated(&measurable, &sound);
    let points: Vec<(Vec<f64>, f64)> =
        sound.iter().map(|(z, y)| (own.iter().map(|&i| z[i].clamp(-3.0, 3.0)).collect(), *y)).collect();
    let (surface, foretold) = Surface::fit_with_foresight(&points)?;
    let whole = shares_of(&surface, own.len(), foretold, seed)?;
    let without: Vec<Vec<(f64, f64)>> = (0..BLOCKS)
        .into_par_iter()
        .filter_map(|block| {
            let kept = points.iter().enumerate().filter(|(i, _)| i * BLOCKS / points.len() != block);
            let surface = Surface::fit(&kept.map(|(_, point)| point.clone()).collect::<Vec<_>>())?;
            shares_of(&surface, own.len(), foretold, seed)
        })
        .collect();
    let mut shares: Vec<Share> = own
        .iter()
        .enumerate()
        .map(|(i, &input)| Share {
            key: names[input].clone(),
            first: whole[i].0,
            first_error: jackknife(without.iter().map(|each| each[i].0)),
            total: whole[i].1,
            total_error: jackknife(without.iter().map(|each| each[i].1)),
        })
        .collect();
    shares.sort_by(|a, b| b.total.total_cmp(&a.total));
    Some(Influence { sd_s: variance.sqrt(), foretold, shares })
}

/// First-order and total shares of each input of a surface that stands for `foretold` of the variance.
fn shares_of(surface: &Surface, inputs: usize, foretold: f64, seed: u32) -> Option<Vec<(f64, f64)>> {
    let at = |row: u32, from_b: &dyn Fn(usize) -> bool| {
        let z: Vec<f64> =
            (0..inputs).map(|i| normal(if from_b(i) { inputs + i } else { i }, row, seed).clamp(-3.0, 3.0)).collect();
        surface.value(&z)
    };
    let column = |from_b: &dyn Fn(usize) -> bool| (0..ROWS).map(|row| at(row, from_b)).collect::<Vec<f64>>();
    let rows = Rows {
        a: column(&|_| false),
        b: column(&|_| true),
        ab: (0..inputs).map(|input| column(&|i| i == input)).collect(),
    };
    Some(indices(&rows)?.into_iter().map(|index| (foretold * index.first, foretold * index.total)).collect())
}

/// Standard error of an estimate from those with one block left out: (G - 1)/G times the sum of squares about the mean.
fn jackknife(without: impl Iterator<Item = f64> + Clone) -> f64 {
    let n = without.clone().count().max(1) as f64;
    let mean = without.clone().sum::<f64>() / n;
    (without.map(|x| (x - mean) * (x - mean)).sum::<f64>() * (n - 1.0) / n).sqrt()
}

fn moments(sound: &[(&Vec<f64>, f64)]) -> (f64, f64) {
    let n = sound.len().max(1) as f64;
    let mean = sound.iter().map(|(_, y)| y).sum::<f64>() / n;
    (mean, sound.iter().map(|(_, y)| (y - mean) * (y - mean)).sum::<f64>() / (n - 1.0).max(1.0))
}

/// Inputs whose squared correlation with the output is largest, largest first.
fn most_correlated(inputs: &[usize], sound: &[(&Vec<f64>, f64)]) -> Vec<usize> {
    let (mean, variance) = moments(sound);
    let score = |i: usize| {
        let n = sound.len() as f64;
        let middle = sound.iter().map(|(z, _)| z[i]).sum::<f64>() / n;
        let with = sound.iter().map(|(z, y)| (z[i] - middle) * (y - mean)).sum::<f64>() / n;
        let own = sound.iter().map(|(z, _)| (z[i] - middle) * (z[i] - middle)).sum::<f64>() / n;
        if own > 0.0 { with * with / (own * variance) } else { 0.0 }
    };
    let mut scores: Vec<(f64, usize)> = inputs.iter().map(|&i| (score(i), i)).collect();
    scores.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    scores.into_iter().take(OWN).map(|(_, i)| i).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_input_that_moves_the_output_most_is_named_first() {
        let names: Vec<String> = ["a", "b", "c"].map(str::to_owned).to_vec();
        let deviates: Vec<Vec<f64>> = (0..256).map(|i| (0..3).map(|d| normal(d, i, 1)).collect()).collect();
        let output: Vec<f64> = deviates.iter().map(|z| 5.0 + 0.3 * z[2] + 0.4 * z[1] * z[2] + 0.1 * z[0]).collect();
        let found = influence(&names, &deviates, &output, 1).expect("varies");
        // Variance 0.09 + 0.16 + 0.01, by hand.
        let expected = [("c", 0.09 / 0.26, 0.25 / 0.26), ("b", 0.0, 0.16 / 0.26), ("a", 0.01 / 0.26, 0.01 / 0.26)];
        for (share, (key, first, total)) in found.shares.iter().zip(expected) {
            assert_eq!(share.key, key);
            assert!((share.first - first).abs() < 0.04 && (share.total - total).abs() < 0.04, "{share:?}");
        }
        assert!(found.foretold > 0.95, "{}", found.foretold);
    }

    #[test]
    fn an_output_that_stays_has_no_influence_on_it() {
        let deviates: Vec<Vec<f64>> = (0..256).map(|i| vec![normal(0, i, 1)]).collect();
        assert_eq!(influence(&["a".to_owned()], &deviates, &vec![0.0; 256], 1), None);
    }
}
