//! A document as text.

use serde::Serialize;

/// JSON, indented, with a line's end.
pub(crate) fn text<T: Serialize>(document: &T) -> String {
    // Plain structs of finite numbers, strings and lists always serialise.
    serde_json::to_string_pretty(document).unwrap_or_default() + "\n"
}
