//! A part as it is said in one line: `sticky: tyres.grade=track, mass=-4 kg, price=900 EUR`.

use super::change::{Change, Place};
use super::file::{self, Price};
use crate::change::node;
use crate::problem::{Collector, Fault, Problems};
use crate::vehicle_keys::VEHICLE_KEYS;

/// What one line says.
#[derive(Debug, Clone, PartialEq)]
pub struct PartLine {
    /// What stands before the colon; empty if nothing does.
    pub label: String,
    /// What stands after it, in order.
    pub items: Vec<Item>,
    /// The price, if one is said.
    pub price: Option<Price>,
}

/// One of the things that a line says.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A part file to read.
    File(String),
    /// A change of the car.
    Change(Change),
    /// A key that is none of a vehicle's, with its value: perhaps a scenario's.
    Other {
        /// The key.
        key: String,
        /// Its value, as it was written.
        value: String,
    },
}

/// What a line looks like, for people.
const ACCEPTED: &str = "\"label: key=value, key=+8 %, file=part.toml, price=450 EUR\"";

impl PartLine {
    /// Reads a line.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn parse(text: &str) -> Result<Self, Problems> {
        let text = text.trim();
        let (label, rest) = split_label(text);
        let source = format!("--with {:?}", if label.is_empty() { text } else { label });
        let mut collector = Collector::without_lines(&source);
        let mut line = Self { label: label.to_owned(), items: Vec::new(), price: None };
        for piece in pieces(rest).into_iter().map(str::trim).filter(|piece| !piece.is_empty()) {
            line.read(piece, &source, &mut collector);
        }
        if line.items.is_empty() && collector.problems.is_empty() {
            let what = "nothing is said to be changed".to_owned();
            collector.add(Fault::MissingKey, 1, "", rest, what, ACCEPTED.to_owned());
        }
        collector.finish()?;
        Ok(line)
    }

    fn read(&mut self, piece: &str, source: &str, collector: &mut Collector) {
        let Some((key, value)) = piece.split_once('=').map(|(key, value)| (key.trim(), value.trim())) else {
            collector.add(Fault::Syntax, 1, "", piece, "there is no = in this".to_owned(), ACCEPTED.to_owned());
            return;
        };
        if value.is_empty() || key.is_empty() {
            let what = "key or value is missing".to_owned();
            collector.add(Fault::MissingKey, 1, key, piece, what, ACCEPTED.to_owned());
        } else if key == "file" {
            self.items.push(Item::File(value.trim_matches('"').to_owned()));
        } else if key == "price" {
            self.price = Price::parse(value.trim_matches('"'));
            if self.price.is_none() {
                let what = "this is no price".to_owned();
                collector.add(Fault::BadQuantity, 1, key, value, what, file::price_accepted().to_owned());
            }
        } else if let Some(found) = VEHICLE_KEYS.iter().find(|k| k.path == key) {
            let place = Place { file: source.to_owned(), line: None };
            self.items.extend(file::change(found, &node(found, value, 1), place, collector).map(Item::Change));
        } else {
            self.items.push(Item::Other { key: key.to_owned(), value: value.to_owned() });
        }
    }
}

/// Label and the rest: a colon before any sign of a value ends a label.
fn split_label(text: &str) -> (&str, &str) {
    match text.split_once(':') {
        Some((label, rest)) if !label.contains('=') => (label.trim(), rest.trim()),
        _ => ("", text),
    }
}

/// Parts a text at its commas, except those inside brackets, braces and quotes.
fn pieces(text: &str) -> Vec<&str> {
    let (mut depth, mut quoted, mut from) = (0_i32, false, 0);
    let mut pieces = Vec::new();
    for (at, c) in text.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '[' | '{' if !quoted => depth += 1,
            ']' | '}' if !quoted => depth -= 1,
            ',' if !quoted && depth <= 0 => {
                pieces.push(&text[from..at]);
                from = at + 1;
            }
            _ => {}
        }
    }
    pieces.push(&text[from..]);
    pieces
}

/// Reports a key of a line that is neither a vehicle's nor anything else that is known.
#[must_use]
pub fn unknown_key(label: &str, key: &str, value: &str) -> Problems {
    let mut collector = Collector::without_lines(&format!("--with {label:?}"));
    file::unknown(key, 1, value, &mut collector);
    Problems(collector.problems)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_within_a_list_part_nothing() {
        assert_eq!(pieces("a=[1, 2], b={ value = 3, spread = \"1 %\" }, c=\"x, y\"").len(), 3);
    }

    #[test]
    fn a_label_ends_at_a_colon_before_any_value() {
        assert_eq!(split_label("short: final_drive=3.9"), ("short", "final_drive=3.9"));
        assert_eq!(split_label("file=a:b.toml"), ("", "file=a:b.toml"));
    }
}
