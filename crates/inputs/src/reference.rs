//! The reference of all keys, for people, made from the tables that also drive reading.

use crate::key::{Key, Kind};
use crate::quantity::UnitSystem;
use crate::scenario_keys::SCENARIO_KEYS;
use crate::tyre_size::TyreSize;
use crate::vehicle_keys::VEHICLE_KEYS;

/// Every key of a vehicle file, as Markdown.
#[must_use]
pub fn vehicle_reference() -> String {
    reference(
        "Keys of a vehicle file",
        "The top level is the sheet of twelve values that an owner knows. Everything below it is estimated unless it is given; \
         `bitepoint check FILE` shows each estimate with its rule, its spread and where the rule comes from. Peak power and torque with \
         their speeds may be left out where `engine.torque_curve` is given.",
        VEHICLE_KEYS,
    )
}

/// Every key of a scenario file, as Markdown.
#[must_use]
pub fn scenario_reference() -> String {
    reference(
        "Keys of a scenario file",
        "Every key may be left out: what remains is a dry, flat, windless day at sea level, and a launch that suits the car and the surface.",
        SCENARIO_KEYS,
    )
}

fn reference(title: &str, about: &str, keys: &[&'static Key]) -> String {
    let mut text = format!(
        "# {title}\n\n{about}\n\nA quantity is a text with its unit; where a bare number is taken it is a ratio. A value may carry its spread, \
         one standard deviation: `mass = {{ value = \"1480 kg\", spread = \"20 kg\" }}`.\n"
    );
    let mut group = None;
    for key in keys {
        let (of, name) = key.path.rsplit_once('.').unwrap_or(("", key.path));
        if group != Some(of) {
            group = Some(of);
            let heading = if of.is_empty() { "Top level".to_owned() } else { format!("`[{of}]`") };
            text.push_str(&format!("\n## {heading}\n\n| key | meaning | accepted | example |\n|---|---|---|---|\n"));
        }
        let needed = if key.required { " (needed)" } else { "" };
        let (about, accepted, example) = (key.about, accepted(&key.kind), key.example);
        text.push_str(&format!("| `{name}`{needed} | {about} | {accepted} | `{example}` |\n"));
    }
    text
}

fn accepted(kind: &Kind) -> String {
    let range = |dimension: crate::quantity::Dimension, low: f64, high: f64| {
        let shown = |si| dimension.show(si, UnitSystem::Si);
        format!("{} to {}; {}", shown(low), shown(high), dimension.units_taken())
    };
    match *kind {
        Kind::Text => "any text".to_owned(),
        Kind::File => "name of a file beside this one".to_owned(),
        Kind::Flag => "`true` or `false`".to_owned(),
        Kind::Choice(words) => words.iter().map(|w| format!("`\"{w}\"`")).collect::<Vec<_>>().join(", "),
        Kind::Quantity { dimension, low, high } => range(dimension, low, high),
        Kind::List { dimension, low, high, least, most } => {
            format!("{least} to {most} values, each {}", range(dimension, low, high))
        }
        Kind::TorqueCurve => "two or more pairs of engine speed and torque, rising in speed".to_owned(),
        Kind::TyreSize => TyreSize::ACCEPTED.to_owned(),
    }
}
