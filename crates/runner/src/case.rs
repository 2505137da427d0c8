//! A car and a scenario from files, and the same with single inputs changed.

use bitepoint_inputs::key::{Key, nearest};
use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::{OpenLaunch, ResolvedScenario, ScenarioFile};
use bitepoint_inputs::scenario_keys::SCENARIO_KEYS;
use bitepoint_inputs::vehicle::{ResolvedVehicle, VehicleFile};
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use crate::plan::{Wanted, recommend};
use crate::watch::Watch;

/// A car on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The car.
    pub vehicle: VehicleFile,
    /// The day, the road and how the car is driven.
    pub scenario: ScenarioFile,
    /// What is taken for whatever the scenario leaves open of the launch; a rule of thumb where there is nothing.
    pub launch: Option<OpenLaunch>,
}

/// Which file a key belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// A vehicle's.
    Vehicle,
    /// A scenario's.
    Scenario,
}

/// A car and a scenario of which every value is known, and how each came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Resolved {
    /// The car.
    pub vehicle: ResolvedVehicle,
    /// The scenario.
    pub scenario: ResolvedScenario,
}

/// A key by its dotted path, and whose it is. A path that both files have (`name`) is the vehicle's.
///
/// # Errors
/// The nearest known path, if any is near.
pub fn find_key(path: &str) -> Result<(Owner, &'static Key), Option<&'static str>> {
    let within = |keys: &'static [&'static Key]| keys.iter().copied().find(|k| k.path == path);
    within(VEHICLE_KEYS)
        .map(|key| (Owner::Vehicle, key))
        .or_else(|| within(SCENARIO_KEYS).map(|key| (Owner::Scenario, key)))
        .ok_or_else(|| {
            let all: Vec<&'static Key> = VEHICLE_KEYS.iter().chain(SCENARIO_KEYS).copied().collect();
            nearest(path, &all)
        })
}

impl Case {
    /// A car on a day, launched by rule of thumb.
    #[must_use]
    pub fn new(vehicle: VehicleFile, scenario: ScenarioFile) -> Self {
        Self { vehicle, scenario, launch: None }
    }

    /// The same, with the recommended launch for whatever the scenario leaves open. Where no launch can be recommended the rule of thumb
    /// stays: its run shows what is wrong.
    ///
    /// # Errors
    /// Files that do not go together.
    pub fn launched(self, wanted: &Wanted, watch: &dyn Watch) -> Result<Self, Problems> {
        self.resolve()?;
        let launch = recommend(&self, wanted, watch).ok().map(|found| found.launch.open());
        Ok(Self { launch, ..self })
    }

    /// The same case with one key of either file set to another value, written as in TOML without quotes:
    /// `("launch.revs", "4200 rpm")`.
    ///
    /// # Errors
    /// An unknown key, a value that the key does not take, or one that cannot be true with the others.
    pub fn with(&self, key: &str, value: &str) -> Result<Self, Problems> {
        let mut changed = self.clone();
        match find_key(key) {
            Ok((Owner::Vehicle, _)) => changed.vehicle = self.vehicle.with(key, value)?,
            Ok((Owner::Scenario, _)) => changed.scenario = self.scenario.with(key, value)?,
            // Each file knows how to say that it does not know a key; the one with the nearest key says it best.
            Err(near) => match near.map(find_key) {
                Some(Ok((Owner::Scenario, _))) => changed.scenario = self.scenario.with(key, value)?,
                _ => changed.vehicle = self.vehicle.with(key, value)?,
            },
        }
        Ok(changed)
    }

    /// Every value, with its story.
    ///
    /// # Errors
    /// Files that do not go together.
    pub fn resolve(&self) -> Result<Resolved, Problems> {
        let vehicle = self.vehicle.resolve();
        let scenario = self.scenario.resolve_launched(&vehicle.vehicle, self.launch.as_ref())?;
        Ok(Resolved { vehicle, scenario })
    }

    /// The car and the scenario with every uncertain value moved by `normal(key)` of its standard deviations. What the scenario
    /// leaves open of the launch is as planned for the car that was `expected`.
    #[must_use]
    pub fn drawn(&self, expected: &Vehicle, normal: &dyn Fn(&str) -> f64) -> (Vehicle, Scenario) {
        (self.vehicle.resolve_with(normal), self.scenario.resolve_with(expected, self.launch.as_ref(), normal))
    }

    /// Keys of the values that have a spread, the vehicle's first.
    ///
    /// # Errors
    /// Files that do not go together.
    pub fn uncertain_keys(&self) -> Result<Vec<&'static str>, Problems> {
        let resolved = self.resolve()?;
        let entries = resolved.vehicle.entries.iter().chain(&resolved.scenario.entries);
        Ok(entries.filter(|e| e.spread_sd_si > 0.0).map(|e| e.key.path).collect())
    }
}
