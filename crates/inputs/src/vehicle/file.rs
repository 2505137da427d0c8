//! A vehicle file, read and resolved to a car of which every value is known.

use bitepoint_physics::vehicle::Vehicle;

use super::{body, check, engine, transmission};
use crate::change;
use crate::document;
use crate::entry::{Entry, Origin};
use crate::given::{self, Givens, Value};
use crate::part::{Fitting, Held, own_spread};
use crate::problem::{Collector, Problems};
use crate::resolver::Resolver;
use crate::vehicle_keys::{self as keys, VEHICLE_KEYS};

/// A vehicle file: what it gives; the rest is estimated when it is resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct VehicleFile {
    pub(crate) file: String,
    pub(crate) given: Givens,
    /// What parts did to it; nothing for the file as it stands.
    pub(crate) fitting: Option<Fitting>,
}

/// A car of which every value is known, and how each came about.
#[derive(Debug, Clone, PartialEq)]
pub struct ResolvedVehicle {
    /// Name of the car.
    pub name: String,
    /// The car.
    pub vehicle: Vehicle,
    /// Every value, in the order of the table of keys.
    pub entries: Vec<Entry>,
}

impl VehicleFile {
    /// Reads the text of a file; its name decides the format (".json", else TOML) and stands in messages.
    ///
    /// # Errors
    /// Everything that is wrong with the file.
    pub fn parse(file: &str, text: &str) -> Result<Self, Problems> {
        let mut collector = Collector::new(file);
        let members = document::read(file, text, &mut collector);
        let given = given::read(&members, VEHICLE_KEYS, &mut collector);
        Self::checked(file, given, None, collector)
    }

    pub(crate) fn checked(
        file: &str,
        given: Givens,
        fitting: Option<Fitting>,
        mut collector: Collector,
    ) -> Result<Self, Problems> {
        let readable = !collector.problems.iter().any(|p| p.fault.stops_reading());
        if readable {
            check::check(&given, &mut collector);
        }
        collector.finish()?;
        Ok(Self { file: file.to_owned(), given, fitting })
    }

    /// Name of the file.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Name of the car.
    #[must_use]
    pub fn name(&self) -> &str {
        self.given.text(&keys::NAME).unwrap_or_default()
    }

    /// The same file with one key set to another value, written as in TOML without quotes: `("mass", "1400 kg")`.
    ///
    /// # Errors
    /// An unknown key, a value that the key does not take, or one that cannot be true with the others.
    pub fn with(&self, key: &str, value: &str) -> Result<Self, Problems> {
        let mut collector = Collector::new(&self.file);
        let mut given = self.given.clone();
        change::set(&mut given, VEHICLE_KEYS, key, value, &mut collector);
        let mut fitting = self.fitting.clone();
        if let Some(fitting) = &mut fitting {
            change::set(&mut fitting.base, VEHICLE_KEYS, key, value, &mut collector);
        }
        Self::checked(&self.file, given, fitting, collector)
    }

    /// The car as given and estimated, with the story of every value.
    #[must_use]
    pub fn resolve(&self) -> ResolvedVehicle {
        let held = self.held(None);
        let mut resolver = self.fit(Resolver::recording(&self.given), &held);
        let name = self.name().to_owned();
        resolver.record_plain(&keys::NAME, || Value::Text(name.clone()), "", Origin::Given);
        let vehicle = assemble(&mut resolver);
        let mut entries = resolver.into_entries();
        entries.sort_by_key(|e| VEHICLE_KEYS.iter().position(|k| k.path == e.key.path));
        ResolvedVehicle { name, vehicle, entries }
    }

    /// The car with every uncertain value moved by `normal(key)` of its standard deviations (clipped to three); estimates that
    /// follow from moved values follow them. Quick, and never an impossible car.
    #[must_use]
    pub fn resolve_with(&self, normal: &dyn Fn(&str) -> f64) -> Vehicle {
        let held = self.held(Some(normal));
        assemble(&mut self.fit(Resolver::moved(&self.given, normal), &held))
    }

    /// Values of the car without its parts; nothing where there are none.
    fn held(&self, normal: Option<&dyn Fn(&str) -> f64>) -> Held {
        self.fitting.as_ref().map_or_else(Held::default, |fitting| {
            let mut resolver = Resolver::noting(&fitting.base, normal);
            assemble(&mut resolver);
            resolver.into_noted()
        })
    }

    fn fit<'a>(&'a self, resolver: Resolver<'a>, held: &'a Held) -> Resolver<'a> {
        match &self.fitting {
            Some(fitting) => resolver.with_parts(fitting, held),
            None => resolver,
        }
    }

    /// Keys of the values that have a spread.
    #[must_use]
    pub fn uncertain_keys(&self) -> Vec<&'static str> {
        self.resolve().entries.iter().filter(|e| e.spread_sd_si > 0.0).map(|e| e.key.path).collect()
    }

    /// The names by which `resolve_with` asks for deviates: the keys of the values that have a spread; that of a value which a
    /// part sets with a spread of its own begins with "part.", because it errs apart from the value that it replaces.
    #[must_use]
    pub fn uncertain_inputs(&self) -> Vec<String> {
        let sets = |key| self.fitting.as_ref().is_some_and(|fitting| fitting.sets(key));
        let resolved = self.resolve();
        let uncertain = resolved.entries.iter().filter(|e| e.spread_sd_si > 0.0);
        uncertain.map(|e| if sets(e.key) { own_spread(e.key.path) } else { e.key.path.to_owned() }).collect()
    }
}

fn assemble(r: &mut Resolver<'_>) -> Vehicle {
    let plan = body::plan(r);
    let (engine, rating) = engine::resolve(r);
    let chassis = body::chassis(r, plan);
    let rubber = body::rubber(r);
    let front_tyre = body::tyre(r, &body::FRONT, &rubber, &chassis, chassis.front_weight_share);
    let rear_tyre = body::tyre(r, &body::REAR, &rubber, &chassis, 1.0 - chassis.front_weight_share);
    let clutch = transmission::clutch(r, &rating);
    let gearbox = transmission::gearbox(r, &rating, plan);
    let radius_m = if plan.driven == "front" { front_tyre.rolling_radius_m } else { rear_tyre.rolling_radius_m };
    let wheels = 2.0 * (front_tyre.wheel_inertia_kgm2 + rear_tyre.wheel_inertia_kgm2);
    let shuffle = transmission::Shuffle { car_kgm2: chassis.mass_kg * radius_m * radius_m + wheels };
    let driveline = transmission::driveline(r, &rating, &gearbox, plan, shuffle);
    Vehicle { engine, clutch, gearbox, driveline, front_tyre, rear_tyre, chassis }
}
