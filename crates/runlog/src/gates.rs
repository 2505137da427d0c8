//! Gates, traps and times between speeds, read off one path of the motion.

use bitepoint_physics::timing::{GATES, Mark, TRAP_LENGTH_M};

use crate::motion::Path;

/// When and how fast a mark was passed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Crossing {
    pub time_s: f64,
    pub speed_mps: f64,
    pub distance_m: f64,
}

/// Gates that end a trap.
pub(crate) const TRAP_GATES: [&str; 2] = ["660 ft", "1320 ft"];

/// Times between speeds: name, from, to.
pub(crate) const ROLLING: [(&str, &str, &str); 3] =
    [("30-60 mph", "30 mph", "60 mph"), ("60-100 mph", "60 mph", "100 mph"), ("100-200 km/h", "100 km/h", "200 km/h")];

/// Distance of a gate by its name, m.
pub(crate) fn gate_distance_m(name: &str) -> Option<f64> {
    GATES.iter().find(|g| g.name == name).and_then(|g| match g.mark {
        Mark::DistanceM(m) => Some(m),
        Mark::SpeedMps(_) => None,
    })
}

/// Where a trap begins, m.
pub(crate) fn trap_begins_m(name: &str) -> Option<f64> {
    gate_distance_m(name).map(|m| m - TRAP_LENGTH_M)
}

/// The first passing of a mark; nothing if the path does not reach it before `until_s`.
pub(crate) fn crossing(path: &Path, mark: Mark, until_s: f64) -> Option<Crossing> {
    let (along, at): (&[f64], f64) = match mark {
        Mark::DistanceM(m) => (&path.distance_m, m),
        Mark::SpeedMps(mps) => (&path.speed_mps, mps),
    };
    let k = match mark {
        // Distance all but rises, so that the first passing can be sought by halving.
        Mark::DistanceM(_) => along.partition_point(|x| *x < at),
        Mark::SpeedMps(_) => along.iter().position(|x| *x >= at)?,
    };
    if k == 0 || k >= along.len() {
        return None;
    }
    let h = path.time_s[k] - path.time_s[k - 1];
    let (v0, v1) = (path.speed_mps[k - 1], path.speed_mps[k]);
    let share = match mark {
        Mark::SpeedMps(_) => (at - v0) / (v1 - v0).max(f64::MIN_POSITIVE),
        Mark::DistanceM(_) => {
            // Speed taken as straight within the step: s(v0 + s(v1 - v0)/2) of the way, scaled to the step's length.
            let whole = (along[k] - along[k - 1]).max(f64::MIN_POSITIVE);
            let part = (at - along[k - 1]) / whole * 0.5 * (v0 + v1).max(1e-9);
            let bend = v1 - v0;
            2.0 * part / (v0.max(0.0) + (v0 * v0 + 2.0 * bend * part).max(0.0).sqrt()).max(1e-9)
        }
    }
    .clamp(0.0, 1.0);
    let time_s = path.time_s[k - 1] + share * h;
    (time_s <= until_s).then(|| Crossing {
        time_s,
        speed_mps: v0 + share * (v1 - v0),
        distance_m: match mark {
            Mark::DistanceM(m) => m,
            Mark::SpeedMps(_) => path.distance_m[k - 1] + h * share * (v0 + 0.5 * share * (v1 - v0)),
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Constant acceleration, whose gates have closed forms.
    fn path() -> Path {
        let time_s: Vec<f64> = (0..=200).map(|i| 2.0 + 0.05 * f64::from(i)).collect();
        Path {
            speed_mps: time_s.iter().map(|t| 4.0 * (t - 2.0)).collect(),
            acceleration_mps2: vec![4.0; time_s.len()],
            distance_m: time_s.iter().map(|t| 2.0 * (t - 2.0).powi(2)).collect(),
            time_s,
        }
    }

    #[test]
    fn gates_of_a_constant_acceleration_are_those_of_the_closed_form() {
        for distance_m in [0.3048, 18.288, 100.0] {
            let passed = crossing(&path(), Mark::DistanceM(distance_m), 99.0).expect("passed");
            assert!((passed.time_s - 2.0 - (0.5 * distance_m).sqrt()).abs() < 1e-9);
            assert!((passed.speed_mps - 4.0 * (passed.time_s - 2.0)).abs() < 1e-9);
        }
        let passed = crossing(&path(), Mark::SpeedMps(26.82), 99.0).expect("passed");
        assert!((passed.time_s - 2.0 - 26.82 / 4.0).abs() < 1e-9);
        assert!((passed.distance_m - 2.0 * (26.82_f64 / 4.0).powi(2)).abs() < 1e-9);
        assert_eq!(crossing(&path(), Mark::SpeedMps(50.0), 99.0), None);
        assert_eq!(crossing(&path(), Mark::DistanceM(100.0), 5.0), None);
    }

    #[test]
    fn traps_end_at_gates_that_exist() {
        assert!(TRAP_GATES.iter().all(|name| trap_begins_m(name).is_some_and(|m| m > 100.0)));
        for (name, from, to) in ROLLING {
            assert!([from, to].iter().all(|n| GATES.iter().any(|g| g.name == *n)), "{name}");
        }
    }
}
