//! From a tree to the values that a file gives, checked one by one against the table of keys.

use std::collections::HashMap;

use crate::document::{Member, NodeValue};
use crate::key::{Key, Kind, nearest};
use crate::problem::{Collector, Fault};
use crate::quantity::{Dimension, UnitSystem, digits};
use crate::read_value::{accepted, value};
use crate::tyre_size::TyreSize;

/// How sure a value is: one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Spread {
    /// Taken as exact.
    None,
    /// Share of the value; the value is moved by a factor, so it keeps its sign.
    Relative(f64),
    /// In the value's own unit, SI.
    Absolute(f64),
}

impl Spread {
    /// One standard deviation of a value, SI.
    #[must_use]
    pub(crate) fn sd_si(self, value: f64) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Relative(share) => share * value.abs(),
            Self::Absolute(sd) => sd,
        }
    }

    /// The same with more variance, SI, about a value.
    #[must_use]
    pub(crate) fn with_variance(self, variance_si: f64, value: f64) -> Self {
        let more = |sd: f64, variance: f64| (sd * sd + variance).sqrt();
        match self {
            _ if variance_si <= 0.0 => self,
            Self::None => Self::Absolute(variance_si.sqrt()),
            Self::Relative(share) if value != 0.0 => Self::Relative(more(share, variance_si / (value * value))),
            Self::Relative(_) => self,
            Self::Absolute(sd) => Self::Absolute(more(sd, variance_si)),
        }
    }

    /// The value moved by `z` standard deviations.
    #[must_use]
    pub(crate) fn moved(self, value: f64, z: f64) -> f64 {
        match self {
            Self::None => value,
            Self::Relative(share) => value * libm::exp(share * z),
            Self::Absolute(sd) => value + sd * z,
        }
    }
}

/// A value as a file gives it, SI.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Value {
    Text(String),
    Flag(bool),
    Choice(&'static str),
    Number { si: f64, spread: Spread },
    List(Vec<f64>),
    Curve(Vec<(f64, f64)>),
    Size(TyreSize),
}

/// A given value, with where and how it stands in the file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Given {
    pub(crate) value: Value,
    pub(crate) line: u32,
    pub(crate) shown: String,
}

/// A value moved by parts: times a factor, plus a difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moved {
    pub(crate) factor: f64,
    /// SI.
    pub(crate) plus: f64,
}

impl Moved {
    pub(crate) const NOT: Self = Self { factor: 1.0, plus: 0.0 };

    pub(crate) fn of(self, si: f64) -> f64 {
        self.factor * si + self.plus
    }
}

/// The values that a file gives, and what parts move.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Givens {
    values: HashMap<&'static str, Given>,
    moved: HashMap<&'static str, Moved>,
}

impl Givens {
    pub(crate) fn get(&self, key: &Key) -> Option<&Given> {
        self.values.get(key.path)
    }

    pub(crate) fn has(&self, key: &Key) -> bool {
        self.values.contains_key(key.path)
    }

    pub(crate) fn set(&mut self, key: &'static Key, given: Given) {
        self.values.insert(key.path, given);
    }

    /// How parts move the value of a key, whether that is given or estimated.
    pub(crate) fn moved(&self, key: &Key) -> Option<Moved> {
        self.moved.get(key.path).copied()
    }

    pub(crate) fn shift(&mut self, key: &'static Key, moved: Moved) {
        self.moved.insert(key.path, moved);
    }

    /// Whether the file gives the key, or a part moves it.
    pub(crate) fn concerns(&self, key: &Key) -> bool {
        self.has(key) || self.moved.contains_key(key.path)
    }

    pub(crate) fn number(&self, key: &Key) -> Option<f64> {
        match self.get(key)?.value {
            Value::Number { si, .. } => Some(self.moved(key).map_or(si, |moved| moved.of(si))),
            _ => None,
        }
    }

    pub(crate) fn list(&self, key: &Key) -> Option<&[f64]> {
        match &self.get(key)?.value {
            Value::List(items) => Some(items),
            _ => None,
        }
    }

    pub(crate) fn curve(&self, key: &Key) -> Option<&[(f64, f64)]> {
        match &self.get(key)?.value {
            Value::Curve(points) => Some(points),
            _ => None,
        }
    }

