//! TOML to a tree with lines. All syntax errors of a file are found, not the first alone.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::document::{Lines, Member, Node, NodeValue};
use crate::problem::{Collector, Fault};

pub(crate) fn read(text: &str, collector: &mut Collector) -> Vec<Member> {
    let lines = Lines::of(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let line = error.span().map_or(1, |span| lines.line(span.start));
        let found = text.lines().nth(line as usize - 1).unwrap_or_default().trim();
        let what = format!("this is not TOML: {}", error.message().replace('\n', "; "));
        collector.add(Fault::Syntax, line, "", found, what, "key = \"value\" or [group]".to_owned());
    }
    members(table.get_ref(), text, &lines)
}

/// A single value, if it is one.
pub(crate) fn value(text: &str, lines: &Lines) -> Option<NodeValue> {
    let value = DeValue::parse(text).ok()?;
    Some(node(&value, text, lines).value)
}

fn members(table: &DeTable<'_>, text: &str, lines: &Lines) -> Vec<Member> {
    let mut members: Vec<Member> = table
        .iter()
        .map(|(key, value)| Member {
            key: key.get_ref().to_string(),
            key_line: lines.line(key.span().start),
            node: node(value, text, lines),
        })
        .collect();
    members.sort_by_key(|m| m.key_line);
    members
}

fn node(value: &Spanned<DeValue<'_>>, text: &str, lines: &Lines) -> Node {
    let written = || text.get(value.span()).unwrap_or_default().to_owned();
    let node_value = match value.get_ref() {
        DeValue::String(s) => NodeValue::Text(s.to_string()),
        DeValue::Integer(_) | DeValue::Float(_) => NodeValue::Number(written()),
        DeValue::Boolean(flag) => NodeValue::Flag(*flag),
        DeValue::Datetime(_) => NodeValue::Other(written()),
        DeValue::Array(items) => NodeValue::Array(items.iter().map(|item| node(item, text, lines)).collect()),
        DeValue::Table(table) => NodeValue::Table(members(table, text, lines)),
    };
    Node { line: lines.line(value.span().start), value: node_value }
}
