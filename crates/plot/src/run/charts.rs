//! The charts of one run, in the order in which its report tells the story.

use crate::chart::canvas::Layout;
use crate::chart::markup::Drawing;
use crate::chart::{Caption, Chart};

use super::report::RunReport;
use super::{clutch, energy, forces, launch, limits, lost, shaft, slip, speed};

/// One kind of chart: how it is named, described and drawn.
pub(super) struct Kind {
    pub(super) name: &'static str,
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
            let caption = Caption {
                name: kind.name,
                title: kind.title,
                takeaway: (kind.takeaway)(report),
                alt_text: (kind.alt_text)(report),
            };
            Chart::draw(caption, |layout| (kind.draw)(report, layout))
        })
        .collect()
}
