//! What a part or a change is worth.

mod asked;
mod car;
mod compute;
mod differences;
mod draws;
mod influence;
mod scatter;
mod sobol;
mod surface;
mod watched;
mod worth;

pub use asked::{Asked, Variant};
pub use car::Car;
pub use compute::{CompareError, compare, runs_asked};
pub use differences::Difference;
pub use influence::{Influence, Share};
pub use scatter::Scatter;
pub use sobol::{Index, Rows, indices};
pub use worth::{Comparison, Money, Together, Verdict, Worth};
