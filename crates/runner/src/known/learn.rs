//! What known results teach about a car.

use core::fmt;

use bitepoint_inputs::belief::Belief;
use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::scenario::{DriverScatter, ScenarioFile};
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use nalgebra::{DMatrix, DVector, SymmetricEigen};
use rayon::prelude::*;

use super::result::{Figure, KnownResult};
use crate::bands::{Band, deviate};
use crate::case::Case;
use crate::plan::{Wanted, scattered};
use crate::slope::slope;
use crate::watch::Nobody;

/// A car of which results are known, and what they changed.
#[derive(Debug, Clone)]
pub struct Learned {
    /// The car as it is now believed to be.
    pub vehicle: VehicleFile,
    /// Each result with what the sheet alone says and what it says now.
    pub shown: Vec<Shown>,
    /// Values that moved most, the most moved first.
    pub moved: Vec<Moved>,
}

/// One result before and after.
#[derive(Debug, Clone)]
pub struct Shown {
    /// The result.
    pub known: KnownResult,
    /// By the sheet alone, s or m/s, with its 5-95 % band.
    pub before: (f64, Band),
    /// With all results.
    pub after: (f64, Band),
}

/// A value before and after, in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Its key.
    pub key: &'static str,
    /// With unit and spread.
    pub before: String,
    /// Likewise.
    pub after: String,
    /// By how many of its standard deviations it moved.
    pub by_sd: f64,
}

/// Why nothing was learned.
#[derive(Debug, Clone, PartialEq)]
pub enum LearnError {
    /// A driver who is not known.
    Files(Problems),
    /// The car does not get to the mark at all.
    NotReached(KnownResult),
    /// The sheet cannot reach the figure: what it says, with its 5-95 % band.
    OutOfReach(KnownResult, f64, Band),
}

impl LearnError {
    /// In words.
    #[must_use]
    pub fn text(&self, system: UnitSystem) -> String {
        match self {
            Self::Files(problems) => problems.to_string(),
            Self::NotReached(known) => {
                format!("{}: by this sheet the car does not get there", known.text(system))
            }
            Self::OutOfReach(known, computed, band) => format!(
                "{}: this sheet cannot reach it. By the sheet it is {} (90 %: {} to {})\n    accepted: a figure of this very car, or a sheet that fits it: check weight, power, gears and tyres, the driver, and whether the clock had a rollout",
                known.text(system),
                known.show(*computed, system),
                known.show(band.low_s, system),
                known.show(band.high_s, system),
            ),
        }
    }
}

impl fmt::Display for LearnError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(UnitSystem::Us))
    }
}

impl core::error::Error for LearnError {}

/// Correlation of the errors of two figures of one kind (two times), and of a time and a trap speed: one start, one day (from memory, as in the
/// calibration on road tests).
const OF_TIMES: f64 = 0.8;
const OF_TIME_AND_TRAP: f64 = -0.45;
/// How a sentence about what is known begins.
pub const KNOWN: &str = "Known: ";
/// A result so many standard deviations off is not this car's.
const FARTHEST: f64 = 3.0;
/// Rounds of launch and slopes: a second one moves the mean by a tenth of what the first did.
const ROUNDS: usize = 2;
/// Starts of the driver behind a slope.
const STARTS: u32 = 4;
/// Moved cars for each band.
const BAND_RUNS: u32 = 128;
const SEED: u32 = 6;
/// Values that moved by less are not worth a line.
const LEAST_MOVED: f64 = 0.1;
const MOST_TOLD: usize = 6;

/// How the car is driven to each result.
struct Driven {
    known: KnownResult,
    scenario: Scenario,
    scatter: DriverScatter,
}

impl Driven {
    fn new(vehicle: &VehicleFile, known: KnownResult) -> Result<Self, LearnError> {
        let day = ScenarioFile::default().with("driver", known.driver).map_err(LearnError::Files)?;
        // Who tests cars takes them to the limiter where that saves a shift.
        let wanted = Wanted { above_redline: known.driver == "tester", ..Wanted::to(known.target()) };
        let case = Case::new(vehicle.clone(), day).launched(&wanted, &Nobody).map_err(LearnError::Files)?;
        let day = case.resolve().map_err(LearnError::Files)?.scenario;
        Ok(Self { known, scenario: known.target().ending(&day.scenario), scatter: day.scatter })
    }

