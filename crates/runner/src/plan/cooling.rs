//! How long the clutch takes to cool, and how many starts it takes before it fades.

use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::vehicle::Scenario;
use serde::Serialize;

use super::judge::Judge;
use crate::launch::Launch;

/// What the clutch needs between starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Cooling {
    /// Temperature at which the start began, °C.
    pub began_c: f64,
    /// Of the face when the run was over, °C.
    pub face_after_c: f64,
    /// Of the mass behind it, °C.
    pub mass_after_c: f64,
    /// Time until both are within `NEARLY_K` of where the start began, s; nothing if not within `LONGEST_S`.
    pub until_cool_s: Option<f64>,
    /// Starts in a row with `BETWEEN_STARTS_S` between them until a face reaches the temperature at which it begins to fade: the number of
    /// the start in which it does; nothing if not within `MOST_STARTS`.
    pub fades_in_start: Option<u32>,
}

/// So much over the beginning counts as cool again, K: friction has long recovered, and the next start ends no more than this hotter.
pub const NEARLY_K: f64 = 10.0;
/// Given up after this long, s.
pub const LONGEST_S: f64 = 4.0 * 3600.0;
/// Time between two starts in a row: back to the line and line up again, s (from memory).
pub const BETWEEN_STARTS_S: f64 = 120.0;
/// Given up after so many starts.
pub const MOST_STARTS: u32 = 12;

/// What the clutch of this launch needs; `ended_c` are the temperatures of face and mass at the end of its run, °C.
pub(super) fn cooling(judge: &Judge<'_>, launch: &Launch, ended_c: (f64, f64)) -> Cooling {
    let clutch = &judge.vehicle.clutch;
    let air_c = judge.scenario.air.temperature_c;
    let began_c = judge.scenario.clutch_start_c;
    Cooling {
        began_c,
        face_after_c: ended_c.0,
        mass_after_c: ended_c.1,
        until_cool_s: time_until(clutch, ended_c, air_c, began_c + NEARLY_K),
        fades_in_start: fades_in_start(judge, launch),
    }
}

/// Face and mass after cooling for `time_s`, °C.
///
/// The model's own law without slip: C_f f' = -k (f - m), C_m m' = k (f - m) - h (m - air), two linear equations, solved by
/// their two rates.
pub(crate) fn cooled(clutch: &Clutch, from_c: (f64, f64), air_c: f64, time_s: f64) -> (f64, f64) {
    let (k, h) = (clutch.face_to_mass_w_per_k, clutch.mass_to_air_w_per_k);
    let (face_j, mass_j) = (clutch.face_capacity_j_per_k, clutch.mass_capacity_j_per_k);
    let (f, m) = (from_c.0 - air_c, from_c.1 - air_c);
    // The matrix [[-a, a], [b, -c]].
    let (a, b, c) = (k / face_j, k / mass_j, (k + h) / mass_j);
    let half = 0.5 * (a + c);
    let root = (0.25 * (a - c) * (a - c) + a * b).sqrt();
    let (fast, slow) = (-half - root, -half + root);
    // f = p e^(fast t) + q e^(slow t), and f' = a (m - f) at the beginning.
    let rate = a * (m - f);
    let p = (rate - slow * f) / (fast - slow);
    let q = f - p;
    let (p, q) = (p * libm::exp(fast * time_s), q * libm::exp(slow * time_s));
    let face = p + q;
    let mass = face + (fast * p + slow * q) / a;
    (face + air_c, mass + air_c)
}

pub(crate) fn time_until(clutch: &Clutch, from_c: (f64, f64), air_c: f64, below_c: f64) -> Option<f64> {
    let cool = |time_s: f64| {
        let (face, mass) = cooled(clutch, from_c, air_c, time_s);
        face.max(mass) <= below_c
    };
    if cool(0.0) {
        return Some(0.0);
    }
    if !cool(LONGEST_S) {
        return None;
    }
    // Once both are below they stay there: the hotter of the two only falls.
    let (mut hot_s, mut cool_s) = (0.0, LONGEST_S);
    while cool_s - hot_s > 0.5 {
        let middle_s = 0.5 * (hot_s + cool_s);
        if cool(middle_s) { cool_s = middle_s } else { hot_s = middle_s }
    }
    Some(cool_s)
}

fn fades_in_start(judge: &Judge<'_>, launch: &Launch) -> Option<u32> {
    let clutch = &judge.vehicle.clutch;
    let air_c = judge.scenario.air.temperature_c;
    let mut scenario: Scenario = judge.driven(launch);
    for start in 1..=MOST_STARTS {
        let run = judge.run_of(judge.vehicle, &scenario).ok()?;
        if run.peaks.clutch_face_c >= clutch.fade_start_c {
            return Some(start);
        }
        // After the pause face and mass are as good as one; the mass is hottest at the end of a run.
        let (_, mass_c) = cooled(clutch, (run.peaks.clutch_mass_c, run.peaks.clutch_mass_c), air_c, BETWEEN_STARTS_S);
        scenario.clutch_start_c = mass_c;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clutch() -> Clutch {
        Clutch {
            friction_coefficient: 0.3,
            effective_radius_m: 0.1,
            faces: 2.0,
            clamp_n: 7000.0,
            bite_point: 0.3,
            working_band: 0.4,
            fade_start_c: 250.0,
            fade_span_k: 200.0,
            fade_floor: 0.3,
            harm_c: 350.0,
            face_capacity_j_per_k: 800.0,
            mass_capacity_j_per_k: 4000.0,
            face_to_mass_w_per_k: 1500.0,
            mass_to_air_w_per_k: 10.0,
        }
    }

    #[test]
    fn the_closed_form_goes_with_the_models_own_rates() {
        let clutch = clutch();
        let (mut face, mut mass) = (260.0, 110.0);
        let step_s = 1e-3;
        let rates_k_per_s = |face: f64, mass: f64| {
            let (face_w, mass_w) = clutch.heating_w(face, mass, 20.0, 0.0);
            (face_w / clutch.face_capacity_j_per_k, mass_w / clutch.mass_capacity_j_per_k)
        };
        for _ in 0..5000 {
            let (f, m) = rates_k_per_s(face, mass);
            let (f, m) = rates_k_per_s(face + 0.5 * step_s * f, mass + 0.5 * step_s * m);
            (face, mass) = (face + step_s * f, mass + step_s * m);
        }
        let closed = cooled(&clutch, (260.0, 110.0), 20.0, 5.0);
        assert!((closed.0 - face).abs() < 1e-3 && (closed.1 - mass).abs() < 1e-3, "{closed:?}, {face}, {mass}");
    }

    /// Newton's law of cooling: one body of both capacities, once they are at one temperature.
    #[test]
    fn the_time_to_cool_is_that_of_one_body_that_loses_heat_to_air() {
        let clutch = clutch();
        let time_s = time_until(&clutch, (120.0, 120.0), 20.0, 70.0).expect("cools");
        let one_body_s = 4800.0 / 10.0 * (100.0_f64 / 50.0).ln();
        assert!((time_s - one_body_s).abs() < 0.01 * one_body_s, "{time_s} s, one body {one_body_s} s");
    }

    #[test]
    fn what_never_gets_that_cool_has_no_time() {
        assert_eq!(time_until(&clutch(), (120.0, 120.0), 80.0, 70.0), None);
        assert_eq!(time_until(&clutch(), (60.0, 60.0), 20.0, 70.0), Some(0.0));
    }
}
