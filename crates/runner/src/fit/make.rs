//! The order of a fit: read, find, guess, solve, judge, foretell.

use core::fmt;
use std::path::Path;

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::{OpenLaunch, ScenarioFile};
use bitepoint_inputs::vehicle::{ResolvedVehicle, VehicleFile};
use bitepoint_inputs::vehicle_keys as keys;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runlog::log::Log;
use bitepoint_runlog::map::ColumnMap;
use bitepoint_runlog::read::{Keep, Reading, read};

use super::coast_down::{CoastDown, effective_mass_kg, find_coast_downs, slope_given};
use super::cross::left_out;
use super::identify::Told;
use super::joint::{Joint, first_guess};
use super::memo::Memo;
use super::observed::{Observed, Refused, observe};
use super::outcome::Fit;
use super::road_load::{Rolling, road_load};
use super::search::search;
use super::tell::told_of;
use crate::watch::Watch;

/// What is asked for.
pub struct Asked<'a> {
    /// Logs, read whole.
    pub logs: &'a [Log],
    /// The car as its file has it.
    pub vehicle: &'a VehicleFile,
    /// The day and, as far as the logs do not show it, how the car was driven.
    pub scenario: &'a ScenarioFile,
    /// The launch for whatever the scenario leaves open; a rule of thumb where there is none.
    pub launch: Option<&'a OpenLaunch>,
    /// Whether each start is foretold from the others: a fit for each.
    pub leave_out: bool,
    /// Whether coast-downs go there and back in turn, where no positions say which way.
    pub there_and_back: bool,
}

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq)]
pub enum FitError {
    /// Files that do not go together.
    Files(Problems),
    /// No start and no coast-down that could be taken; the starts that were found.
    NothingToFit(Vec<Refused>),
    /// The ratios of engine speed to road speed are not this car's: the share of the time in which they are.
    OtherCar(String, f64),
    /// The least could not be found.
    NotFound,
    /// Somebody called it off.
    CalledOff,
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Files(problems) => write!(f, "{problems}"),
            Self::NothingToFit(refused) => {
                write!(f, "there is nothing to fit: no standing start at full load and no coast-down")?;
                for r in refused.iter().take(5) {
                    write!(f, "\n    {}: the start at {:.1} s is not taken: {}", r.log, r.at_s, r.why)?;
                }
                write!(
                    f,
                    "\n    accepted: a log of standing starts at full throttle, or of the car rolling out in neutral for 12 s or more from over 12 m/s (27 mph)"
                )
            }
            Self::OtherCar(log, share) => write!(
                f,
                "{log}: engine speed over road speed is that of one of this car's gears in only {:.0} % of the time: is this a log of another car, or are the ratios or the tyre size wrong?",
                100.0 * share
            ),
            Self::NotFound => write!(f, "the fit did not come to an end: the logs and the car do not go together"),
            Self::CalledOff => write!(f, "stopped; nothing was written"),
        }
    }
}

impl core::error::Error for FitError {}

/// Most rows of a log that is read whole.
const MOST_ROWS: usize = 2_000_000;
/// Under this share of the time in the car's gears a log is of another car.
const OWN_RATIOS: f64 = 0.3;
/// What is not known of the slope of a road that is only said to be flat (common practice, no source).
const FLAT: &str = "{ value = \"0 %\", spread = \"0.3 %\" }";
/// Revs that are at least so near to the expected limiter may be its doing, standard deviations.
const LOW_LIMITER_SD: f64 = 0.5;

/// Reads a log for a fit.
///
/// # Errors
/// As [`read`].
pub fn read_for_fit(path: &Path, map: &ColumnMap) -> Result<Log, Problems> {
    read(path, &Reading { map: map.clone(), keep: Keep::Everything { most_rows: MOST_ROWS } })
}

/// Whether some start may have run into the engine's limiter: an engine that was shifted well under it says nothing about it, but a late shift
/// looks a little like a low limiter.
fn reaches_limiter(starts: &[Observed], car: &ResolvedVehicle) -> bool {
    let limiter = car.entries.iter().find(|entry| entry.key.path == keys::LIMITER.path);
    let Some(lowest) = limiter.and_then(|entry| entry.moved_si(-LOW_LIMITER_SD)) else { return true };
    starts.iter().any(|start| start.highest_radps.is_none_or(|highest| highest >= lowest))
}

