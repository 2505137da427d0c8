//! A file's contents as a tree in which every value knows its line, whichever format it was written in.

use crate::problem::{Collector, Fault};

/// Largest file that is read, bytes: some thousand times the longest sensible one.
pub const MAX_FILE_BYTES: usize = 4 * 1024 * 1024;

/// A value and the line on which it begins.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    pub(crate) line: u32,
    pub(crate) value: NodeValue,
}

/// A value of either format.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum NodeValue {
    Table(Vec<Member>),
    Array(Vec<Node>),
    Text(String),
    /// A number, as it was written.
    Number(String),
    Flag(bool),
    /// A date or null, as it was written.
    Other(String),
}

/// A key with its value.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Member {
    pub(crate) key: String,
    pub(crate) key_line: u32,
    pub(crate) node: Node,
}

impl Node {
    /// The value as a person would recognise it in the file.
    pub(crate) fn shown(&self) -> String {
        match &self.value {
            NodeValue::Table(members) => {
                let keys: Vec<_> = members.iter().map(|m| m.key.as_str()).collect();
                format!("{{ {} }}", keys.join(", "))
            }
            NodeValue::Array(items) => {
                let shown: Vec<_> = items.iter().take(12).map(Self::shown).collect();
                format!("[{}{}]", shown.join(", "), if items.len() > 12 { ", …" } else { "" })
            }
            NodeValue::Text(text) => format!("\"{text}\""),
            NodeValue::Number(text) | NodeValue::Other(text) => text.clone(),
            NodeValue::Flag(flag) => flag.to_string(),
        }
    }

    /// What kind of value it is, in words.
    pub(crate) fn kind(&self) -> &'static str {
        match self.value {
            NodeValue::Table(_) => "a group of keys",
            NodeValue::Array(_) => "a list",
            NodeValue::Text(_) => "a text",
            NodeValue::Number(_) => "a bare number",
            NodeValue::Flag(_) => "true or false",
            NodeValue::Other(_) => "a date or an empty value",
        }
    }
}

impl NodeValue {
    /// The same value as if all of it stood in one line.
    pub(crate) fn at_line(self, line: u32) -> Self {
        let node = |n: Node| Node { line, value: n.value.at_line(line) };
        match self {
            Self::Table(members) => Self::Table(
                members.into_iter().map(|m| Member { key: m.key, key_line: line, node: node(m.node) }).collect(),
            ),
            Self::Array(items) => Self::Array(items.into_iter().map(node).collect()),
            other => other,
        }
    }
}

/// Line, from 1, of every byte offset of a text.
pub(crate) struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    pub(crate) fn of(text: &str) -> Self {
        let after_breaks = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Self { starts: core::iter::once(0).chain(after_breaks).collect() }
    }

    pub(crate) fn line(&self, offset: usize) -> u32 {
        u32::try_from(self.starts.partition_point(|&s| s <= offset)).unwrap_or(u32::MAX)
    }
}

/// Reads a text by the extension of its file: ".json" as JSON, all else as TOML.
pub(crate) fn read(file: &str, text: &str, collector: &mut Collector) -> Vec<Member> {
    if text.len() > MAX_FILE_BYTES {
        let what = format!("the file has {} bytes", text.len());
        collector.add(Fault::Unreadable, 1, "", "", what, format!("at most {MAX_FILE_BYTES} bytes"));
        return Vec::new();
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        let accepted = "keys and values; `bitepoint sheet` writes a vehicle to fill in".to_owned();
        collector.add(Fault::Unreadable, 1, "", "", "the file is empty".to_owned(), accepted);
        return Vec::new();
    }
    let is_json = file.rsplit('.').next().is_some_and(|e| e.eq_ignore_ascii_case("json"));
    if is_json { crate::json::read(text, collector) } else { crate::toml::read(text, collector) }
}
