//! A log as plain data.

use serde::Serialize;

use crate::channel::Channel;
use crate::columns::Column;
use crate::rate::Rate;

/// One row; NaN where a channel is not there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Row {
    /// Line of the file, from 1.
    pub line: u64,
    pub values: [f64; Channel::COUNT],
}

impl Row {
    pub(crate) fn empty(line: u64) -> Self {
        Self { line, values: [f64::NAN; Channel::COUNT] }
    }

    pub(crate) fn get(&self, channel: Channel) -> f64 {
        self.values[channel as usize]
    }

    pub(crate) fn set(&mut self, channel: Channel, value: f64) {
        self.values[channel as usize] = value;
    }

    pub(crate) fn time_s(&self) -> f64 {
        self.get(Channel::Time)
    }
}

/// What a log was written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Format {
    /// Rows of cells.
    Csv,
    /// GPX 1.0 or 1.1.
    Gpx,
    /// NMEA 0183 sentences.
    Nmea,
}

/// Something about a log that a person should know and that does not stop its reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// Line of the file, from 1, where there is one to name.
    pub line: Option<u64>,
    /// What, as a sentence without a full stop.
    pub what: String,
}

/// A hole in the time stamps.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gap {
    /// Line at its end.
    pub line: u64,
    /// When it begins, s.
    pub from_s: f64,
    /// When it ends, s.
    pub to_s: f64,
}

/// Rows on end, as columns: NaN where a row has no value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stretch {
    /// Line of the first row.
    pub first_line: u64,
    /// Which recording of the file this belongs to, from 0: a clock that starts anew begins another.
    pub recording: u32,
    /// Time of each row, s, rising.
    pub time_s: Vec<f64>,
    columns: Vec<(Channel, Vec<f64>)>,
}

impl Stretch {
    /// Builds one from rows with rising times; channels without a single value are left out.
    pub(crate) fn from_rows<'a>(recording: u32, rows: impl Iterator<Item = &'a Row> + Clone) -> Self {
        let kept = Channel::ALL.into_iter().filter(|c| *c != Channel::Time);
        let columns = kept
            .map(|c| (c, rows.clone().map(|r| r.get(c)).collect::<Vec<f64>>()))
            .filter(|(_, values)| values.iter().any(|v| v.is_finite()))
            .collect();
        Self {
            first_line: rows.clone().next().map_or(0, |r| r.line),
            recording,
            time_s: rows.map(Row::time_s).collect(),
            columns,
        }
    }

    /// Builds one from columns as long as `time_s`, which rises.
    #[must_use]
    pub fn new(time_s: Vec<f64>, columns: Vec<(Channel, Vec<f64>)>) -> Self {
        Self { first_line: 1, recording: 0, time_s, columns }
    }

    /// Values of a channel, one a row; nothing if the log does not have it here.
    #[must_use]
    pub fn channel(&self, channel: Channel) -> Option<&[f64]> {
        self.columns.iter().find(|(c, _)| *c == channel).map(|(_, values)| values.as_slice())
    }

    /// Times and values of a channel where it has one.
    #[must_use]
    pub fn known(&self, channel: Channel) -> Vec<(f64, f64)> {
        self.channel(channel).map_or_else(Vec::new, |values| {
            let pairs = self.time_s.iter().copied().zip(values.iter().copied());
            pairs.filter(|(_, v)| v.is_finite()).collect()
        })
    }

    pub(crate) fn scale(&mut self, channel: Channel, factor: f64) {
        for (c, values) in &mut self.columns {
            if *c == channel {
                values.iter_mut().for_each(|v| *v *= factor);
            }
        }
    }
}

/// What was read of a file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Log {
    /// Name of the file.
    pub name: String,
    /// What it was written as.
    pub format: Format,
    /// Columns that were read, for a CSV.
    pub columns: Vec<Column>,
    /// Rows with a time.
    pub rows: u64,
    /// Time from the first to the last of them, s, without leaps between recordings.
    pub span_s: f64,
    /// The first time stamp as it was written.
    pub first_stamp: String,
    /// How often rows come.
    pub rate: Option<Rate>,
    /// Holes in the time stamps, the first of them.
    pub gaps: Vec<Gap>,
    /// What a person should know.
    pub notes: Vec<Note>,
    /// What was kept: all of it, or what lies around each departure.
    pub stretches: Vec<Stretch>,
}

impl Log {
    /// Whether any stretch has a channel.
    #[must_use]
    pub fn has(&self, channel: Channel) -> bool {
        self.stretches.iter().any(|s| s.channel(channel).is_some())
    }
}
