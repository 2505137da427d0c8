//! From a file to a log.

use std::fs::File;
use std::io::{BufRead, BufReader, Cursor, Read};
use std::path::Path;

use bitepoint_inputs::problem::{Fault, Problems};
use encoding_rs_io::DecodeReaderBytesBuilder;

use crate::channel::Channel;
use crate::clock::Stamp;
use crate::columns::Column;
use crate::derive::SpeedOfPosition;
use crate::keep::Keeper;
use crate::lines::{LONGEST_LINE, LineError};
use crate::log::{Format, Log, Note, Row};
use crate::map::ColumnMap;
use crate::problem::problem;
use crate::sniff::{Kind, NotALog, kind};
use crate::time_axis::{Broken, Out, TimeAxis};
use crate::{csv_log, gpx_log, nmea_log};

/// How much of a log is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Keep {
    /// What lies around each departure: a log of any length fits.
    #[default]
    Starts,
    /// Every row up to a number of them, for coast-downs and charts of a whole log.
    Everything {
        /// Rows after which no more are kept.
        most_rows: usize,
    },
}

impl Keep {
    /// Most rows of one run.
    pub(crate) const MOST_ROWS_OF_A_RUN: usize = 200_000;
    /// Most rows of all runs of a log.
    pub(crate) const MOST_ROWS_OF_STARTS: usize = 1_500_000;
}

/// How a log is to be read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reading {
    /// Columns assigned by hand.
    pub map: ColumnMap,
    /// How much is kept.
    pub keep: Keep,
}

/// What is taken, for messages.
pub(crate) const ACCEPTED: &str = "a log as CSV with a time and a speed column, GPX 1.1, or NMEA 0183 (RMC, VTG, GGA)";

/// What is taken of a log that is too short, for messages.
const WHOLE_RUN: &str = "a log that begins before the car moves and goes on through the run";

/// Bytes of the beginning from which kind and layout are told.
const HEAD_BYTES: u64 = 256 * 1024;

/// Reads the log at `path`.
///
/// # Errors
/// That it cannot be read, is no log, lacks a column, or that its stamps make no time.
pub fn read(path: &Path, how: &Reading) -> Result<Log, Problems> {
    let name = path.display().to_string();
    let unreadable = |why: String| {
        problem(&name, None, "", Fault::Unreadable, format!("this file cannot be read: {why}"), "", ACCEPTED)
    };
    let file = File::open(path).map_err(|e| {
        unreadable(match e.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            std::io::ErrorKind::PermissionDenied => "it may not be read".to_owned(),
            _ => e.to_string(),
        })
    })?;
    if file.metadata().is_ok_and(|m| m.is_dir()) {
        return Err(unreadable("it is a folder".to_owned()));
    }
    read_from(&name, file, how)
}

/// Reads a log from anything that gives bytes; `name` stands in messages. UTF-16 with its byte order mark is taken too.
///
/// # Errors
/// As [`read`].
pub fn read_from(name: &str, input: impl Read, how: &Reading) -> Result<Log, Problems> {
    let mut decoded =
        DecodeReaderBytesBuilder::new().bom_sniffing(true).strip_bom(true).utf8_passthru(true).build(input);
    let mut head = Vec::new();
    (&mut decoded).take(HEAD_BYTES).read_to_end(&mut head).map_err(|e| line_problem(name, 0, &LineError::Io(e)))?;
    let kind = kind(&head).map_err(|why| not_a_log(name, &why))?;
    let rest = BufReader::with_capacity(1 << 18, decoded);
    match kind {
        Kind::Csv => csv_log::read(name, &head.clone(), Cursor::new(head).chain(rest), how),
        Kind::Nmea => nmea_log::read(name, &head.clone(), Cursor::new(head).chain(rest), how),
        Kind::Gpx => gpx_log::read(name, Cursor::new(head).chain(rest), how),
    }
}

fn not_a_log(name: &str, why: &NotALog) -> Problems {
    let (fault, what) = match why {
        NotALog::Empty => (Fault::Unreadable, "the log is empty".to_owned()),
        NotALog::Binary(Some(format)) => (Fault::Syntax, format!("this is a {format} file, no log in text")),
        NotALog::Binary(None) => (Fault::Syntax, "this is no text: it has bytes that no log has".to_owned()),
        NotALog::Other(format) => (Fault::Syntax, format!("this is {format}, no log")),
        NotALog::OtherXml => (Fault::Syntax, "this is XML, but no GPX".to_owned()),
    };
    problem(name, Some(1), "", fault, what, "", ACCEPTED)
}

pub(crate) fn line_problem(name: &str, line: u64, error: &LineError) -> Problems {
    match error {
        LineError::TooLong => problem(
            name,
            Some(line),
            "",
            Fault::Syntax,
            format!("the line has more than {LONGEST_LINE} bytes: this is no log"),
            "",
            ACCEPTED,
        ),
        LineError::Io(e) => {
            problem(name, None, "", Fault::Unreadable, format!("this file cannot be read: {e}"), "", ACCEPTED)
        }
    }
}

