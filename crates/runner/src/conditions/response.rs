//! The change of a time over a range of each condition, for charts.

use serde::Serialize;

use super::condition::{CONDITIONS, Condition, Conditions};
use super::timer::Timer;
use crate::bands::Band;

/// A time against one condition, the others as on the day.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Response {
    /// The condition.
    pub condition: Condition,
    /// Its value on the day, SI; of a surveyed slope the mean up to the gate.
    pub day_si: f64,
    /// Its value in the reference, SI.
    pub reference_si: f64,
    /// Rising in the condition; the day and the reference are among them. A point that the car does not reach the gate at is left out.
    pub points: Vec<Point>,
}

/// One point of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Point {
    /// Value of the condition, SI.
    pub at_si: f64,
    /// Time there less the day's, s.
    pub change_s: f64,
    /// Spread of that difference; nothing if none was computed.
    pub band_s: Option<Band>,
}

/// Least range of each condition, SI: ±3 %, ±10 m/s, -10 to 40 °C, 800 to 1050 hPa, 0 to 100 %, none to 0.6 m.
const RANGES: [(f64, f64); CONDITIONS] =
    [(-0.03, 0.03), (-10.0, 10.0), (-10.0, 40.0), (80e3, 105e3), (0.0, 1.0), (0.0, 0.6)];
/// Points over the range, before those of day and reference.
const POINTS: usize = 9;

/// Values of a condition at which a response is taken: over its range, widened to hold `day_si` and `reference_si`.
pub(super) fn values(condition: Condition, day_si: f64, reference_si: f64) -> Vec<f64> {
    let (least, most) = RANGES[condition as usize];
    let (low, high) = (least.min(day_si).min(reference_si), most.max(day_si).max(reference_si));
    let even = (0..POINTS).map(|i| i as f64 / (POINTS - 1) as f64);
    // A car gains the first inches slowly: there a rollout is worth the more the shorter it is.
    let even =
        even.map(|share| low + (high - low) * if condition == Condition::Rollout { share * share } else { share });
    let mut values: Vec<f64> = even.chain([day_si, reference_si]).collect();
    values.sort_by(f64::total_cmp);
    values.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * (high - low));
    values
}

/// Times with a condition at each of the values less that of the day, s.
pub(super) fn changes(
    timer: &Timer<'_>,
    day: &Conditions,
    (condition, day_si): (Condition, f64),
    values: &[f64],
) -> Option<Vec<Option<f64>>> {
    let base_s = timer.time_s(day)?;
    let change = |value: &f64| timer.time_s(&day.moved(condition, value - day_si)).map(|time_s| time_s - base_s);
    Some(values.iter().map(change).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_holds_day_and_reference_wherever_they_are() {
        let values = values(Condition::Slope, -0.05, 0.0);
        assert_eq!((values[0], *values.last().expect("points")), (-0.05, 0.03));
        assert!(values.contains(&0.0) && values.windows(2).all(|pair| pair[0] < pair[1]), "{values:?}");
    }
}
