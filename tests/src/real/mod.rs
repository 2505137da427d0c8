//! Measured cars: open data, sheets made from it by stated rules, and how far the model is off.

pub mod best_launch;
pub mod chart;
pub mod line;
pub mod parts;
pub mod period_sheet;
pub mod period_tests;
pub mod rows;
pub mod spread_sheets;
pub mod spread_tests;