    /// Logarithm of the figure of a car that is driven so.
    fn figure(&self, vehicle: &Vehicle) -> Option<f64> {
        self.known.of(&simulate(vehicle, &self.scenario, &Tolerances::default()).ok()?).map(f64::ln)
    }

    /// The same over some starts of the driver: what single starts jump by is evened out.
    fn mean_figure(&self, vehicle: &Vehicle) -> Option<f64> {
        let figures: Vec<f64> = (0..STARTS)
            .filter_map(|start| {
                let normal = |key: &str| deviate(key, start, SEED);
                let driver = scattered(&self.scenario.driver, &self.scatter, vehicle, &normal);
                let scenario = Scenario { driver, ..self.scenario.clone() };
                self.known.of(&simulate(vehicle, &scenario, &Tolerances::default()).ok()?)
            })
            .collect();
        (!figures.is_empty()).then(|| figures.iter().map(|figure| figure.ln()).sum::<f64>() / figures.len() as f64)
    }

    fn band(&self, vehicle: &VehicleFile) -> Option<Band> {
        let figures: Vec<f64> = (0..BAND_RUNS)
            .into_par_iter()
            .filter_map(|draw| self.figure(&vehicle.resolve_with(&|key| deviate(key, draw, SEED))))
            .map(f64::exp)
            .collect();
        (!figures.is_empty()).then(|| Band::of(figures))
    }
}

/// Conditions a car's uncertain values on results that are known of it.
///
/// # Errors
/// A result that the sheet cannot reach.
pub fn learn(vehicle: &VehicleFile, results: &[KnownResult], system: UnitSystem) -> Result<Learned, LearnError> {
    let names = vehicle.uncertain_inputs();
    let known = DVector::from_iterator(results.len(), results.iter().map(|known| known.value.ln()));
    let errors = DMatrix::from_fn(results.len(), results.len(), |i, j| {
        correlation(i == j, &results[i], &results[j]) * results[i].relative_sd * results[j].relative_sd
    });
    let mut mean = DVector::zeros(names.len());
    let mut believed = vehicle.clone();
    let mut before = Vec::new();
    for round in 0..ROUNDS {
        let driven: Vec<Driven> =
            results.iter().map(|known| Driven::new(&believed, *known)).collect::<Result<_, _>>()?;
        let computed = figures(&driven, &believed.resolve().vehicle)?;
        let slopes = slopes(&driven, vehicle, &names, &mean);
        let variance = &slopes * slopes.transpose() + &errors;
        let missed = &known - &computed;
        if round == 0 {
            for (i, driven) in driven.iter().enumerate() {
                let band = driven.band(vehicle).ok_or(LearnError::NotReached(driven.known))?;
                if missed[i].abs() > FARTHEST * variance[(i, i)].sqrt() {
                    return Err(LearnError::OutOfReach(driven.known, computed[i].exp(), band));
                }
                before.push((computed[i].exp(), band));
            }
        }
        let Some(inverse) = variance.try_inverse() else { break };
        mean = slopes.transpose() * &inverse * (missed + &slopes * &mean);
        believed = vehicle.knowing(Belief::new(&names, mean.as_slice().to_vec(), surer(&slopes, &inverse)));
    }
    let driven: Vec<Driven> = results.iter().map(|known| Driven::new(&believed, *known)).collect::<Result<_, _>>()?;
    let after = figures(&driven, &believed.resolve().vehicle)?;
    let mut shown = Vec::new();
    for ((driven, before), after) in driven.iter().zip(before).zip(after.iter()) {
        let band = driven.band(&believed).ok_or(LearnError::NotReached(driven.known))?;
        shown.push(Shown { known: driven.known, before, after: (after.exp(), band) });
    }
    let moved = moved(vehicle, &believed, system);
    let told = told(&shown, &moved, system);
    let belief = believed.belief().cloned().map(|belief| belief.telling(told));
    let vehicle = belief.map_or(believed.clone(), |belief| believed.knowing(belief));
    Ok(Learned { vehicle, shown, moved })
}

