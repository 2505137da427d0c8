//! The driver's right foot as a log shows it.

use bitepoint_physics::driver::{Driver, PartThrottle, Trim, WheelspinResponse};

use super::trace::Trace;
use super::yardstick::Yardstick;

/// From this share of its widest on a throttle counts as wide open.
pub(super) const WIDE: f64 = 0.9;
/// Throttles closer than this are the same.
const SAME: f64 = 0.04;
/// A throttle that stays so long short of wide open is held there, s.
const HELD_S: f64 = 0.3;
/// Share of its way at which a ramp is timed: its ends are rounded by the engine's own throttle.
const TIMED_AT: f64 = 0.8;
/// Time from a part throttle to wide open, and the answer to wheelspin, of a driver of whom only what follows is seen (from memory, as for
/// scenario files).
const OPEN_S: f64 = 1.0;
const TRIMS: Trim = Trim { lag_s: 0.2, target_slip: 0.15, gain: 1.2, foot_per_s: 4.0 };

/// What the foot did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Foot {
    /// Time from the bite to wide open or to the part throttle, s.
    pub ease_s: f64,
    /// The part throttle, if one was held.
    pub part: Option<PartThrottle>,
    /// Its answer to wheelspin.
    pub wheelspin: WheelspinResponse,
}

impl Foot {
    /// That of a driver.
    pub(super) fn of(driver: &Driver) -> Self {
        Self { ease_s: driver.throttle_ease_s, part: driver.part_throttle, wheelspin: driver.wheelspin }
    }

    /// Those that a log's throttle may be of; none without throttle.
    pub(super) fn candidates(trace: &Trace, until_s: f64, best: &Yardstick) -> Vec<Self> {
        let Some(widest) = trace.widest() else { return Vec::new() };
        // Without a pedal in the log the clutch bites when the car first moves.
        let bite_s = trace.pedal_passes_s(best.vehicle.clutch.bite_point).unwrap_or(0.0);
        let own = Self::of(&best.scenario.driver);
        let opens_s = bite_s - best.scenario.driver.throttle_lead_s;
        let rows = || trace.rows.iter().filter(|r| r.time_s <= until_s && r.throttle.is_finite());
        let points: Vec<(f64, f64)> =
            rows().filter(|r| r.time_s >= opens_s).map(|r| (r.time_s, r.throttle / widest)).collect();
        let holding = rows().rfind(|r| r.time_s < opens_s).map_or(0.0, |r| r.throttle / widest);
        let reached_s = |level: f64| {
            let level = holding + TIMED_AT * (level - holding);
            let at_s = points.iter().find(|p| p.1 >= level).map_or(until_s, |p| p.0);
            ((at_s - opens_s) / TIMED_AT).max(0.0)
        };
        let mut shapes = vec![(own.ease_s, own.part), (reached_s(1.0), None)];
        let first_s = trace.shifts.first().map_or(until_s, |s| s.left_s);
        shapes.extend(levels(&points, first_s).into_iter().map(|(held, until_s)| {
            let until_mps = rows().rfind(|r| r.time_s <= until_s).map_or(0.0, |r| r.speed_mps);
            (reached_s(held), Some(PartThrottle { held, until_mps, open_s: OPEN_S }))
        }));
        let answered = |(ease_s, part)| answers(&own).map(|wheelspin| Self { ease_s, part, wheelspin });
        std::iter::once(own).chain(shapes.into_iter().flat_map(answered)).collect()
    }

    /// The driver with this foot.
    pub(super) fn put_into(&self, driver: &mut Driver) {
        driver.throttle_ease_s = self.ease_s;
        driver.part_throttle = self.part;
        driver.wheelspin = self.wheelspin;
    }

    /// Feet that differ a little: one number at a time, by `step` times its unit either way.
    pub(super) fn neighbours(&self, step: f64) -> Vec<Self> {
        let both = [-step, step];
        let mut near: Vec<Self> =
            both.iter().map(|s| Self { ease_s: (self.ease_s + 0.3 * s).max(0.0), ..*self }).collect();
        if let Some(part) = self.part {
            let with = |part| Self { part: Some(part), ..*self };
            near.extend(
                both.iter().map(|s| with(PartThrottle { held: (part.held + 0.1 * s).clamp(0.05, 0.99), ..part })),
            );
            near.extend(
                both.iter().map(|s| with(PartThrottle { until_mps: (part.until_mps + 3.0 * s).max(0.0), ..part })),
            );
            near.extend(both.iter().map(|s| with(PartThrottle { open_s: (part.open_s + 0.5 * s).max(0.05), ..part })));
        }
        if let WheelspinResponse::Trimmed(trim) = self.wheelspin {
            for s in both {
                let answers = [
                    Trim { lag_s: (trim.lag_s + 0.1 * s).max(0.03), ..trim },
                    Trim { target_slip: (trim.target_slip + 0.1 * s).max(0.03), ..trim },
                    Trim { gain: (trim.gain + 0.6 * s).max(0.1), ..trim },
                ];
                near.extend(answers.map(|trim| Self { wheelspin: WheelspinResponse::Trimmed(trim), ..*self }));
            }
        }
        near
    }
}

/// Answers to wheelspin that are tried: none, and a throttle that is trimmed.
pub(super) fn answers(own: &Foot) -> [WheelspinResponse; 2] {
    let trims = match own.wheelspin {
        WheelspinResponse::Trimmed(_) => own.wheelspin,
        _ => WheelspinResponse::Trimmed(TRIMS),
    };
    [WheelspinResponse::None, trims]
}

/// Throttles short of wide open at which the foot stays in first gear, each with the time at which it leaves it last.
fn levels(points: &[(f64, f64)], first_shift_s: f64) -> Vec<(f64, f64)> {
    let first: Vec<(f64, f64)> = points.iter().copied().take_while(|p| p.0 < first_shift_s - 0.1).collect();
    let stays = |level: f64| {
        let near: Vec<f64> = first.iter().filter(|p| (p.1 - level).abs() < SAME).map(|p| p.0).collect();
        Some((*near.first()?, *near.last()?)).filter(|(a, b)| b - a > HELD_S)
    };
    let levels = (1..24).map(|i| f64::from(i) * SAME);
    let mut found: Vec<(f64, f64, f64)> =
        levels.filter_map(|level| stays(level).map(|(from_s, to_s)| (level, to_s, to_s - from_s))).collect();
    found.sort_by(|a, b| b.2.total_cmp(&a.2));
    found.truncate(3);
    found.into_iter().map(|(level, to_s, _)| (level, to_s)).collect()
}
