//! Vehicle and scenario files: quantities with units, validation, estimates, schema.
//!
//! The core takes text and returns values or problems; reading from disk is the module `files`, behind a feature of that name.
//! As in the model, powers and arcs come from `libm`, so that a file makes the same car on every machine.

pub mod belief;
mod change;
mod document;
pub mod entry;
#[cfg(feature = "files")]
pub mod files;
mod given;
mod json;
pub mod key;
pub mod part;
pub mod problem;
pub mod quantity;
mod read_value;
pub mod reference;
mod resolver;
pub mod rules;
pub mod scenario;
pub mod scenario_keys;
pub mod schema;
mod toml;
pub mod tyre_size;
pub mod vehicle;
pub mod vehicle_keys;

pub use document::MAX_FILE_BYTES;