fn correlation(same: bool, a: &KnownResult, b: &KnownResult) -> f64 {
    match (a.figure, b.figure) {
        _ if same => 1.0,
        // Two people on two days.
        _ if a.driver != b.driver => 0.0,
        (Figure::Time(_), Figure::Time(_)) | (Figure::Trap(_), Figure::Trap(_)) => OF_TIMES,
        _ => OF_TIME_AND_TRAP,
    }
}

fn figures(driven: &[Driven], vehicle: &Vehicle) -> Result<DVector<f64>, LearnError> {
    let each = driven.iter().map(|driven| driven.figure(vehicle).ok_or(LearnError::NotReached(driven.known)));
    Ok(DVector::from_vec(each.collect::<Result<_, _>>()?))
}

/// Change of each figure with each deviate about a mean.
fn slopes(driven: &[Driven], vehicle: &VehicleFile, names: &[String], mean: &DVector<f64>) -> DMatrix<f64> {
    let columns: Vec<DVector<f64>> = (0..names.len())
        .into_par_iter()
        .map(|place| {
            let moved = |by: f64| {
                vehicle.resolve_with(&|key| {
                    let found = names.iter().position(|name| name == key);
                    found.map_or(0.0, |i| mean[i] + if i == place { by } else { 0.0 })
                })
            };
            DVector::from_iterator(driven.len(), driven.iter().map(|driven| slope(|z| driven.mean_figure(&moved(z)))))
        })
        .collect();
    DMatrix::from_columns(&columns)
}

/// Directions in which the deviates are surer, and by how much: from the variance 1 - Jᵀ S⁻¹ J = A², A = 1 - Σ β v vᵀ.
fn surer(slopes: &DMatrix<f64>, inverse: &DMatrix<f64>) -> Vec<(Vec<f64>, f64)> {
    // The few directions lie in the rows of J: with Jᵀ = Q R, Jᵀ S⁻¹ J = Q (R S⁻¹ Rᵀ) Qᵀ.
    let (q, r) = slopes.transpose().qr().unpack();
    let eigen = SymmetricEigen::new(&r * inverse * r.transpose());
    let directions = q * eigen.eigenvectors;
    let betas = eigen.eigenvalues.iter().map(|known| 1.0 - (1.0 - known).max(0.0).sqrt());
    betas.enumerate().map(|(i, beta)| (directions.column(i).iter().copied().collect(), beta)).collect()
}

fn moved(vehicle: &VehicleFile, believed: &VehicleFile, system: UnitSystem) -> Vec<Moved> {
    let (before, after) = (vehicle.resolve().entries, believed.resolve().entries);
    let pairs = before.iter().zip(&after).filter(|(a, _)| a.spread_sd_si > 0.0);
    let mut moved: Vec<Moved> = pairs
        .filter_map(|(a, b)| {
            let by_sd = (b.si_value()? - a.si_value()?) / a.spread_sd_si;
            let text = |entry: &bitepoint_inputs::entry::Entry| {
                format!("{} {}", entry.value_text(system), entry.spread_text(system)).trim().to_owned()
            };
            Some(Moved { key: a.key.path, before: text(a), after: text(b), by_sd })
        })
        .filter(|moved| moved.by_sd.abs() >= LEAST_MOVED)
        .collect();
    moved.sort_by(|a, b| b.by_sd.abs().total_cmp(&a.by_sd.abs()));
    moved
}

fn told(shown: &[Shown], moved: &[Moved], system: UnitSystem) -> Vec<String> {
    let of_result = |shown: &Shown| {
        let show = |figure: f64| shown.known.show(figure, system);
        let of = |(figure, band): (f64, Band)| {
            format!("{} (90 %: {} to {})", show(figure), show(band.low_s), show(band.high_s))
        };
        format!(
            "{KNOWN}{}. By the sheet alone it would be {}; the car is now taken as one that does {}.",
            shown.known.text(system),
            of(shown.before),
            of(shown.after)
        )
    };
    let changed: Vec<String> =
        moved.iter().take(MOST_TOLD).map(|m| format!("{} from {} to {}", m.key, m.before, m.after)).collect();
    let what = if changed.is_empty() {
        "It fits the sheet: no estimate moved by a tenth of its spread.".to_owned()
    } else {
        format!("What it changed most: {}.", changed.join("; "))
    };
    let mut told: Vec<String> = shown.iter().map(of_result).collect();
    if let Some(last) = told.last_mut() {
        *last = format!("{last} {what}");
    }
    told
}
