//! One key of a file that was read set to another value, for sweeps and comparisons.

use crate::document::{Lines, Node, NodeValue};
use crate::given::{Given, Givens};
use crate::key::{Key, Kind, nearest};
use crate::problem::{Collector, Fault};
use crate::read_value::value;

/// Sets `path` to `text`, written as in TOML; the quotes of a text may be left out.
pub(crate) fn set(
    givens: &mut Givens,
    keys: &'static [&'static Key],
    path: &str,
    text: &str,
    collector: &mut Collector,
) {
    let Some(key) = keys.iter().find(|k| k.path == path) else {
        let accepted = nearest(path, keys).map_or_else(String::new, |near| format!("did you mean {near}?"));
        collector.add(Fault::UnknownKey, 1, path, text, "this key is not known".to_owned(), accepted);
        return;
    };
    let line = givens.line(key);
    let node = node(key, text, line);
    if let Some(value) = value(key, &node, collector) {
        let shown = node.shown();
        givens.set(key, Given { value, line, shown });
    }
}

pub(crate) fn node(key: &Key, text: &str, line: u32) -> Node {
    let text = text.trim();
    let plain = || NodeValue::Text(text.trim_matches('"').to_owned());
    let is_toml = match key.kind {
        Kind::Flag | Kind::List { .. } | Kind::TorqueCurve => true,
        Kind::Quantity { .. } => text.starts_with('{'),
        Kind::Text | Kind::File | Kind::Choice(_) | Kind::TyreSize => false,
    };
    let value = if is_toml { crate::toml::value(text, &Lines::of(text)).unwrap_or_else(plain) } else { plain() };
    Node { line, value: value.at_line(line) }
}
