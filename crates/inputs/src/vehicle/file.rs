//! A vehicle file, read and resolved to a car of which every value is known.

use std::sync::Arc;

use bitepoint_physics::vehicle::Vehicle;

use super::{body, check, engine, transmission};
use crate::belief::Belief;
use crate::change;
use crate::document;
use crate::entry::{Entry, Origin};
use crate::given::{self, Givens, Value};
use crate::part::{Fitting, Held, own_spread};
use crate::problem::{Collector, Problems};
use crate::resolver::{Resolver, RulesOf};
use crate::rules::{Rule, Rules};
use crate::vehicle_keys::{self as keys, VEHICLE_KEYS};

/// A vehicle file: what it gives; the rest is estimated when it is resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct VehicleFile {
    pub(crate) file: String,
    pub(crate) given: Givens,
    /// What parts did to it; nothing for the file as it stands.
    pub(crate) fitting: Option<Fitting>,
    /// The numbers by which the rest is estimated.
    pub(crate) rules: RulesOf,
    /// What is known of this car besides.
    pub(crate) belief: Option<Arc<Belief>>,
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
        Self::checked(file, given, None, RulesOf::built_in(), collector)
    }

    pub(crate) fn checked(
        file: &str,
        given: Givens,
        fitting: Option<Fitting>,
        rules: RulesOf,
        mut collector: Collector,
    ) -> Result<Self, Problems> {
        let readable = !collector.problems.iter().any(|p| p.fault.stops_reading());
        if readable {
            check::check(&given, &mut collector);
        }
        collector.finish()?;
        Ok(Self { file: file.to_owned(), given, fitting, rules, belief: None })
    }

    /// The same file, the rest of it estimated by other numbers.
    #[must_use]
    pub fn estimated_by(&self, numbers: &'static Rules) -> Self {
        Self { rules: RulesOf { numbers, ..self.rules }, ..self.clone() }
    }

    /// The same file with what the numbers of the rules leave open told with each value, as if it were the value's own: what they have
    /// in common with each other is lost. For who learns about one car and writes down each value by itself.
    #[must_use]
    pub fn folded(&self) -> Self {
        Self { rules: RulesOf { folded: true, ..self.rules }, ..self.clone() }
    }

    /// The same car with something known of it besides its file.
    #[must_use]
    pub fn knowing(&self, belief: Belief) -> Self {
        Self { belief: Some(Arc::new(belief)), ..self.clone() }
    }

    /// What is known of the car besides its file.
    #[must_use]
    pub fn belief(&self) -> Option<&Belief> {
        self.belief.as_deref()
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

    /// Results that the file gives as known of the car, as they are written.
    #[must_use]
    pub fn known(&self) -> Option<&str> {
        self.given.text(&keys::KNOWN)
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
        Ok(Self { belief: self.belief.clone(), ..Self::checked(&self.file, given, fitting, self.rules, collector)? })
    }

    /// The car as given and estimated, with the story of every value.
    #[must_use]
    pub fn resolve(&self) -> ResolvedVehicle {
        self.resolved().0
    }

    /// The car, and the numbers of the rules that it was estimated by.
    fn resolved(&self) -> (ResolvedVehicle, Vec<Rule>) {
        let belief = self.belief.as_deref();
        let expected = |key: &str| belief.map_or(0.0, |belief| belief.mean(key));
        let held = self.held(belief.map(|_| &expected as &dyn Fn(&str) -> f64));
        let mut resolver = Resolver::new(&self.given, self.rules).recording();
        if belief.is_some() {
            resolver = resolver.moved(&expected, belief);
        }
        let mut resolver = self.fit(resolver, &held);
        let name = self.name().to_owned();
        resolver.record_plain(&keys::NAME, || Value::Text(name.clone()), "", Origin::Given);
        if let Some(known) = self.known() {
            resolver.record_plain(&keys::KNOWN, || Value::Text(known.to_owned()), "", Origin::Given);
        }
        let vehicle = assemble(&mut resolver);
        let used = resolver.used().to_vec();
        let mut entries = resolver.into_entries();
        entries.sort_by_key(|e| VEHICLE_KEYS.iter().position(|k| k.path == e.key.path));
        (ResolvedVehicle { name, vehicle, entries }, used)
    }

    /// The car with every uncertain value moved by `normal(key)` of its standard deviations (clipped to three); estimates that
    /// follow from moved values follow them. Quick, and never an impossible car.
    #[must_use]
    pub fn resolve_with(&self, normal: &dyn Fn(&str) -> f64) -> Vehicle {
        let belief = self.belief.as_deref();
        let drawn = belief.map(|belief| belief.drawn(normal));
        let of_belief = |key: &str| drawn.as_ref().and_then(|drawn| drawn.get(key)).unwrap_or_else(|| normal(key));
        let normal: &dyn Fn(&str) -> f64 = if drawn.is_some() { &of_belief } else { normal };
        let held = self.held(Some(normal));
        assemble(&mut self.fit(Resolver::new(&self.given, self.rules).moved(normal, belief), &held))
    }

    /// Values of the car without its parts; nothing where there are none.
    fn held(&self, normal: Option<&dyn Fn(&str) -> f64>) -> Held {
        self.fitting.as_ref().map_or_else(Held::default, |fitting| {
            let resolver = Resolver::new(&fitting.base, self.rules).noting();
            let mut resolver = match normal {
                Some(normal) => resolver.moved(normal, self.belief.as_deref()),
                None => resolver,
            };
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
    /// part sets with a spread of its own begins with "part.", because it errs apart from the value that it replaces; those of
    /// the numbers of the rules begin with "rule.".
    #[must_use]
    pub fn uncertain_inputs(&self) -> Vec<String> {
        let sets = |key| self.fitting.as_ref().is_some_and(|fitting| fitting.sets(key));
        let (resolved, used) = self.resolved();
        let uncertain = resolved.entries.iter().filter(|e| e.spread_sd_si > 0.0);
        let keys = uncertain.map(|e| if sets(e.key) { own_spread(e.key.path) } else { e.key.path.to_owned() });
        let rules = if self.rules.folded { Vec::new() } else { self.rules.numbers.deviates_of(&used) };
        keys.chain(rules).collect()
    }
}

fn assemble(r: &mut Resolver<'_>) -> Vehicle {
    let year = body::model_year(r);
    let plan = body::plan(r);
    let (engine, rating) = engine::resolve(r, year);
    let chassis = body::chassis(r, plan, year);
    let rubber = body::rubber(r, year);
    let front_tyre = body::tyre(r, &body::FRONT, &rubber, &chassis, chassis.front_weight_share);
    let rear_tyre = body::tyre(r, &body::REAR, &rubber, &chassis, 1.0 - chassis.front_weight_share);
    let clutch = transmission::clutch(r, &rating);
    let gearbox = transmission::gearbox(r, &rating, plan, year);
    let radius_m = if plan.driven == "front" { front_tyre.rolling_radius_m } else { rear_tyre.rolling_radius_m };
    let wheels = 2.0 * (front_tyre.wheel_inertia_kgm2 + rear_tyre.wheel_inertia_kgm2);
    let shuffle = transmission::Shuffle { car_kgm2: chassis.mass_kg * radius_m * radius_m + wheels };
    let driveline = transmission::driveline(r, &rating, &gearbox, plan, shuffle);
    Vehicle { engine, clutch, gearbox, driveline, front_tyre, rear_tyre, chassis }
}
