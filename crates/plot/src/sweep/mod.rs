//! The reports of sweeps and of shift points: their sentences, charts and pages.

mod grid;
mod labels;
mod look;
mod map;
mod one_key;
mod page;
mod pulls;
mod scale;
mod shift_story;
mod shift_times;
mod story;
mod tables;

pub use page::{ShiftReport, SweepReport, shift_files, sweep_files};
pub use shift_story::{ShiftRow, shift_headline, shift_notes, shift_rows};
pub use story::{Row, RowAlong, headline, notes, recommendations, rows, target_name};