/// Fits the car's unknowns.
///
/// # Errors
/// Nothing to fit, another car's log, or files that do not go together.
pub fn fit(asked: &Asked<'_>, watch: &dyn Watch) -> Result<Fit, FitError> {
    let folded = asked.vehicle.folded();
    let asked = &Asked { vehicle: &folded, ..*asked };
    let before = asked.vehicle.resolve();
    let car = &before.vehicle;
    let slope_known = slope_given(asked.scenario, car);
    let scenario = if slope_known {
        asked.scenario.clone()
    } else {
        asked.scenario.with("road.slope", FLAT).map_err(FitError::Files)?
    };
    let day = scenario.resolve_launched(car, asked.launch).map_err(FitError::Files)?;
    let (starts, refused) = all_starts(asked.logs, car);
    let coasts = all_coasts(asked);
    if starts.is_empty() && coasts.is_empty() {
        return Err(FitError::NothingToFit(refused));
    }
    if let Some((log, share)) = starts.iter().find_map(|s| Some((&s.log, s.ratios_fit.filter(|f| *f < OWN_RATIOS)?))) {
        return Err(FitError::OtherCar(log.clone(), share));
    }

    let mut inputs = asked.vehicle.uncertain_inputs();
    if !reaches_limiter(&starts, &before) {
        inputs.retain(|input| input != keys::LIMITER.path);
    }
    inputs.extend(scenario.uncertain_keys(car).into_iter().map(str::to_owned));
    let mut z = vec![0.0; inputs.len()];
    for start in &starts {
        z.extend(first_guess(start, &day.scenario, car));
    }
    z.extend(vec![0.0; coasts.len()]);
    let joint = Joint {
        vehicle: asked.vehicle,
        scenario: &scenario,
        launch: asked.launch,
        expected: car,
        starts: starts.iter().collect(),
        coasts: &coasts,
        inputs: inputs.clone(),
        factors: [1.0; 2],
        watch,
        memos: starts.iter().map(|_| Memo::default()).collect(),
    };
    let (mut joint, z) = joint.seen(&z);
    let failed = || if watch.called_off() { FitError::CalledOff } else { FitError::NotFound };
    let least = search(&mut joint, &z).and_then(|found| joint.settled(found)).ok_or_else(failed)?;
    let left_out = if asked.leave_out { left_out(&joint, &least.values) } else { Vec::new() };
    if watch.called_off() {
        return Err(FitError::CalledOff);
    }
    let rolling = rolling(car, &day.scenario);
    let mut fit = told_of(&joint, &least, &before, &day.entries, &inputs);
    fit.road_load = road_load(&coasts, &rolling);
    fit.left_out = left_out;
    fit.refused = refused;
    fit.notes = notes(&fit, &starts, &coasts, slope_known);
    Ok(fit)
}

fn all_starts(logs: &[Log], car: &Vehicle) -> (Vec<Observed>, Vec<Refused>) {
    let (mut starts, mut refused) = (Vec::new(), Vec::new());
    for log in logs {
        let (taken, left) = observe(log, car);
        starts.extend(taken);
        refused.extend(left);
    }
    (starts, refused)
}

fn all_coasts(asked: &Asked<'_>) -> Vec<CoastDown> {
    let mut coasts: Vec<CoastDown> = asked.logs.iter().flat_map(find_coast_downs).collect();
    if asked.there_and_back && coasts.iter().all(|c| !c.direction_known) {
        for (i, coast) in coasts.iter_mut().enumerate() {
            coast.direction = if i % 2 == 0 { 1.0 } else { -1.0 };
        }
    }
    coasts
}

fn rolling(car: &Vehicle, day: &Scenario) -> Rolling {
    let tyre = &car.front_tyre;
    Rolling {
        effective_mass_kg: effective_mass_kg(car),
        mass_kg: car.chassis.mass_kg,
        density_kg_per_m3: day.air.density_kg_per_m3(),
        rolling_growth_s2_per_m2: tyre.rolling_quadratic_s2_per_m2 / tyre.rolling_constant,
        slope: day.slope.sine(0.0),
        headwind_mps: day.headwind_mps,
    }
}

fn notes(fit: &Fit, starts: &[Observed], coasts: &[CoastDown], slope_known: bool) -> Vec<String> {
    let mut notes = Vec::new();
    let mut note = |when: bool, text: &str| {
        if when {
            notes.push(text.to_owned());
        }
    };
    note(!fit.converged, "the search was stopped before it came to an end: the values are the best so far");
    note(
        fit.start_misfit > 1.5,
        "the starts stray from the model by more than their noise: something that is not fitted differs (a gust, a lift, another gear), and all errors are larger for it",
    );
    note(
        starts.iter().any(|s| s.held_radps.is_none()),
        "without engine speed the held revs and shift points are unknown too: power and grip are told less well",
    );
    note(
        coasts.is_empty(),
        "there is no coast-down: drag and rolling resistance are told by the starts alone, which is little",
    );
    note(
        coasts.iter().any(|c| c.neutral.is_none()),
        "without engine speed a coast-down is taken to be in neutral because it slows like one; with a gear in, road load comes out too high",
    );
    let one_way = coasts.iter().all(|c| c.direction > 0.0);
    note(
        !coasts.is_empty() && one_way && !slope_known,
        "all coast-downs count as one way: slope and rolling resistance cannot be told apart. Roll out both ways, with positions in the log or --there-and-back",
    );
    note(
        !starts.is_empty(),
        "mass is taken as the file gives it: a log tells force over mass, so power and mass only together",
    );
    note(
        !starts.is_empty(),
        "the rollout of a timing system is not in a speed log; the moment of first movement of each start is, and is fitted",
    );
    if fit.inputs.iter().any(|i| i.told == Told::AtLimit) {
        notes.push(
            "a value went over three of its standard deviations away: give it in the file with a wider spread, or look whether the log is of this car".to_owned(),
        );
    }
    notes
}
