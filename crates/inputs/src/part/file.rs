//! A part file: a name, perhaps a price and a note, and what it changes.

use super::change::{Change, Place, read};
use crate::document::{self, Member, Node, NodeValue};
use crate::key::{Key, nearest};
use crate::problem::{Collector, Fault, Problems};
use crate::quantity::leading_number;
use crate::vehicle_keys::VEHICLE_KEYS;

/// A part, or any change with a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Name; empty if none is stated.
    pub name: String,
    /// What it costs, if that is stated.
    pub price: Option<Price>,
    /// One line about it; may be empty.
    pub note: String,
    /// What it changes.
    pub changes: Vec<Change>,
}

/// An amount of money.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Price {
    /// How much.
    pub amount: f64,
    /// Of what: any text.
    pub currency: String,
}

/// Largest price that is taken, in any currency.
const MOST_MONEY: f64 = 1e12;
const PRICE_ACCEPTED: &str = "an amount and a currency, such as \"450 EUR\"";

impl Price {
    /// Reads "450 EUR".
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let (end, amount) = leading_number(text)?;
        let currency = text[end..].trim();
        let named = !currency.is_empty() && currency.chars().count() <= 20 && !currency.contains(char::is_control);
        // "1,450 EUR" is read by nobody in the same way.
        let whole = !currency.starts_with([',', '.', '\'']);
        ((0.0..=MOST_MONEY).contains(&amount) && named && whole).then(|| Self { amount, currency: currency.to_owned() })
    }
}

impl Part {
    /// Reads the text of a part file; its name decides the format (".json", else TOML) and stands in messages.
    ///
    /// # Errors
    /// Everything that is wrong with the file.
    pub fn parse(file: &str, text: &str) -> Result<Self, Problems> {
        let mut collector = Collector::new(file);
        let members = document::read(file, text, &mut collector);
        let mut part = Self { name: String::new(), price: None, note: String::new(), changes: Vec::new() };
        for member in &members {
            match member.key.as_str() {
                "name" => part.name = one_line(member, &mut collector).unwrap_or_default(),
                "note" => part.note = one_line(member, &mut collector).unwrap_or_default(),
                "price" => part.price = price(member, &mut collector),
                "change" => match &member.node.value {
                    NodeValue::Table(inner) => walk("", inner, file, &mut part.changes, &mut collector),
                    _ => wrong(member, "change is a group of keys of a vehicle file", "[change]", &mut collector),
                },
                "$schema" => {}
                _ => unknown_at_top(member, &mut collector),
            }
        }
        if part.changes.is_empty() && collector.problems.is_empty() {
            let accepted = "[change] and below it keys of a vehicle file, such as mass = \"-40 kg\"".to_owned();
            collector.add(Fault::MissingKey, 1, "change", "", "this part changes nothing".to_owned(), accepted);
        }
        collector.finish()?;
        Ok(part)
    }
}

fn wrong(member: &Member, what: &str, accepted: &str, collector: &mut Collector) {
    let shown = member.node.shown();
    collector.add(Fault::WrongKind, member.key_line, &member.key, &shown, what.to_owned(), accepted.to_owned());
}

fn one_line(member: &Member, collector: &mut Collector) -> Option<String> {
    match &member.node.value {
        NodeValue::Text(text)
            if !text.trim().is_empty() && text.chars().count() <= 120 && !text.contains(char::is_control) =>
        {
            Some(text.trim().to_owned())
        }
        _ => {
            wrong(member, "this does not fit here", "a text of one line, at most 120 characters", collector);
            None
        }
    }
}

fn price(member: &Member, collector: &mut Collector) -> Option<Price> {
    let read = match &member.node.value {
        NodeValue::Text(text) => Price::parse(text),
        _ => None,
    };
    if read.is_none() {
        wrong(member, "this is no price", PRICE_ACCEPTED, collector);
    }
    read
}

/// What may stand behind `price` in words, for other readers of prices.
pub(super) const fn price_accepted() -> &'static str {
    PRICE_ACCEPTED
}

fn unknown_at_top(member: &Member, collector: &mut Collector) {
    let of_vehicle = VEHICLE_KEYS.iter().any(|k| k.path.split('.').next() == Some(member.key.as_str()));
    let accepted = if of_vehicle {
        format!("the same below [change]: {} is what the part changes", member.key)
    } else {
        "name, price, note and [change]".to_owned()
    };
    let shown = member.node.shown();
    collector.add(
        Fault::UnknownKey,
        member.key_line,
        &member.key,
        &shown,
        "this key is not known".to_owned(),
        accepted,
    );
}

/// Reads the keys of a vehicle file below `prefix`.
fn walk(prefix: &str, members: &[Member], file: &str, changes: &mut Vec<Change>, collector: &mut Collector) {
    for member in members {
        let path = if prefix.is_empty() { member.key.clone() } else { format!("{prefix}.{}", member.key) };
        let inside = format!("{path}.");
        match (&member.node.value, VEHICLE_KEYS.iter().find(|k| k.path == path)) {
            (_, Some(key)) => {
                let place = Place { file: file.to_owned(), line: Some(member.key_line) };
                changes.extend(change(key, &member.node, place, collector));
            }
            (NodeValue::Table(inner), None) if VEHICLE_KEYS.iter().any(|k| k.path.starts_with(&inside)) => {
                walk(&path, inner, file, changes, collector);
            }
            _ => unknown(&path, member.key_line, &member.node.shown(), collector),
        }
    }
}

/// Reports a path that is no key of a vehicle file.
pub(super) fn unknown(path: &str, line: u32, shown: &str, collector: &mut Collector) {
    let accepted = nearest(path, VEHICLE_KEYS).map_or_else(
        || "a key of a vehicle file (schemas/vehicle-keys.md), such as mass or tyres.grade".to_owned(),
        |near| format!("did you mean {near}?"),
    );
    collector.add(Fault::UnknownKey, line, path, shown, "this key is not known".to_owned(), accepted);
}

/// One change, unless its value does not do.
pub(super) fn change(key: &'static Key, node: &Node, place: Place, collector: &mut Collector) -> Option<Change> {
    let how = read(key, node, collector)?;
    Some(Change { key, how, place, written: node.shown().trim_matches('"').to_owned() })
}
