//! The two tables of measured cars. `tests/data/README.md` names their sources.

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::line::{Line, correlation, rms};

/// A road test of 1973 or 1974.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct PeriodRow {
    /// Number of the row.
    pub row: u32,
    /// Number of cylinders.
    pub cylinders: u32,
    /// Displacement, cubic inches.
    pub displacement_cuin: f64,
    /// Power, hp; the table calls it gross.
    pub gross_power_hp: f64,
    /// Ratio of the driven axle.
    pub axle_ratio: f64,
    /// Weight, lb.
    pub weight_lb: f64,
    /// Measured quarter mile, s.
    pub quarter_mile_s: f64,
    /// 1 for a manual gearbox.
    pub manual: u32,
    /// Number of forward gears.
    pub forward_gears: usize,
}

/// A road test of 2015.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ModernRow {
    /// Kind of body.
    pub body: String,
    /// Driven axle: FWD, RWD or AWD.
    pub driven: String,
    /// Weight, lb.
    pub weight_lb: f64,
    /// Measured 0-30 mph, s.
    pub t_0_30_s: f64,
    /// Measured 0-60 mph, s.
    pub t_0_60_s: f64,
    /// Measured quarter mile, s.
    pub t_quarter_mile_s: f64,
}

/// The 32 tests of 1973-74.
#[must_use]
pub fn period() -> Vec<PeriodRow> {
    read(include_str!("../../data/mtcars_quarter_mile.csv"))
}

/// The 110 tests of 2015.
#[must_use]
pub fn modern() -> Vec<ModernRow> {
    read(include_str!("../../data/road_tests_2015.csv"))
}

fn read<T: DeserializeOwned>(csv: &str) -> Vec<T> {
    csv::Reader::from_reader(csv.as_bytes())
        .deserialize()
        .map(|row| row.expect("a row of the committed table"))
        .collect()
}

/// The regression ln(time) = slope ln(weight / power) + intercept on rows of 1973-74, lb and hp as they stand, its RMS error, s, and the
/// correlation of both.
#[must_use]
pub fn regression<'a>(rows: impl Iterator<Item = &'a PeriodRow> + Clone) -> (Line, f64, f64) {
    let points: Vec<(f64, f64)> =
        rows.clone().map(|r| ((r.weight_lb / r.gross_power_hp).ln(), r.quarter_mile_s.ln())).collect();
    let line = Line::through(&points);
    let pairs: Vec<(f64, f64)> =
        rows.map(|r| (r.quarter_mile_s, line.at((r.weight_lb / r.gross_power_hp).ln()).exp())).collect();
    (line, rms(pairs.iter().map(|p| p.1 - p.0)), correlation(&pairs))
}
