//! What a fit gives, as plain data.

use serde::Serialize;

use super::identify::{Pair, Told};
use super::observed::Refused;
use super::road_load::RoadLoad;

/// The car's unknowns from logs.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Fit {
    /// Every uncertain input of car and day, in the order of their keys.
    pub inputs: Vec<FittedInput>,
    /// Pairs of inputs that these logs tell together alone.
    pub together: Vec<Pair>,
    /// Correlations of the told inputs with each other, in the order of `correlated`.
    pub correlation: Vec<Vec<f64>>,
    /// Keys of the told inputs.
    pub correlated: Vec<String>,
    /// The starts.
    pub starts: Vec<StartFit>,
    /// The coast-downs.
    pub coast_downs: Vec<CoastFit>,
    /// Road load from the coast-downs apart from the car's model.
    pub road_load: Option<RoadLoad>,
    /// Each start foretold from the others; empty with fewer than two starts.
    pub left_out: Vec<LeftOut>,
    /// Starts that were found and not taken.
    pub refused: Vec<Refused>,
    /// Factor by which starts stray more from the model than their speeds' noise; at least 1. Errors above are larger by it.
    pub start_misfit: f64,
    /// The same of the coast-downs.
    pub coast_misfit: f64,
    /// Whether the search ended of itself.
    pub converged: bool,
    /// What to mind, as sentences without a full stop.
    pub notes: Vec<String>,
}

/// One input before and after.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct FittedInput {
    /// Its key.
    pub key: String,
    /// Whether it is the vehicle's; else the scenario's.
    pub of_vehicle: bool,
    /// Value before, SI.
    pub before_si: f64,
    /// Standard deviation before, SI.
    pub before_sd_si: f64,
    /// Value after, SI.
    pub after_si: f64,
    /// Standard error after, SI.
    pub after_sd_si: f64,
    /// Ends of the 95 % interval, SI.
    pub low95_si: f64,
    /// Upper end.
    pub high95_si: f64,
    /// How far it moved, in its standard deviations before.
    pub moved: f64,
    /// Standard error after over standard deviation before.
    pub spread_left: f64,
    /// What the logs say about it.
    pub told: Told,
}

/// Measured and fitted speed.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Trace {
    /// Time, s: of a start from its first movement as measured, of a coast-down from its beginning.
    pub time_s: Vec<f64>,
    /// Measured, m/s.
    pub measured_mps: Vec<f64>,
    /// Fitted, m/s.
    pub fitted_mps: Vec<f64>,
    /// As the vehicle file had it before, m/s.
    pub before_mps: Vec<f64>,
    /// Standard deviation of one measured speed, m/s.
    pub sd_mps: f64,
}

impl Trace {
    /// Root mean square of measured less fitted, m/s.
    #[must_use]
    pub fn rms_mps(&self) -> f64 {
        self.off_mps(&self.fitted_mps)
    }

    /// The same with the vehicle file as it was, m/s.
    #[must_use]
    pub fn rms_before_mps(&self) -> f64 {
        self.off_mps(&self.before_mps)
    }

    fn off_mps(&self, speeds_mps: &[f64]) -> f64 {
        let squares = self.measured_mps.iter().zip(speeds_mps).map(|(m, f)| (m - f).powi(2));
        (squares.sum::<f64>() / self.measured_mps.len().max(1) as f64).sqrt()
    }
}

/// One unknown of the driver in a start.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct StartValue {
    /// What.
    pub name: &'static str,
    /// Value, SI.
    pub value_si: f64,
    /// Standard error, SI.
    pub sd_si: f64,
    /// What the log says about it.
    pub told: Told,
}

/// A start and how it was driven.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct StartFit {
    /// Name of its log.
    pub log: String,
    /// First movement on the log's clock as the log alone says, s.
    pub first_movement_s: f64,
    /// Whether held revs and shifts come from the log.
    pub engine_seen: bool,
    /// What the driver did.
    pub driver: Vec<StartValue>,
    /// Speeds.
    pub trace: Trace,
}

/// A coast-down.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CoastFit {
    /// Name of its log.
    pub log: String,
    /// When it begins on the log's clock, s.
    pub from_s: f64,
    /// Whether it went the way of the first, as far as known.
    pub same_way: bool,
    /// Whether the engine speed shows that no gear was in; nothing without engine speed.
    pub neutral: Option<bool>,
    /// Speeds.
    pub trace: Trace,
}

/// A start foretold by what the others say of the car, with the mean driver of the others.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct LeftOut {
    /// Its place among the starts, from 0.
    pub start: usize,
    /// Speed to which it is timed, m/s.
    pub to_mps: f64,
    /// Measured time to that speed, s from first movement.
    pub measured_s: f64,
    /// Foretold, s.
    pub foretold_s: f64,
    /// The same with the vehicle file as it was, s; nothing if that car does not reach it.
    pub before_s: Option<f64>,
    /// Root mean square of measured less foretold speed, m/s.
    pub rms_mps: f64,
}
