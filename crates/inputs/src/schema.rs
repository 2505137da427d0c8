//! JSON Schemas of both kinds of file, made from the tables of keys that also drive reading.

use serde_json::{Map, Value, json};

use crate::key::{Key, Kind};
use crate::part::OTHER_CAR;
use crate::quantity::Dimension;
use crate::scenario_keys::SCENARIO_KEYS;
use crate::vehicle_keys::{self, VEHICLE_KEYS};

/// Schema of a vehicle file, as text.
#[must_use]
pub fn vehicle_schema() -> String {
    let mut schema =
        schema("Vehicle", "A car: the twelve-line sheet at the top, all else may be left to estimates.", VEHICLE_KEYS);
    let peaks: Vec<&str> = [
        &vehicle_keys::PEAK_POWER,
        &vehicle_keys::PEAK_POWER_AT,
        &vehicle_keys::PEAK_TORQUE,
        &vehicle_keys::PEAK_TORQUE_AT,
    ]
    .map(|key| key.path)
    .to_vec();
    schema["anyOf"] = json!([
        { "required": peaks },
        { "required": ["engine"], "properties": { "engine": { "required": ["torque_curve"] } } },
    ]);
    text(&schema)
}

/// Schema of a scenario file, as text.
#[must_use]
pub fn scenario_schema() -> String {
    text(&schema(
        "Scenario",
        "Road, air, launch and shifting; what is left out is a dry, flat, windless day.",
        SCENARIO_KEYS,
    ))
}

/// Schema of a part file, as text.
#[must_use]
pub fn part_schema() -> String {
    let mut change = group(VEHICLE_KEYS, "");
    loosen(&mut change);
    for path in OTHER_CAR.map(|key| key.path) {
        forget(&mut change, path);
    }
    let text_of_one_line = json!({ "type": "string", "minLength": 1, "maxLength": 120 });
    let mut definitions = definitions(VEHICLE_KEYS);
    definitions["change"] = json!({
        "type": "string", "pattern": "^\\s*[-+−‑–‒].*$",
        "description": "A change of the car's own value: a sign and per cent, or a sign and a difference with its unit",
    });
    text(&json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Part",
        "description": "A part, or any change to a car: keys of a vehicle file below [change]; a value that begins with a sign changes the car's own.",
        "type": "object",
        "properties": {
            "$schema": { "type": "string" },
            "name": text_of_one_line,
            "note": text_of_one_line,
            "price": { "type": "string", "pattern": "^\\s*[0-9]+\\.?[0-9]*\\s*[^0-9\\s.,'].{0,19}$", "examples": ["450 EUR"] },
            "change": change,
        },
        "required": ["change"],
        "additionalProperties": false,
        "$defs": definitions,
    }))
}

/// Takes a change beside each value, and lets every key be left out.
fn loosen(group: &mut Value) {
    let Some(object) = group.as_object_mut() else { return };
    object.remove("required");
    let Some(properties) = object.get_mut("properties").and_then(Value::as_object_mut) else { return };
    for value in properties.values_mut() {
        if value.get("properties").is_some_and(|inner| inner.get("value").is_none()) {
            loosen(value);
        } else if value.get("enum").is_none() && value.get("type").is_none_or(|kind| kind == "array") {
            let about = value.as_object_mut().and_then(|object| object.remove("description"));
            *value = json!({ "anyOf": [value.clone(), { "$ref": "#/$defs/change" }], "description": about });
        }
    }
}

/// Takes a key out of a group.
fn forget(group: &mut Value, path: &str) {
    let Some(properties) = group.get_mut("properties").and_then(Value::as_object_mut) else { return };
    match path.split_once('.') {
        None => drop(properties.remove(path)),
        Some((first, rest)) => {
            if let Some(inner) = properties.get_mut(first) {
                forget(inner, rest);
            }
        }
    }
}

fn text(schema: &Value) -> String {
    // Maps of strings cannot fail to be written.
    serde_json::to_string_pretty(schema).unwrap_or_default() + "\n"
}

