//! A result that the owner knows ("0-60 mph = 6.2 s, rollout") and what it teaches about the car.
//!
//! The logarithm of a figure is all but linear in the deviates z of the car's uncertain values, so that a normal distribution of z stays one when
//! the figure is known (Laplace's approximation; Gauss and Newton's steps find where): with slopes J, errors R of the known figures and
//! S = J Jᵀ + R, the mean is Jᵀ S⁻¹ (known - computed + J z) and the variance 1 - Jᵀ S⁻¹ J.

mod learn;
mod result;

pub use learn::{KNOWN, LearnError, Learned, Moved, Shown, learn};
pub use result::{Figure, KnownResult};
