//! A vehicle file with fitted values: the text of the old one, with what the logs say put in and all else left as it stands.

use core::fmt;

use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use toml_edit::{DocumentMut, InlineTable, Item, Table, Value};

use super::outcome::Fit;

/// Why no text can be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WriteError {
    /// The old file is no TOML.
    NotToml,
    /// Nothing was told, so that there is nothing to write.
    Nothing,
    /// The new text does not read as a vehicle: what is wrong with it.
    Broken(String),
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToml => {
                f.write_str("a vehicle file in TOML is needed to write a fitted one: comments have no place in JSON")
            }
            Self::Nothing => f.write_str("these logs tell nothing about the car, so there is nothing to write"),
            Self::Broken(why) => write!(f, "the fitted values make no vehicle file: {why}"),
        }
    }
}

impl core::error::Error for WriteError {}

/// The text of `old` with the fitted values and their spreads; `date` stands beside each ("2030-05-17") and `logs` at the head.
///
/// # Errors
/// A file that is no TOML, nothing to write, or values that do not go together.
pub fn vehicle_text(old: &str, fit: &Fit, date: &str, logs: &[String]) -> Result<String, WriteError> {
    let mut document: DocumentMut = old.parse().map_err(|_| WriteError::NotToml)?;
    let mut written = 0;
    for input in fit.inputs.iter().filter(|i| i.of_vehicle && i.told.is_news()) {
        let Some(key) = VEHICLE_KEYS.iter().find(|k| k.path == input.key) else { continue };
        let Some(dimension) = key.kind.dimension() else { continue };
        let mut value = InlineTable::new();
        let system = UnitSystem::Si;
        let text = dimension.show(input.after_si, system);
        let spread = dimension.show_difference(input.after_sd_si, input.after_si, system);
        // A ratio stands as a bare number.
        let put = |text: String| text.parse::<f64>().map_or_else(|_| Value::from(text), Value::from);
        value.insert("value", put(text));
        value.insert("spread", put(spread));
        let mut value = Value::InlineTable(value);
        value.decor_mut().set_suffix(format!(" # fitted {date}: {}", input.told.text()));
        place(&mut document, &input.key, value).ok_or(WriteError::NotToml)?;
        written += 1;
    }
    if written == 0 {
        return Err(WriteError::Nothing);
    }
    let head = format!(
        "# Fitted {date} by `bitepoint fit` from {}. One spread is one standard error; errors of values that\n\
         # were fitted together go together, which a file cannot say: bands from this file can be too wide or too narrow.\n",
        logs.join(", ")
    );
    let text = put_head(&document.to_string(), &head);
    VehicleFile::parse("fitted.toml", &text).map_err(|problems| WriteError::Broken(problems.to_string()))?;
    Ok(text)
}

/// Below the line by which editors find the schema, if there is one.
fn put_head(text: &str, head: &str) -> String {
    match text.split_once('\n') {
        Some((first, rest)) if first.starts_with("#:schema") => format!("{first}\n{head}{rest}"),
        _ => format!("{head}{text}"),
    }
}

/// Sets a dotted key; its comment is kept where it had one. Nothing if a piece of the path is no table.
fn place(document: &mut DocumentMut, path: &str, value: Value) -> Option<()> {
    let mut pieces: Vec<&str> = path.split('.').collect();
    let last = pieces.pop()?;
    let mut table: &mut dyn toml_edit::TableLike = document.as_table_mut();
    for piece in pieces {
        if !table.contains_key(piece) {
            table.insert(piece, Item::Table(Table::new()));
        }
        table = table.get_mut(piece)?.as_table_like_mut()?;
    }
    let mut value = value;
    if let Some(Item::Value(old)) = table.get(last) {
        let kept = old.decor().suffix().and_then(|s| s.as_str()).unwrap_or("").trim_end();
        let new = value.decor().suffix().and_then(|s| s.as_str()).unwrap_or("").to_owned();
        if !kept.trim().is_empty() {
            let before = kept.trim().trim_start_matches('#').trim();
            value.decor_mut().set_suffix(format!("{new}; before: {before}"));
        }
    }
    value.decor_mut().set_prefix(" ");
    table.insert(last, Item::Value(value));
    Some(())
}