/// Where the rows of every format come together.
pub(crate) struct Builder<'a> {
    name: &'a str,
    axis: TimeAxis,
    keeper: Keeper,
    position: Option<SpeedOfPosition>,
    first_stamp: Option<String>,
    speeds: u64,
}

impl<'a> Builder<'a> {
    /// `has_speed` is false for a log whose speed follows from its positions.
    pub(crate) fn new(name: &'a str, how: &Reading, has_speed: bool) -> Self {
        Self {
            name,
            axis: TimeAxis::default(),
            keeper: Keeper::new(how.keep),
            position: (!has_speed).then(SpeedOfPosition::default),
            first_stamp: None,
            speeds: 0,
        }
    }

    pub(crate) fn push(&mut self, row: Row, stamp: Option<Stamp>, written: &str) -> Result<(), Problems> {
        if self.first_stamp.is_none() && stamp.is_some() {
            self.first_stamp = Some(written.trim().to_owned());
        }
        let (keeper, position, speeds) = (&mut self.keeper, &mut self.position, &mut self.speeds);
        self.axis
            .push(row, stamp, &mut |out| hand_on(out, keeper, position, speeds))
            .map_err(|broken| broken_time(self.name, &broken))
    }

    /// Rows with a time so far.
    pub(crate) fn rows(&self) -> u64 {
        self.axis.rows
    }

    pub(crate) fn finish(
        mut self,
        format: Format,
        columns: Vec<Column>,
        mut notes: Vec<Note>,
    ) -> Result<Log, Problems> {
        let (keeper, position, speeds) = (&mut self.keeper, &mut self.position, &mut self.speeds);
        self.axis
            .finish(&mut |out| hand_on(out, keeper, position, speeds))
            .map_err(|broken| broken_time(self.name, &broken))?;
        self.keeper.end_recording();
        let name = self.name;
        if self.axis.rows < 2 {
            let what = "the log has fewer than two rows with a time";
            let found = if self.axis.rows == 0 { "none" } else { "one row" };
            return Err(problem(name, None, "time", Fault::Inconsistent, what, found, WHOLE_RUN));
        }
        if self.speeds < 2 {
            let what = "the log has fewer than two rows with a speed";
            let found = format!("{} rows with a time, {} with a speed", self.axis.rows, self.speeds);
            return Err(problem(name, None, "speed", Fault::Inconsistent, what, &found, WHOLE_RUN));
        }
        notes.extend(self.axis.notes());
        if self.position.is_some() {
            notes.push(Note {
                line: None,
                what: "there is no speed: it is worked out from the positions, and so noisier".to_owned(),
            });
        }
        if self.keeper.left_out > 0 {
            notes.push(Note {
                line: None,
                what: format!(
                    "the log is too long to keep whole: {} later departures or rows are left out",
                    self.keeper.left_out
                ),
            });
        }
        let mut stretches = self.keeper.stretches;
        for (largest, channel) in self.keeper.largest_share.iter().zip([Channel::Throttle, Channel::Clutch]) {
            let named = columns.iter().any(|c| c.channel == channel && !c.unit.is_empty());
            // Nobody logs a throttle of 150 % in parts of one.
            if !named && *largest > 1.5 {
                stretches.iter_mut().for_each(|s| s.scale(channel, 0.01));
            }
        }
        Ok(Log {
            name: name.to_owned(),
            format,
            columns,
            rows: self.axis.rows,
            span_s: self.axis.span_s,
            first_stamp: self.first_stamp.unwrap_or_default(),
            rate: self.axis.rate(),
            gaps: core::mem::take(&mut self.axis.gaps),
            notes,
            stretches,
        })
    }
}

fn hand_on(out: Out, keeper: &mut Keeper, position: &mut Option<SpeedOfPosition>, speeds: &mut u64) {
    match out {
        Out::Restart => {
            keeper.end_recording();
            if let Some(position) = position {
                position.restart();
            }
        }
        Out::Row(row) => {
            let row = match position {
                Some(position) => position.push(row),
                None => Some(row),
            };
            if let Some(row) = row {
                *speeds += u64::from(row.get(Channel::Speed).is_finite());
                keeper.push(row);
            }
        }
    }
}

fn broken_time(name: &str, broken: &Broken) -> Problems {
    match broken {
        Broken::Stuck { line } => problem(
            name,
            Some(*line),
            "time",
            Fault::Inconsistent,
            "thousands of rows on end have the same time",
            "",
            "a time that rises from row to row; assign another column with --map time=COLUMN",
        ),
        Broken::Backward { times, of, first_line } => problem(
            name,
            Some(*first_line),
            "time",
            Fault::Inconsistent,
            format!("time goes back in {times} of {of} rows, the first here"),
            "",
            "a time that rises from row to row; assign another column with --map time=COLUMN",
        ),
    }
}

/// Whether a source has a byte more to give; for readers that have to stop at a size.
pub(crate) fn has_more(input: &mut impl BufRead) -> bool {
    input.fill_buf().is_ok_and(|b| !b.is_empty())
}
