//! The charts of a comparison.

use crate::chart::Chart;

use super::report::CompareReport;
use super::{influence, money, worth};

/// The charts that this comparison has something to show on.
#[must_use]
pub fn charts(report: &CompareReport) -> Vec<Chart> {
    [worth::chart(report), money::chart(report), influence::chart(report)].into_iter().flatten().collect()
}
