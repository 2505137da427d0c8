//! What a chart is, and all of them in the order in which a report tells its story.

use crate::report::RunReport;

use super::canvas::Layout;
use super::markup::Drawing;
use super::{clutch, energy, forces, launch, limits, lost, shaft, slip, speed};

/// A chart, drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Name of its file.
    pub file_name: &'static str,
    /// What it shows.
    pub title: &'static str,
    /// What this run's chart says, in one sentence.
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

/// One kind of chart: how it is named, told and drawn.
pub(super) struct Kind {
    pub(super) file_name: &'static str,
    pub(super) title: &'static str,
    pub(super) takeaway: fn(&RunReport) -> String,
    pub(super) alt_text: fn(&RunReport) -> String,
    /// Nothing if the run has nothing to show here.
    pub(super) draw: fn(&RunReport, Layout) -> Option<Drawing>,
}

const KINDS: [&Kind; 9] = [
    &launch::KIND,
    &speed::KIND,
    &limits::KIND,
    &forces::KIND,
    &slip::KIND,
    &clutch::KIND,
    &shaft::KIND,
    &energy::KIND,
    &lost::KIND,
];

/// The charts that this run has something to show on.
#[must_use]
pub fn charts(report: &RunReport) -> Vec<Chart> {
    KINDS
        .iter()
        .filter_map(|kind| {
            let wide = (kind.draw)(report, Layout::Wide)?;
            let narrow = (kind.draw)(report, Layout::Narrow)?;
            let alt_text = (kind.alt_text)(report);
            let id = kind.file_name.trim_end_matches(".svg");
            Some(Chart {
                file_name: kind.file_name,
                title: kind.title,
                takeaway: (kind.takeaway)(report),
                svg: wide.file(id, kind.title, &alt_text),
                inline_wide: wide.inline(id, "wide", &alt_text),
                inline_narrow: narrow.inline(id, "narrow", &alt_text),
                alt_text,
            })
        })
        .collect()
}
