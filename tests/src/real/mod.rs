//! Measured cars: open data, sheets made from it by stated rules, and how far the model is off.

pub mod best_launch;
pub mod calibration;
pub mod chart;
pub mod evidence;
pub mod line;
pub mod parts;
pub mod period_sheet;
pub mod prediction;
pub mod rows;
pub mod spread_sheets;
pub mod spread_tests;
