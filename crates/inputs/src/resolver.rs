//! Takes given values where there are any and estimates where not, and moves each by its spread.

use crate::entry::{Entry, Origin};
use crate::given::{Givens, Moved, Spread, Value};
use crate::key::{Key, Kind};
use crate::part::{Fitting, Held, own_spread};
use crate::tyre_size::TyreSize;

/// An estimated value: how much, how sure, by which rule, whose rule.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Estimate {
    value: f64,
    spread: Spread,
    rule: &'static str,
    origin: Origin,
}

impl Estimate {
    pub(crate) fn new(value: f64, spread: Spread, rule: &'static str, origin: Origin) -> Self {
        Self { value, spread, rule, origin }
    }

    /// Common practice.
    pub(crate) fn practice(value: f64, spread: Spread, rule: &'static str) -> Self {
        Self::new(value, spread, rule, Origin::CommonPractice)
    }

    /// From memory.
    pub(crate) fn memory(value: f64, spread: Spread, rule: &'static str) -> Self {
        Self::new(value, spread, rule, Origin::FromMemory)
    }

    /// Follows from other values; what those do not know is in their spreads.
    pub(crate) fn derived(value: f64, rule: &'static str) -> Self {
        Self::new(value, Spread::None, rule, Origin::Derived)
    }
}

/// Number of standard deviations beyond which no value is moved.
const FARTHEST_Z: f64 = 3.0;

/// One pass over all values of a file.
pub(crate) struct Resolver<'a> {
    pub(crate) given: &'a Givens,
    /// Standard normal of each key; nothing for the values as they stand.
    normal: Option<&'a dyn Fn(&str) -> f64>,
    /// Filled only when somebody wants to read it: thousands of passes do not.
    entries: Option<Vec<Entry>>,
    /// What parts did to the file, and the values of the car without them that they leave as they are.
    fitted: Option<(&'a Fitting, &'a Held)>,
    /// Filled only for a car that parts are fitted to.
    noted: Option<Held>,
}

impl<'a> Resolver<'a> {
    pub(crate) fn recording(given: &'a Givens) -> Self {
        Self { given, normal: None, entries: Some(Vec::new()), fitted: None, noted: None }
    }

    pub(crate) fn moved(given: &'a Givens, normal: &'a dyn Fn(&str) -> f64) -> Self {
        Self { given, normal: Some(normal), entries: None, fitted: None, noted: None }
    }

    /// Notes every value for the same car with parts.
    pub(crate) fn noting(given: &'a Givens, normal: Option<&'a dyn Fn(&str) -> f64>) -> Self {
        Self { given, normal, entries: None, fitted: None, noted: Some(Held::default()) }
    }

    pub(crate) fn with_parts(self, fitting: &'a Fitting, held: &'a Held) -> Self {
        Self { fitted: Some((fitting, held)), ..self }
    }

    pub(crate) fn into_noted(self) -> Held {
        self.noted.unwrap_or_default()
    }

    pub(crate) fn into_entries(self) -> Vec<Entry> {
        self.entries.unwrap_or_default()
    }

    /// A quantity: as given, else as estimated; moved by its spread and held within the key's range.
    pub(crate) fn number(&mut self, key: &'static Key, estimate: Estimate) -> f64 {
        let Kind::Quantity { low, high, .. } = key.kind else { return estimate.value };
        let given = self.given.get(key).and_then(|g| match g.value {
            Value::Number { si, spread } => Some((si, spread, g.line)),
            _ => None,
        });
        let held = match (given, self.fitted) {
            (None, Some((fitting, held))) if fitting.holds(key, estimate.origin) => held.number(key),
            _ => None,
        };
        let (si, spread) = given.map_or_else(
            || (held.unwrap_or_else(|| estimate.value.clamp(low, high)), estimate.spread),
            |(si, spread, _)| (si, spread),
        );
        let moved = self.given.moved(key).unwrap_or(Moved::NOT);
        if self.entries.is_some() {
            let (rule, origin) = if given.is_some() { ("", Origin::Given) } else { (estimate.rule, estimate.origin) };
            let line = given.map(|g| g.2);
            self.record(
                key,
                Value::Number { si: moved.of(si).clamp(low, high), spread },
                rule,
                origin,
                moved.factor.abs() * spread.sd_si(si),
                line,
            );
        }
        let drawn = match (self.normal, spread) {
            // A value that parts leave alone was drawn with the car without them.
            _ if held.is_some() => si,
            (None, _) | (_, Spread::None) => si,
            (Some(normal), _) => {
                let z = match self.fitted {
                    Some((fitting, _)) if fitting.sets(key) => normal(&own_spread(key.path)),
                    _ => normal(key.path),
                };
                let z = if z.is_finite() { z.clamp(-FARTHEST_Z, FARTHEST_Z) } else { 0.0 };
                spread.moved(si, z).clamp(low, high)
            }
        };
        let si = moved.of(drawn).clamp(low, high);
        if let Some(noted) = &mut self.noted {
            noted.note_number(key, si);
        }
        si
    }

    /// A quantity that there need not be.
    pub(crate) fn optional_number(&mut self, key: &'static Key) -> Option<f64> {
        let si = self.given.number(key)?;
        Some(self.number(key, Estimate::derived(si, "")))
    }

    /// One of a few words.
    pub(crate) fn choice(
        &mut self,
        key: &'static Key,
        otherwise: &'static str,
        rule: &'static str,
        origin: Origin,
    ) -> &'static str {
        let held = self.fitted.and_then(|(_, held)| held.word(key));
        let word = self.given.choice(key).or(held).unwrap_or(otherwise);
        if let Some(noted) = &mut self.noted {
            noted.note_word(key, word);
        }
        self.record_plain(key, || Value::Choice(word), rule, origin);
        word
    }

    pub(crate) fn flag(&mut self, key: &'static Key, otherwise: bool, rule: &'static str) -> bool {
        let flag = self.given.flag(key).unwrap_or(otherwise);
        self.record_plain(key, || Value::Flag(flag), rule, Origin::CommonPractice);
        flag
    }

    pub(crate) fn size(&mut self, key: &'static Key, otherwise: TyreSize, rule: &'static str) -> TyreSize {
        let size = self.given.size(key).unwrap_or(otherwise);
        self.record_plain(key, || Value::Size(size), rule, Origin::Derived);
        size
    }

    /// Writes down a text, list or curve that the caller took from the file or made by `rule`.
    pub(crate) fn record_plain(
        &mut self,
        key: &'static Key,
        value: impl FnOnce() -> Value,
        rule: &'static str,
        origin: Origin,
    ) {
        if self.entries.is_none() {
            return;
        }
        let line = self.given.get(key).map(|g| g.line);
        let (rule, origin) = if line.is_some() { ("", Origin::Given) } else { (rule, origin) };
        self.record(key, value(), rule, origin, 0.0, line);
    }

    fn record(
        &mut self,
        key: &'static Key,
        value: Value,
        rule: &'static str,
        origin: Origin,
        spread_sd_si: f64,
        line: Option<u32>,
    ) {
        if let Some(entries) = &mut self.entries {
            entries.push(Entry { key, value, rule, origin, spread_sd_si, line });
        }
    }
}
