//! The car's unknowns from measured starts and coast-downs.

pub mod coast_down;
mod cross;
mod driven;
mod identify;
mod joint;
pub mod least_squares;
mod make;
mod memo;
mod observed;
mod outcome;
mod road_load;
mod search;
mod tell;
mod write;

pub use identify::{Pair, Told};
pub use make::{Asked, FitError, fit, read_for_fit};
pub use observed::Refused;
pub use outcome::{CoastFit, Fit, FittedInput, LeftOut, StartFit, StartValue, Trace};
pub use road_load::{Fitted, RoadLoad, Rolling, road_load};
pub use write::{WriteError, vehicle_text};