fn schema(title: &str, about: &str, keys: &[&'static Key]) -> Value {
    let mut top = group(keys, "");
    top["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    top["title"] = json!(title);
    top["description"] = json!(about);
    top["$defs"] = definitions(keys);
    top["properties"]["$schema"] = json!({ "type": "string" });
    top
}

/// Schema of the keys directly under `prefix` and of the groups below it.
fn group(keys: &[&'static Key], prefix: &str) -> Value {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in keys {
        let Some(rest) = key.path.strip_prefix(prefix) else { continue };
        match rest.split_once('.') {
            None => {
                properties.insert(rest.to_owned(), value(key));
                if key.required {
                    required.push(rest);
                }
            }
            Some((name, _)) if !properties.contains_key(name) => {
                properties.insert(name.to_owned(), group(keys, &format!("{prefix}{name}.")));
            }
            Some(_) => {}
        }
    }
    let mut schema = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    schema
}

fn value(key: &Key) -> Value {
    let mut schema = match key.kind {
        Kind::Text | Kind::File => json!({ "type": "string", "pattern": "\\S" }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::TyreSize => {
            json!({ "type": "string", "pattern": "^\\s*[Pp]?[0-9]{3}\\s*/\\s*[0-9]{2}\\s*[Zz]?[RrBbDd]\\s*[0-9]{2}" })
        }
        Kind::Quantity { dimension, low, high } => {
            let plain = quantity(dimension, low, high);
            let spread = json!({
                "type": "object",
                "properties": { "value": plain, "spread": { "$ref": "#/$defs/spread" } },
                "required": ["value"],
                "additionalProperties": false,
            });
            json!({ "anyOf": [plain, spread] })
        }
        Kind::List { dimension, low, high, least, most } => {
            let item = quantity(dimension, low, high);
            let list = json!({ "type": "array", "items": item, "minItems": least, "maxItems": most });
            if least == 1 { json!({ "anyOf": [list, item] }) } else { list }
        }
        Kind::TorqueCurve => {
            let pair = [Dimension::AngularSpeed, Dimension::Torque].map(|d| quantity(d, 0.0, 0.0));
            json!({
                "type": "array", "minItems": 2, "maxItems": crate::key::CURVE_POINTS,
                "items": { "type": "array", "prefixItems": pair, "minItems": 2, "maxItems": 2 },
            })
        }
    };
    schema["description"] = json!(key.about);
    if let Ok(example) = serde_json::from_str::<Value>(key.example) {
        schema["examples"] = json!([example]);
    }
    schema
}

/// A quantity by reference to its dimension's pattern, which stands once in the schema.
fn quantity(dimension: Dimension, low: f64, high: f64) -> Value {
    let text = json!({ "$ref": format!("#/$defs/{}", name(dimension)) });
    if dimension.is_bare() {
        json!({ "anyOf": [{ "type": "number", "minimum": low, "maximum": high }, text] })
    } else {
        text
    }
}

fn name(dimension: Dimension) -> String {
    // A dimension is written as its name, which is a text.
    serde_json::to_value(dimension).ok().and_then(|name| name.as_str().map(str::to_owned)).unwrap_or_default()
}

/// Patterns of the dimensions that these keys use, and the shape of a spread.
fn definitions(keys: &[&'static Key]) -> Value {
    let of_curves = keys.iter().any(|key| key.kind == Kind::TorqueCurve);
    let of_curves = [Dimension::AngularSpeed, Dimension::Torque].into_iter().filter(|_| of_curves);
    let mut definitions: Map<String, Value> = keys
        .iter()
        .filter_map(|key| key.kind.dimension())
        .chain(of_curves)
        .map(|dimension| {
            let about = format!("A number with its unit: {}", dimension.units_taken());
            (name(dimension), json!({ "type": "string", "pattern": pattern(dimension), "description": about }))
        })
        .collect();
    let about = "One standard deviation: \"3 %\" or a difference in the value's unit";
    definitions.insert("spread".to_owned(), json!({ "type": ["string", "number"], "description": about }));
    Value::Object(definitions)
}

/// Pattern of a quantity's text: a number and any spelling of the dimension's units.
fn pattern(dimension: Dimension) -> String {
    let units: Vec<String> = dimension.spellings().iter().map(|unit| spelling(unit)).collect();
    let unit = if dimension.is_bare() { format!("({})?", units.join("|")) } else { format!("({})", units.join("|")) };
    format!("^\\s*[-+−‑–‒]?\\s*([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][-+]?[0-9]+)?{BETWEEN}{unit}{BETWEEN}$")
}

/// What may stand between the letters of a unit.
const BETWEEN: &str = "[\\s·⋅•×*.^_-]*";

/// Pattern of one folded spelling, without regard to case and to marks between its letters.
fn spelling(folded: &str) -> String {
    let characters: Vec<String> = folded
        .chars()
        .map(|c| match c {
            '2' => "[2²]".to_owned(),
            '3' => "[3³]".to_owned(),
            c if c.is_ascii_lowercase() => format!("[{}{c}]", c.to_ascii_uppercase()),
            c if c.is_ascii_alphanumeric() => c.to_string(),
            c => format!("[{c}]"),
        })
        .collect();
    let joined = characters.join(BETWEEN);
    // "deg" is also what the degree sign is read as.
    joined
        .replace(&["[Dd]", "[Ee]", "[Gg]"].join(BETWEEN), &format!("(°|º|{})", ["[Dd]", "[Ee]", "[Gg]"].join(BETWEEN)))
}
