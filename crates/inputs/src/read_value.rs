//! One value of a tree against what its key takes.

use crate::document::{Member, Node, NodeValue};
use crate::given::{Spread, Value};
use crate::key::{CURVE_POINTS, CURVE_SPEED_RADPS, CURVE_TORQUE_NM, Key, Kind};
use crate::problem::{Collector, Fault};
use crate::quantity::{Dimension, UnitSystem};
use crate::tyre_size::TyreSize;

/// What a key takes, for people.
pub(crate) fn accepted(key: &Key) -> String {
    let in_range = |dimension: Dimension, low: f64, high: f64| {
        let si = |x| dimension.show(x, UnitSystem::Si);
        format!("{} to {} (units: {})", si(low), si(high), dimension.units_taken())
    };
    let example = key.example;
    match key.kind {
        Kind::Text => format!("a text, such as {example}"),
        Kind::File => format!("the name of a file beside this one, such as {example}"),
        Kind::Flag => "true or false".to_owned(),
        Kind::Choice(words) => format!("one of \"{}\"", words.join("\", \"")),
        Kind::Quantity { dimension, low, high } => format!("{}, such as {example}", in_range(dimension, low, high)),
        Kind::List { dimension, low, high, least, most } => {
            format!("a list of {least} to {most} values, each {}, such as {example}", in_range(dimension, low, high))
        }
        Kind::TorqueCurve => {
            format!("a list of at least two pairs of engine speed and torque, rising in speed, such as {example}")
        }
        Kind::TyreSize => TyreSize::ACCEPTED.to_owned(),
    }
}

/// Reads one value, or reports why not.
pub(crate) fn value(key: &'static Key, node: &Node, collector: &mut Collector) -> Option<Value> {
    let wrong_kind = |collector: &mut Collector| {
        let what = format!("{} does not fit here", node.kind());
        collector.add(Fault::WrongKind, node.line, key.path, &node.shown(), what, accepted(key));
    };
    match (key.kind, &node.value) {
        (Kind::Text | Kind::File, NodeValue::Text(text)) if !text.trim().is_empty() => Some(Value::Text(text.clone())),
        (Kind::Flag, NodeValue::Flag(flag)) => Some(Value::Flag(*flag)),
        (Kind::Choice(words), NodeValue::Text(text)) => {
            let folded = |s: &str| s.trim().to_lowercase().replace(['-', '_'], " ");
            let word = words.iter().find(|w| folded(w) == folded(text));
            if word.is_none() {
                let near = words.iter().max_by(|a, b| {
                    let score = |w: &str| strsim::jaro_winkler(&folded(w), &folded(text));
                    score(a).total_cmp(&score(b))
                });
                let what = format!("this word is not known; the nearest is \"{}\"", near.copied().unwrap_or_default());
                collector.add(Fault::WrongKind, node.line, key.path, &node.shown(), what, accepted(key));
            }
            word.copied().map(Value::Choice)
        }
        (Kind::Quantity { dimension, low, high }, NodeValue::Table(members)) => {
            with_spread(key, node, members, (dimension, low, high), collector)
        }
        (Kind::Quantity { dimension, low, high }, _) => {
            let si = number(key, key.path, node, (dimension, low, high), collector)?;
            Some(Value::Number { si, spread: Spread::None })
        }
        (Kind::List { dimension, low, high, least, most }, NodeValue::Array(items)) => {
            if !(least..=most).contains(&items.len()) {
                let what = format!("the list has {} values", items.len());
                collector.add(Fault::OutOfRange, node.line, key.path, &node.shown(), what, accepted(key));
                return None;
            }
            let read: Vec<Option<f64>> = items
                .iter()
                .enumerate()
                .map(|(i, item)| {
                    number(key, &format!("{}[{}]", key.path, i + 1), item, (dimension, low, high), collector)
                })
                .collect();
            read.into_iter().collect::<Option<Vec<f64>>>().map(Value::List)
        }
        // One value for all of them.
        (Kind::List { dimension, low, high, least: 1, .. }, NodeValue::Text(_)) => {
            number(key, key.path, node, (dimension, low, high), collector).map(|si| Value::List(vec![si]))
        }
        (Kind::TorqueCurve, NodeValue::Array(items)) => curve(key, node, items, collector),
        (Kind::TyreSize, NodeValue::Text(text)) => {
            let size = TyreSize::parse(text);
            if size.is_none() {
                let what = "this is no tyre size".to_owned();
                collector.add(Fault::OutOfRange, node.line, key.path, &node.shown(), what, accepted(key));
            }
            size.map(Value::Size)
        }
        _ => {
            wrong_kind(collector);
            None
        }
    }
}

type Wanted = (Dimension, f64, f64);

