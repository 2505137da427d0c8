//! Columns assigned by hand: `time=0,speed=GPS_kph:km/h`.

use core::fmt;

use crate::channel::Channel;

/// One assignment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assigned {
    /// What the column holds.
    pub channel: Channel,
    /// Name of the column, or its place counted from 0; a unit may follow a colon.
    pub column: String,
}

/// Columns assigned by hand; the others are found by their names.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ColumnMap(pub Vec<Assigned>);

/// Why a text is no map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MapError {
    /// A piece that does not begin with `channel=`.
    NoChannel {
        /// The piece.
        piece: String,
    },
    /// A channel that does not exist.
    UnknownChannel {
        /// As it was written.
        found: String,
        /// The nearest that exists, if any is near.
        nearest: Option<&'static str>,
    },
    /// Nothing behind the equals sign.
    NoColumn {
        /// The channel.
        channel: Channel,
    },
    /// A channel that is assigned twice.
    Twice {
        /// The channel.
        channel: Channel,
    },
}

impl fmt::Display for MapError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoChannel { piece } => write!(f, "\"{piece}\" does not begin with a channel and an equals sign")?,
            Self::UnknownChannel { found, nearest } => {
                write!(f, "there is no channel \"{found}\"")?;
                if let Some(nearest) = nearest {
                    write!(f, "; did you mean \"{nearest}\"?")?;
                }
            }
            Self::NoColumn { channel } => write!(f, "no column is named for \"{}\"", channel.name())?,
            Self::Twice { channel } => write!(f, "\"{}\" is assigned twice", channel.name())?,
        }
        let names = Channel::ALL.map(Channel::name).join(", ");
        write!(
            f,
            "\n    accepted: time=0,speed=GPS_kph:km/h: a channel ({names}), the column's name or its place from 0, and a unit where the name has none"
        )
    }
}

impl core::error::Error for MapError {}

/// Nearest channel's name, if one is near enough to be meant.
fn nearest(found: &str) -> Option<&'static str> {
    Channel::ALL
        .map(Channel::name)
        .into_iter()
        .map(|name| (strsim::jaro_winkler(found, name), name))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(likeness, _)| *likeness > 0.75)
        .map(|(_, name)| name)
}

impl ColumnMap {
    /// Reads a map. A comma within a column's name is no end of it unless a `word=` follows.
    ///
    /// # Errors
    /// A piece without a channel, an unknown channel, no column, or a channel assigned twice.
    pub fn parse(text: &str) -> Result<Self, MapError> {
        let mut pieces: Vec<String> = Vec::new();
        for piece in text.split(',') {
            match pieces.last_mut() {
                Some(last) if !piece.contains('=') => {
                    last.push(',');
                    last.push_str(piece);
                }
                _ => pieces.push(piece.to_owned()),
            }
        }
        let mut map = Self::default();
        for piece in pieces {
            let Some((word, column)) = piece.split_once('=') else {
                return Err(MapError::NoChannel { piece: piece.trim().to_owned() });
            };
            let word = word.trim().to_lowercase();
            let channel = match word.as_str() {
                "engine_speed" => Some(Channel::EngineSpeed),
                _ => Channel::ALL.into_iter().find(|c| c.name() == word),
            };
            let Some(channel) = channel else {
                let nearest = nearest(&word);
                return Err(MapError::UnknownChannel { found: word, nearest });
            };
            let column = column.trim().to_owned();
            if column.is_empty() {
                return Err(MapError::NoColumn { channel });
            }
            if map.column(channel).is_some() {
                return Err(MapError::Twice { channel });
            }
            map.0.push(Assigned { channel, column });
        }
        Ok(map)
    }

    /// The column that is assigned to a channel.
    #[must_use]
    pub fn column(&self, channel: Channel) -> Option<&str> {
        self.0.iter().find(|a| a.channel == channel).map(|a| a.column.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_names_columns_by_place_or_name_with_a_unit() {
        let map = ColumnMap::parse("time=0, speed=GPS_kph:km/h,acceleration=acc, forward:g").expect("a map");
        assert_eq!(map.column(Channel::Time), Some("0"));
        assert_eq!(map.column(Channel::Speed), Some("GPS_kph:km/h"));
        assert_eq!(map.column(Channel::Acceleration), Some("acc, forward:g"));
    }

    #[test]
    fn a_map_that_is_none_says_what_it_wants() {
        let unknown = ColumnMap::parse("sped=3").expect_err("an unknown channel");
        assert_eq!(unknown, MapError::UnknownChannel { found: "sped".to_owned(), nearest: Some("speed") });
        assert!(unknown.to_string().contains("speed=GPS_kph:km/h"));
        assert!(matches!(ColumnMap::parse("speed"), Err(MapError::NoChannel { .. })));
        assert!(matches!(ColumnMap::parse("speed="), Err(MapError::NoColumn { .. })));
        assert!(matches!(ColumnMap::parse("speed=1,speed=2"), Err(MapError::Twice { .. })));
    }
}
