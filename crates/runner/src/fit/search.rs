//! The search for the most likely deviates: wide first, then narrow, and again from elsewhere where the speeds are not met.

use super::joint::{Joint, first_guess};
use super::least_squares::Solution;

/// Factors on the noise with which searches begin: with the noise taken larger the least is wide, and what was known before leads to
/// it past narrow ones beside it.
const WIDE: [f64; 3] = [6.0, 2.5, 20.0];
/// Starts that stray from the model by no more than so many times their noise are met: no other least is looked for.
const SOUND: f64 = 1.5;
/// Factor on the noise from which on speeds are taken to stray by more than it.
const MISFIT: f64 = 1.1;

/// Finds the least, with the factors on the noise of starts and coast-downs that its residuals ask for, which stay set.
pub(super) fn search(joint: &mut Joint<'_>, from: &[f64]) -> Option<Solution> {
    let mut from = from.to_vec();
    let mut best: Option<Solution> = None;
    for wide in WIDE {
        joint.factors = [wide; 2];
        let Some(found) = joint.solve(&from) else { break };
        joint.factors = [1.0; 2];
        let Some(found) = joint.solve(&found.values) else { break };
        let values = found.values.clone();
        if best.as_ref().is_none_or(|b| cost(&found) < cost(b)) {
            best = Some(found);
        }
        if best.as_ref().is_some_and(|b| joint.misfits(b)[0] < SOUND) {
            break;
        }
        from = guessed_anew(joint, &values);
    }
    let mut best = best?;
    let misfits = joint.misfits(&best);
    if misfits.iter().any(|m| *m > MISFIT) {
        // Speeds that stray by more than their noise weigh less against what was known before.
        joint.factors = misfits;
        best = joint.solve(&best.values)?;
    }
    Some(best)
}

fn cost(solution: &Solution) -> f64 {
    solution.sum_of_squares() + solution.rows.prior.iter().map(|z| z * z).sum::<f64>()
}

/// The drivers that suit the car as it was found.
fn guessed_anew(joint: &Joint<'_>, z: &[f64]) -> Vec<f64> {
    let (car, day) = joint.car_and_day(z);
    let mut anew = z.to_vec();
    for (i, observed) in joint.starts.iter().enumerate() {
        let place = joint.place_of_driver(i);
        anew[place].copy_from_slice(&first_guess(observed, &day, &car));
    }
    anew
}