    pub(crate) fn choice(&self, key: &Key) -> Option<&'static str> {
        match self.get(key)?.value {
            Value::Choice(word) => Some(word),
            _ => None,
        }
    }

    pub(crate) fn flag(&self, key: &Key) -> Option<bool> {
        match self.get(key)?.value {
            Value::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    pub(crate) fn text(&self, key: &Key) -> Option<&str> {
        match &self.get(key)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    pub(crate) fn size(&self, key: &Key) -> Option<TyreSize> {
        match self.get(key)?.value {
            Value::Size(size) => Some(size),
            _ => None,
        }
    }

    /// Line of a key, or 1 where it is not given.
    pub(crate) fn line(&self, key: &Key) -> u32 {
        self.get(key).map_or(1, |g| g.line)
    }

    /// Reports values that cannot be true together, at the line of `key`.
    pub(crate) fn clash(&self, collector: &mut Collector, key: &Key, what: String, accepted: String) {
        let found = self.get(key).map_or("", |g| g.shown.as_str());
        collector.add(Fault::Inconsistent, self.line(key), key.path, found, what, accepted);
    }
}

/// Reads every value of a tree; what cannot be read is reported and left out.
pub(crate) fn read(members: &[Member], keys: &'static [&'static Key], collector: &mut Collector) -> Givens {
    let mut givens = Givens::default();
    walk("", members, keys, &mut givens, collector);
    let broken = collector.problems.iter().any(|p| p.fault.stops_reading());
    for key in keys.iter().filter(|k| k.required && !givens.has(k) && !broken) {
        missing(key, collector);
    }
    givens
}

/// Reports a key that has to be there, unless it is there and was reported for another reason.
pub(crate) fn missing(key: &Key, collector: &mut Collector) {
    let is_of_key =
        |path: &str| path.strip_prefix(key.path).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
    if !collector.problems.iter().any(|p| is_of_key(&p.key)) {
        let what = format!("this key is missing: {}", key.about);
        collector.add(Fault::MissingKey, 1, key.path, "", what, accepted(key));
    }
}

fn walk(
    prefix: &str,
    members: &[Member],
    keys: &'static [&'static Key],
    givens: &mut Givens,
    collector: &mut Collector,
) {
    for member in members {
        if collector.has_enough() {
            break;
        }
        let path = if prefix.is_empty() { member.key.clone() } else { format!("{prefix}.{}", member.key) };
        if let Some(key) = keys.iter().find(|k| k.path == path) {
            if let Some(value) = value(key, &member.node, collector) {
                givens.set(key, Given { value, line: member.key_line, shown: member.node.shown() });
            }
            continue;
        }
        let is_group =
            keys.iter().any(|k| k.path.strip_prefix(path.as_str()).is_some_and(|rest| rest.starts_with('.')));
        match &member.node.value {
            NodeValue::Table(inner) if is_group => walk(&path, inner, keys, givens, collector),
            _ if is_group => {
                let what = format!("{path} is a group of keys, not a value");
                let inside: Vec<_> =
                    keys.iter().filter(|k| k.path.starts_with(&format!("{path}."))).map(|k| k.path).collect();
                let accepted = format!("keys of the group, such as {}", inside[..inside.len().min(4)].join(", "));
                collector.add(Fault::WrongKind, member.key_line, &path, &member.node.shown(), what, accepted);
            }
            // Editors take the schema's address from here.
            NodeValue::Text(_) if path == "$schema" => {}
            _ => unknown(&path, prefix, member, keys, collector),
        }
    }
}

fn unknown(path: &str, prefix: &str, member: &Member, keys: &[&'static Key], collector: &mut Collector) {
    let accepted = match nearest(path, keys) {
        Some(near) => format!("did you mean {near}?"),
        None => {
            let inside: Vec<_> = keys
                .iter()
                .filter(|k| k.path.rsplit_once('.').map_or("", |(group, _)| group) == prefix)
                .map(|k| k.path)
                .collect();
            format!("one of {}", inside.join(", "))
        }
    };
    collector.add(
        Fault::UnknownKey,
        member.key_line,
        path,
        &member.node.shown(),
        "this key is not known".to_owned(),
        accepted,
    );
}

impl Value {
    /// The value as people read it.
    pub(crate) fn show(&self, kind: &Kind, system: UnitSystem) -> String {
        let dimension = kind.dimension().unwrap_or(Dimension::Ratio);
        match self {
            Self::Text(text) => text.clone(),
            Self::Flag(true) => "yes".to_owned(),
            Self::Flag(false) => "no".to_owned(),
            Self::Choice(word) => (*word).to_owned(),
            Self::Number { si, .. } => dimension.show(*si, system),
            Self::List(items) => items.iter().map(|x| dimension.show(*x, system)).collect::<Vec<_>>().join(", "),
            Self::Curve(points) => show_curve(points, system),
            Self::Size(size) => size.to_string(),
        }
    }
}

/// A torque curve's ends and its highest point: the whole of it is long, and a chart shows it better.
fn show_curve(points: &[(f64, f64)], system: UnitSystem) -> String {
    let peak = points.iter().fold((0.0, f64::NEG_INFINITY), |best, at| if at.1 > best.1 { *at } else { best });
    let ends = points.first().into_iter().chain(points.last());
    let mut shown: Vec<(f64, f64)> = ends.copied().chain([peak]).collect();
    shown.sort_by(|a, b| a.0.total_cmp(&b.0));
    shown.dedup();
    let text = |(speed, torque): &(f64, f64)| {
        format!("{} at {} rpm", Dimension::Torque.show(*torque, system), digits(speed / crate::key::rpm(1.0)))
    };
    let told: Vec<String> = shown.iter().map(text).collect();
    format!("{} points: {}", points.len(), told.join(", "))
}
