//! Parts and other changes to a car: what a file or a line of text says, and the car with them fitted.

mod change;
mod file;
mod fit;
mod fitting;
mod line;

pub use change::Change;
pub(crate) use change::OTHER_CAR;
pub use file::{Part, Price};
pub(crate) use fitting::{Fitting, Held, own_spread};
pub use line::{Item, PartLine, unknown_key};