fn number(key: &Key, path: &str, node: &Node, wanted: Wanted, collector: &mut Collector) -> Option<f64> {
    let (dimension, low, high) = wanted;
    let text = match &node.value {
        NodeValue::Text(text) => text.clone(),
        NodeValue::Number(text) if dimension.is_bare() => text.replace('_', ""),
        NodeValue::Number(text) => {
            let what = "a bare number has no unit".to_owned();
            let with_units = format!("{}; write for example \"{text} {}\"", accepted(key), dimension.first_unit());
            collector.add(Fault::BadQuantity, node.line, path, &node.shown(), what, with_units);
            return None;
        }
        _ => {
            let what = format!("{} does not fit here", node.kind());
            collector.add(Fault::WrongKind, node.line, path, &node.shown(), what, accepted(key));
            return None;
        }
    };
    let si = match dimension.parse(&text) {
        Ok(si) => si,
        Err(error) => {
            collector.add(Fault::BadQuantity, node.line, path, &node.shown(), error.text(), accepted(key));
            return None;
        }
    };
    // Room for the rounding of unit conversion at the very limit.
    let slack = 1e-9 * low.abs().max(high.abs());
    if si < low - slack || si > high + slack {
        let what = "this value is outside of what is believable".to_owned();
        collector.add(Fault::OutOfRange, node.line, path, &node.shown(), what, accepted(key));
        return None;
    }
    Some(si)
}

fn with_spread(
    key: &'static Key,
    node: &Node,
    members: &[Member],
    wanted: Wanted,
    collector: &mut Collector,
) -> Option<Value> {
    let accepted_form =
        || format!("{{ value = {}, spread = \"3 %\" }} or a spread in the value's own unit", key.example);
    let mut known = true;
    for member in members.iter().filter(|m| !matches!(m.key.as_str(), "value" | "spread")) {
        known = false;
        let what = "a value with a spread has the keys value and spread alone".to_owned();
        let path = format!("{}.{}", key.path, member.key);
        collector.add(Fault::UnknownKey, member.key_line, &path, &member.node.shown(), what, accepted_form());
    }
    let Some(given) = members.iter().find(|m| m.key == "value") else {
        let what = "the value is missing".to_owned();
        collector.add(Fault::MissingKey, node.line, key.path, &node.shown(), what, accepted_form());
        return None;
    };
    let si = number(key, key.path, &given.node, wanted, collector);
    let spread = match members.iter().find(|m| m.key == "spread") {
        None => Some(Spread::None),
        Some(member) => spread(key, member, wanted, collector),
    };
    match (si, spread) {
        (Some(si), Some(spread)) if known => Some(Value::Number { si, spread }),
        _ => None,
    }
}

fn spread(key: &Key, member: &Member, (dimension, low, high): Wanted, collector: &mut Collector) -> Option<Spread> {
    let text = match &member.node.value {
        NodeValue::Text(text) => text.clone(),
        NodeValue::Number(text) if dimension.is_bare() => text.clone(),
        _ => String::new(),
    };
    let percent = text.trim().ends_with('%') && !matches!(dimension, Dimension::Slope);
    let read = if percent {
        Dimension::Ratio.parse(&text).ok().filter(|share| (0.0..=1.0).contains(share)).map(Spread::Relative)
    } else {
        dimension.parse_difference(&text).ok().filter(|sd| (0.0..=high - low).contains(sd)).map(Spread::Absolute)
    };
    if read.is_none() {
        let path = format!("{}.spread", key.path);
        let what = "this is no spread (one standard deviation)".to_owned();
        let accepted = format!("0 % to 100 %, or a difference in {}", dimension.units_taken());
        collector.add(Fault::BadQuantity, member.node.line, &path, &member.node.shown(), what, accepted);
    }
    read
}

fn curve(key: &'static Key, node: &Node, items: &[Node], collector: &mut Collector) -> Option<Value> {
    if !(2..=CURVE_POINTS).contains(&items.len()) {
        let what = format!("the curve has {} points", items.len());
        let accepted = format!("2 to {CURVE_POINTS} points: {}", accepted(key));
        collector.add(Fault::OutOfRange, node.line, key.path, &node.shown(), what, accepted);
        return None;
    }
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(items.len());
    let mut whole = true;
    for (i, item) in items.iter().enumerate() {
        let path = format!("{}[{}]", key.path, i + 1);
        let NodeValue::Array(pair) = &item.value else {
            whole = false;
            let what = format!("{} does not fit here", item.kind());
            collector.add(Fault::WrongKind, item.line, &path, &item.shown(), what, accepted(key));
            continue;
        };
        let [speed, torque] = pair.as_slice() else {
            whole = false;
            let what = format!("a point has two values, this one {}", pair.len());
            collector.add(Fault::WrongKind, item.line, &path, &item.shown(), what, accepted(key));
            continue;
        };
        let (low, high) = CURVE_SPEED_RADPS;
        let speed = number(key, &path, speed, (Dimension::AngularSpeed, low, high), collector);
        let (low, high) = CURVE_TORQUE_NM;
        let torque = number(key, &path, torque, (Dimension::Torque, low, high), collector);
        let (Some(speed), Some(torque)) = (speed, torque) else {
            whole = false;
            continue;
        };
        if points.last().is_some_and(|last| speed <= last.0) {
            whole = false;
            let what = "the engine speed does not exceed that of the point before".to_owned();
            collector.add(Fault::Inconsistent, item.line, &path, &item.shown(), what, accepted(key));
            continue;
        }
        points.push((speed, torque));
    }
    whole.then_some(Value::Curve(points))
}
