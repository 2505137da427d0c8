//! What can be wrong with an axis, told so that a person can put it right.

use core::fmt;

use bitepoint_inputs::key::{Key, Kind};
use bitepoint_inputs::quantity::{Dimension, QuantityError};

/// Why a key cannot be varied.
#[derive(Debug, Clone, PartialEq)]
pub enum NotVaried {
    /// There is no such key; the nearest, if any is near.
    Unknown(Option<&'static str>),
    /// It is no quantity: what it takes.
    NoQuantity(&'static Key),
    /// A list of quantities, of which one has to be named.
    NoItem(&'static Key),
    /// An item of a key that is no list, or one that a list does not have.
    StrangeItem(&'static Key),
}

/// What is wrong with an axis as it was asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum AxisError {
    /// There is no equals sign between key and values.
    NoValues,
    /// The key cannot be varied.
    Key(NotVaried),
    /// A piece that does not begin with a number.
    NoNumber(String),
    /// Two units in one range or list.
    TwoUnits(String, String),
    /// A unit that does not fit, or none where one is needed.
    Unit(QuantityError, Dimension),
    /// A range without a step; one that would do.
    NoStep(String),
    /// The step is zero or negative.
    BadStep,
    /// The range has its end before its beginning, or at it.
    Backwards,
    /// The step does not lead from one end to the other; the last values at either side of it.
    StepDoesNotFit(String, String),
    /// A value outside of what is believable: it, least, largest.
    Unbelievable(String, String, String),
    /// The same value twice.
    Twice(String),
    /// One value alone.
    Alone,
}

impl fmt::Display for AxisError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoValues => {
                f.write_str("write KEY=FROM..TO/STEP or KEY=A,B,C, such as launch.revs=2000..7000/100 rpm")
            }
            Self::Key(NotVaried::Unknown(Some(near))) => write!(f, "this key is not known; did you mean {near}?"),
            Self::Key(NotVaried::Unknown(None)) => {
                f.write_str("this key is not known; `bitepoint check` prints the keys of a vehicle and a scenario")
            }
            Self::Key(NotVaried::NoQuantity(key)) => write!(
                f,
                "{} is no number with a unit, so it has no steps; name a scenario or vehicle file for each of its values",
                key.path
            ),
            Self::Key(NotVaried::NoItem(key)) => {
                write!(f, "{0} is a list; name the item to vary, counted from 1, such as {0}[2]", key.path)
            }
            Self::Key(NotVaried::StrangeItem(key)) => match key.kind {
                Kind::List { most, .. } => write!(f, "items of {} are counted from 1 to {most} at most", key.path),
                _ => write!(f, "{} is one value, not a list of items", key.path),
            },
            Self::NoNumber(piece) => write!(f, "{piece:?} does not begin with a number"),
            Self::TwoUnits(first, second) => {
                write!(f, "the units {first:?} and {second:?} stand side by side; write one, once or on every number")
            }
            Self::Unit(error, dimension) => {
                write!(f, "the value {}; units that fit: {}", error.text(), dimension.units_taken())
            }
            Self::NoStep(step) => write!(f, "the range has no step; write for example /{step} behind it"),
            Self::BadStep => f.write_str("the step has to be more than 0"),
            Self::Backwards => f.write_str("the range is empty: it has to end above where it begins"),
            Self::StepDoesNotFit(before, after) => {
                write!(f, "the step does not lead to the range's end; end it at {before} or {after}")
            }
            Self::Unbelievable(value, low, high) => {
                write!(f, "{value} is outside of what is believable; accepted are values from {low} to {high}")
            }
            Self::Alone => f.write_str("one value is not varied; give two or more, or set it in the file"),
            Self::Twice(value) => write!(f, "{value} stands there twice"),
        }
    }
}

impl core::error::Error for AxisError {}
