//! What logs can tell and what they cannot.

use serde::Serialize;

/// How much the logs say about an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Told {
    /// Its spread is less than 60 % of what it was.
    Well,
    /// Its spread is less than 90 % of what it was.
    Partly,
    /// Alone it is told little or not, but together with another it is: their correlation is over 0.95.
    Together,
    /// The logs say next to nothing: it stays what it was before.
    Not,
    /// It went over three of its standard deviations away: the value before is wrong, or the log is of another car.
    AtLimit,
}

/// Two inputs of which the logs tell a combination alone.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Pair {
    /// One.
    pub one: String,
    /// The other.
    pub other: String,
    /// Correlation of their errors.
    pub correlation: f64,
}

/// Spread after over spread before under which an input is told, and told well.
const PARTLY: f64 = 0.9;
const WELL: f64 = 0.6;
/// Correlation over which two are told together alone.
pub(super) const TOGETHER: f64 = 0.95;
/// An input this far off, in standard deviations before, is at its limit.
const LIMIT: f64 = 3.3;

/// The verdict on an input at deviate `z` with the standard error `sd`, both in standard deviations before, whose strongest
/// correlation is `strongest`.
pub(super) fn told(z: f64, sd: f64, strongest: f64) -> Told {
    if z.abs() > LIMIT {
        Told::AtLimit
    } else if strongest.abs() > TOGETHER {
        Told::Together
    } else if sd < WELL {
        Told::Well
    } else if sd < PARTLY {
        Told::Partly
    } else {
        Told::Not
    }
}

impl Told {
    /// In words.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Well => "told",
            Self::Partly => "told in part",
            Self::Together => "only together",
            Self::Not => "not told by these logs",
            Self::AtLimit => "at its limit",
        }
    }

    /// Whether a new file takes the value from the logs.
    #[must_use]
    pub fn is_news(self) -> bool {
        !matches!(self, Self::Not)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_input_whose_spread_stays_is_not_told() {
        assert_eq!(told(0.1, 0.97, 0.2), Told::Not);
        assert_eq!(told(0.4, 0.7, 0.2), Told::Partly);
        assert_eq!(told(0.4, 0.2, 0.2), Told::Well);
        assert_eq!(told(0.4, 0.7, -0.97), Told::Together);
        assert_eq!(told(-3.4, 0.2, 0.2), Told::AtLimit);
    }
}
