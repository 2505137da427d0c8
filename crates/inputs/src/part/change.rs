//! One change to a car: a value in place of the car's, or one that moves it.

use crate::document::{Node, NodeValue};
use crate::given::Value;
use crate::key::{Key, Kind};
use crate::problem::{Collector, Fault};
use crate::quantity::{Dimension, plain_sign};
use crate::read_value;
use crate::vehicle_keys as keys;

/// A change to one key, and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The key.
    pub key: &'static Key,
    pub(crate) how: Move,
    pub(crate) place: Place,
    /// The change as it was written.
    pub written: String,
}

/// Where a change stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) file: String,
    /// Nothing for a change that stands on a command line.
    pub(crate) line: Option<u32>,
}

/// What a change does to the car's value, whether that is given or estimated.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Move {
    /// In place of it.
    Set(Value),
    /// Times a factor.
    Scale(f64),
    /// Plus a difference, SI.
    Shift(f64),
}

/// Least and largest share by which a value is scaled: beyond it a unit or a decimal point has slipped.
const SHARES: (f64, f64) = (-0.9, 3.0);

/// Keys that make another car of it.
pub(crate) static OTHER_CAR: [&Key; 3] = [&keys::NAME, &keys::DRIVEN_AXLE, &keys::ENGINE_POSITION];

/// What a change may be, for people.
pub(crate) fn accepted(key: &Key) -> String {
    let change = match key.kind {
        Kind::Quantity { dimension, .. } => {
            format!("; or a change, such as \"+8 %\" or \"-5 {}\"", dimension.first_unit())
                .replace("\"-5 %\"", "\"-0.05\"")
        }
        Kind::List { .. } | Kind::TorqueCurve => "; or a change in per cent of all of it, such as \"+8 %\"".to_owned(),
        _ => String::new(),
    };
    read_value::accepted(key) + &change
}

/// Reads what a change does to its key, or reports why not. A value that begins with a sign changes the car's; any other takes its
/// place.
pub(crate) fn read(key: &'static Key, node: &Node, collector: &mut Collector) -> Option<Move> {
    if OTHER_CAR.contains(&key) {
        let what = "this would make another car of it".to_owned();
        let accepted = "a vehicle file of its own: run both and compare their times".to_owned();
        collector.add(Fault::Inconsistent, node.line, key.path, &node.shown(), what, accepted);
        return None;
    }
    match signed(&node.value) {
        Some(text) if matches!(key.kind, Kind::Quantity { .. } | Kind::List { .. } | Kind::TorqueCurve) => {
            moved(key, node, &text, collector)
        }
        _ => read_value::value(key, node, collector).map(Move::Set),
    }
}

/// The text of a value that begins with a sign.
fn signed(value: &NodeValue) -> Option<String> {
    let (NodeValue::Text(text) | NodeValue::Number(text)) = value else { return None };
    let text = plain_sign(text);
    text.starts_with(['+', '-']).then_some(text)
}

fn moved(key: &'static Key, node: &Node, text: &str, collector: &mut Collector) -> Option<Move> {
    let mut wrong = |what: String| {
        collector.add(Fault::BadQuantity, node.line, key.path, &node.shown(), what, accepted(key));
        None
    };
    if text.trim_end().ends_with('%') {
        return match Dimension::Ratio.parse(text) {
            Ok(share) if (SHARES.0..=SHARES.1).contains(&share) => Some(Move::Scale(1.0 + share)),
            Ok(_) => wrong("a change by so much is outside of what is believable".to_owned()),
            Err(error) => wrong(error.text()),
        };
    }
    match key.kind {
        Kind::Quantity { dimension, .. } => match dimension.parse_difference(text) {
            Ok(si) => Some(Move::Shift(si)),
            Err(error) => wrong(error.text()),
        },
        _ => wrong("only a change in per cent fits all of a list or a curve".to_owned()),
    }
}
