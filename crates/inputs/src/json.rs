//! JSON to a tree with lines: strict JSON, no comments, a repeated key is an error as it is in TOML.

use jsonc_parser::ast::Value;
use jsonc_parser::common::Ranged;
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};

use crate::document::{Lines, Member, Node, NodeValue};
use crate::problem::{Collector, Fault};

const STRICT: ParseOptions = ParseOptions {
    allow_comments: false,
    allow_loose_object_property_names: false,
    allow_trailing_commas: false,
    allow_missing_commas: false,
    allow_single_quoted_strings: false,
    allow_hexadecimal_numbers: false,
    allow_unary_plus_numbers: false,
    allow_bare_decimal_point_numbers: false,
    allow_non_finite_numbers: false,
    allow_extended_string_escapes: false,
};

pub(crate) fn read(text: &str, collector: &mut Collector) -> Vec<Member> {
    let lines = Lines::of(text);
    let value = match parse_to_ast(text, &CollectOptions::default(), &STRICT) {
        Ok(parsed) => parsed.value,
        Err(error) => {
            let line = lines.line(error.range().start);
            let found = text.lines().nth(line as usize - 1).unwrap_or_default().trim();
            let what = format!("this is not JSON: {}", error.kind());
            collector.add(Fault::Syntax, line, "", found, what, "{ \"key\": \"value\" }".to_owned());
            return Vec::new();
        }
    };
    match value.map(|v| node(&v, &lines, collector)) {
        Some(Node { value: NodeValue::Table(members), .. }) => members,
        other => {
            let (line, found) = other.map_or((1, String::new()), |n| (n.line, n.shown()));
            let what = "the file holds no object".to_owned();
            collector.add(Fault::WrongKind, line, "", &found, what, "{ \"key\": \"value\" }".to_owned());
            Vec::new()
        }
    }
}

fn node(value: &Value<'_>, lines: &Lines, collector: &mut Collector) -> Node {
    let line = lines.line(value.range().start);
    let node_value = match value {
        Value::StringLit(s) => NodeValue::Text(s.value.to_string()),
        Value::NumberLit(n) => NodeValue::Number(n.value.to_owned()),
        Value::BooleanLit(b) => NodeValue::Flag(b.value),
        Value::NullKeyword(_) => NodeValue::Other("null".to_owned()),
        Value::Array(array) => {
            NodeValue::Array(array.elements.iter().map(|item| node(item, lines, collector)).collect())
        }
        Value::Object(object) => {
            let mut members: Vec<Member> = Vec::with_capacity(object.properties.len());
            let mut seen = std::collections::HashSet::new();
            for property in &object.properties {
                let key = property.name.as_str().to_owned();
                let key_line = lines.line(property.range.start);
                if !seen.insert(key.clone()) {
                    let what = "this key stands twice in its group".to_owned();
                    collector.add(Fault::Syntax, key_line, &key, "", what, "each key once".to_owned());
                    continue;
                }
                members.push(Member { key, key_line, node: node(&property.value, lines, collector) });
            }
            NodeValue::Table(members)
        }
    };
    Node { line, value: node_value }
}
