//! What a key of a file is: the one description that reading, suggestions, the schema and the documentation are made from.

use crate::quantity::Dimension;

/// A key and what may stand behind it.
#[derive(Debug, PartialEq)]
pub struct Key {
    /// Dotted path from the top of the file.
    pub path: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// Whether a file can do without it.
    pub required: bool,
    /// What it means, in one line.
    pub about: &'static str,
    /// An example of the value, as TOML.
    pub example: &'static str,
}

/// What may stand behind a key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Any text.
    Text,
    /// Name of another file, beside this one.
    File,
    /// true or false.
    Flag,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// A quantity from `low` to `high` (SI), with or without a spread.
    Quantity {
        /// What it measures.
        dimension: Dimension,
        /// Least believable value, SI.
        low: f64,
        /// Largest believable value, SI.
        high: f64,
    },
    /// A list of quantities, each from `low` to `high` (SI).
    List {
        /// What they measure.
        dimension: Dimension,
        /// Least believable value, SI.
        low: f64,
        /// Largest believable value, SI.
        high: f64,
        /// Fewest items.
        least: usize,
        /// Most items.
        most: usize,
    },
    /// A torque curve: pairs of engine speed and torque.
    TorqueCurve,
    /// A tyre size such as 225/40R18.
    TyreSize,
}

/// Least and largest torque of a torque curve's point, N·m.
pub(crate) const CURVE_TORQUE_NM: (f64, f64) = (1.0, 3000.0);
/// Least and largest speed of a torque curve's point, rad/s.
pub(crate) const CURVE_SPEED_RADPS: (f64, f64) = (rpm(200.0), rpm(20_000.0));
/// Most points of a torque curve.
pub(crate) const CURVE_POINTS: usize = 200;

/// Revolutions per minute to rad/s.
pub(crate) const fn rpm(per_minute: f64) -> f64 {
    per_minute * core::f64::consts::PI / 30.0
}

pub(crate) const fn quantity(dimension: Dimension, low: f64, high: f64) -> Kind {
    Kind::Quantity { dimension, low, high }
}

/// Makes one constant for each key and the table of all of them, so that code names keys and cannot misspell them.
macro_rules! key_table {
    ($(#[$about_table:meta])* $table:ident; $( $name:ident $(($required:ident))? = $path:literal, $kind:expr, $about:literal, $example:literal; )*) => {
        $(
            #[doc = $about]
            pub static $name: $crate::key::Key = $crate::key::Key {
                path: $path,
                kind: $kind,
                required: key_table!(@required $($required)?),
                about: $about,
                example: $example,
            };
        )*
        $(#[$about_table])*
        pub static $table: &[&$crate::key::Key] = &[$(&$name),*];
    };
    (@required required) => { true };
    (@required) => { false };
}
pub(crate) use key_table;

impl Kind {
    /// Least and largest value, SI, of a quantity or a list of them.
    #[must_use]
    pub fn range(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Quantity { low, high, .. } | Self::List { low, high, .. } => Some((low, high)),
            _ => None,
        }
    }

    /// What a quantity or a list of them measures.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        match *self {
            Self::Quantity { dimension, .. } | Self::List { dimension, .. } => Some(dimension),
            _ => None,
        }
    }
}

/// The known path nearest to an unknown one, if any is near.
#[must_use]
pub fn nearest(unknown: &str, keys: &[&'static Key]) -> Option<&'static str> {
    let leaf = |path: &str| path.rsplit('.').next().unwrap_or_default().to_owned();
    let unknown_leaf = leaf(unknown);
    let score = |path: &'static str| {
        let whole = strsim::normalized_damerau_levenshtein(unknown, path);
        // A right name in the wrong group is nearer than a wrong name in the right group.
        let by_leaf = 0.95 * strsim::normalized_damerau_levenshtein(&unknown_leaf, &leaf(path));
        whole.max(by_leaf)
    };
    let groups = keys.iter().filter_map(|k| k.path.rsplit_once('.').map(|(group, _)| group));
    keys.iter()
        .map(|k| k.path)
        .chain(groups)
        .map(|path| (score(path), path))
        .filter(|(score, _)| *score >= 0.6)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, path)| path)
}
