//! A chart, drawn for every place where it is read.

use super::canvas::Layout;
use super::markup::Drawing;

/// A chart, drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Name of its file.
    pub file_name: String,
    /// What it shows.
    pub title: String,
    /// What this chart says, in one sentence.
    pub takeaway: String,
    /// The chart in words, with its numbers, for readers who do not see it.
    pub alt_text: String,
    /// Drawing for a file of its own, light and dark.
    pub svg: String,
    /// Drawing for wide screens and print, to stand in a page that has the palette's style sheet.
    pub inline_wide: String,
    /// The same for a telephone.
    pub inline_narrow: String,
}

/// What a chart is called and what it says; its file is `name` with the ending ".svg".
pub(crate) struct Caption<'a> {
    pub(crate) name: &'a str,
    pub(crate) title: &'a str,
    pub(crate) takeaway: String,
    pub(crate) alt_text: String,
}

impl Chart {
    /// Draws a chart for both layouts; nothing if there is nothing to show.
    pub(crate) fn draw(caption: Caption<'_>, paint: impl Fn(Layout) -> Option<Drawing>) -> Option<Self> {
        let (wide, narrow) = (paint(Layout::Wide)?, paint(Layout::Narrow)?);
        let Caption { name, title, takeaway, alt_text } = caption;
        Some(Self {
            file_name: format!("{name}.svg"),
            title: title.to_owned(),
            takeaway,
            svg: wide.file(name, title, &alt_text),
            inline_wide: wide.inline(name, "wide", &alt_text),
            inline_narrow: narrow.inline(name, "narrow", &alt_text),
            alt_text,
        })
    }
}
