//! What the program answers for a measured car: the recommended launch of a driver who tests cars for a living, its figures and their
//! bands.

use bitepoint_inputs::rules::Rules;
use bitepoint_inputs::scenario::DriverScatter;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::run::Run;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runner::bands::{self, possible_start};
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::watch::Nobody;
use rayon::prelude::*;

use super::best_launch::tester_day;
use super::evidence::{Car, Mark};

/// Moved sheets for each band.
const BAND_RUNS: u32 = 256;
const SEED: u32 = 1974;

/// A car with the launch that the program recommends to the tester.
#[derive(Debug, Clone)]
pub struct Launched {
    /// The car on its day, with that launch.
    pub case: Case,
    /// The car as it is expected.
    pub expected: Vehicle,
    /// How it is driven.
    pub scenario: Scenario,
    /// How consistently.
    pub scatter: DriverScatter,
}

/// From the 5th to the 95th percentile, s or m/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// 5th percentile.
    pub low_s: f64,
    /// 95th percentile.
    pub high_s: f64,
}

impl Interval {
    /// Whether a figure lies in it.
    #[must_use]
    pub fn holds(self, figure: f64) -> bool {
        (self.low_s..=self.high_s).contains(&figure)
    }

    /// The same with an independent error more: half widths add as squares, 1.645 standard deviations to a half width.
    #[must_use]
    pub fn widened(self, sd: f64) -> Self {
        let middle = 0.5 * (self.low_s + self.high_s);
        let half = (0.5 * (self.high_s - self.low_s)).hypot(1.645 * sd);
        Self { low_s: middle - half, high_s: middle + half }
    }
}

/// What the program answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// Figures of the run as planned in the order of [`Mark::ALL`], s and m/s.
    pub figures: [f64; 3],
    /// Their 5-95 % bands over what is not surely known of car, day and driver.
    pub bands: [Interval; 3],
    /// Moved runs that did not finish.
    pub unfinished: usize,
    /// The run.
    pub run: Run,
}

impl Launched {
    /// # Panics
    /// If a measured car's sheet has no launch: then the program has failed it.
    #[must_use]
    pub fn new(car: &Car, rules: &'static Rules) -> Self {
        Self::of(car.sheet.estimated_by(rules))
    }

    fn of(vehicle: VehicleFile) -> Self {
        let wanted = Wanted { above_redline: true, ..Wanted::usual() };
        let case = Case::new(vehicle, tester_day()).launched(&wanted, &Nobody).unwrap_or_else(|e| panic!("{e}"));
        let resolved = case.resolve().unwrap_or_else(|e| panic!("{e}"));
        Self {
            case,
            expected: resolved.vehicle.vehicle,
            scenario: resolved.scenario.scenario,
            scatter: resolved.scenario.scatter,
        }
    }

    /// The figures of another car, or of this one by other rules, driven alike; nothing if it does not finish.
    #[must_use]
    pub fn figures_of(&self, vehicle: &Vehicle) -> Option<[f64; 3]> {
        figures(&simulate(vehicle, &self.scenario, &Tolerances::default()).ok()?)
    }

    /// The answer.
    ///
    /// # Panics
    /// If the recommended launch does not get the car to the end of the quarter mile.
    #[must_use]
    pub fn prediction(&self) -> Prediction {
        let run = simulate(&self.expected, &self.scenario, &Tolerances::default()).unwrap_or_else(|e| panic!("{e}"));
        let of_run = figures(&run).expect("a recommended launch arrives");
        let moved: Vec<[f64; 3]> = (0..BAND_RUNS)
            .into_par_iter()
            .filter_map(|draw| {
                let (vehicle, scenario) = possible_start(&self.case, &self.expected, &self.scatter, draw, SEED);
                figures(&simulate(&vehicle, &scenario, &Tolerances::default()).ok()?)
            })
            .collect();
        let bands = core::array::from_fn(|mark| {
            let band = bands::Band::of(moved.iter().map(|figures| figures[mark]).collect());
            Interval { low_s: band.low_s, high_s: band.high_s }
        });
        Prediction { figures: of_run, bands, unfinished: BAND_RUNS as usize - moved.len(), run }
    }
}

fn figures(run: &Run) -> Option<[f64; 3]> {
    let time_s = |name: &str| run.gates.iter().find(|gate| gate.name == name)?.passed?.with_rollout_s;
    let trap_mps = run.traps.iter().find(|trap| trap.name == "1320 ft")?.speed_mps?;
    Some(Mark::ALL.map(|mark| match mark {
        Mark::Sixty => time_s("60 mph"),
        Mark::Quarter => time_s("1320 ft"),
        Mark::Trap => Some(trap_mps),
    }))
    .and_then(|[a, b, c]| Some([a?, b?, c?]))
}
