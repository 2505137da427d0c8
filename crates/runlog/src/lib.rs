//! Measured runs: reading a log, finding its standing starts, and timing them with stated errors.
//!
//! [`read::read`] turns a file into a [`log::Log`]; [`start::find_starts`] finds the standing starts in it;
//! [`measure::measure`] times one of them. Everything past reading is a pure function of the log.

pub mod channel;
mod clock;
pub mod columns;
mod csv_log;
mod derive;
pub mod estimate;
mod falls;
mod gates;
pub mod gears;
mod gpx_log;
mod keep;
pub mod latency;
mod lines;
pub mod log;
pub mod map;
pub mod measure;
mod motion;
mod nmea_log;
pub mod noise;
mod posterior;
mod problem;
pub mod rate;
pub mod read;
mod series;
mod sniff;
pub mod start;
pub mod suspicion;
mod time_axis;
pub mod track;
mod units;
