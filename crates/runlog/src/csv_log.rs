//! Logs as rows of cells.

use std::io::BufRead;

use bitepoint_inputs::problem::{Fault, Problems};
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

use crate::channel::Channel;
use crate::clock::{number, stamp};
use crate::lines::{LONGEST_LINE, Lines};
use crate::log::{Format, Log, Note, Row};
use crate::problem::problem;
use crate::read::{ACCEPTED, Builder, Reading, line_problem};
use crate::sniff::{is_comment, line_end};
use crate::time_axis::Count;

mod layout;

use layout::{Layout, layout};

/// Most cells of a row; what lies beyond is not read.
const MOST_CELLS: usize = 1024;
/// Rows after which a log that cannot be read is given up.
const PATIENCE: u64 = 1000;

/// Parts a line into cells, one line at a time: a quote that is never closed spoils its own line only.
pub(crate) struct Cells {
    reader: Reader,
    /// Whether any run of spaces parts two cells.
    by_spaces: bool,
    text: Vec<u8>,
    ends: Vec<usize>,
    count: usize,
}

impl Cells {
    pub(crate) fn new(delimiter: u8) -> Self {
        Self {
            reader: ReaderBuilder::new().delimiter(delimiter).build(),
            by_spaces: delimiter == b' ',
            text: vec![0; LONGEST_LINE + 2],
            ends: vec![0; MOST_CELLS],
            count: 0,
        }
    }

    pub(crate) fn part(&mut self, line: &[u8]) {
        let evened: Vec<u8>;
        let line = if self.by_spaces {
            evened = line.split(u8::is_ascii_whitespace).filter(|c| !c.is_empty()).collect::<Vec<_>>().join(&b' ');
            &evened
        } else {
            line
        };
        self.reader.reset();
        let (result, _, written, ends) = self.reader.read_record(line, &mut self.text, &mut self.ends);
        self.count = ends;
        if matches!(result, ReadRecordResult::InputEmpty) {
            // An empty input ends the record.
            let (_, _, _, more) = self.reader.read_record(&[], &mut self.text[written..], &mut self.ends[ends..]);
            self.count += more;
        }
    }

    /// A cell as text; nothing if there is none or it is no UTF-8.
    pub(crate) fn get(&self, index: usize) -> Option<&str> {
        if index >= self.count {
            return None;
        }
        let from = index.checked_sub(1).map_or(0, |before| self.ends[before]);
        core::str::from_utf8(self.text.get(from..self.ends[index])?).ok().map(str::trim)
    }

    pub(crate) fn all(&self) -> Vec<String> {
        (0..self.count).map(|i| self.get(i).unwrap_or("").to_owned()).collect()
    }
}

/// Whether a cell says that there is no value.
pub(crate) fn is_missing(cell: &str) -> bool {
    cell.is_empty() || ["-", "--", "na", "n/a", "nan", "null", "none"].iter().any(|m| cell.eq_ignore_ascii_case(m))
}

/// A value of a cell; nothing if it cannot be read, NaN if it is missing.
fn value(cell: &str, channel: Channel, decimal_comma: bool) -> Option<f64> {
    if let Some(number) = number(cell, decimal_comma) {
        return Some(number);
    }
    if is_missing(cell) {
        return Some(f64::NAN);
    }
    match (channel, cell.to_ascii_lowercase().as_str()) {
        (Channel::Clutch, "on" | "true" | "yes" | "pressed" | "in") => Some(1.0),
        (Channel::Clutch, "off" | "false" | "no" | "released" | "out") => Some(0.0),
        _ => None,
    }
}

pub(crate) fn read(name: &str, head: &[u8], input: impl BufRead, how: &Reading) -> Result<Log, Problems> {
    let layout = layout(name, head, &how.map)?;
    let mut lines = Lines::new(input, line_end(head));
    let mut cells = Cells::new(layout.delimiter);
    let has_speed = layout.columns.iter().any(|c| c.channel == Channel::Speed);
    let mut builder = Builder::new(name, how, has_speed);
    let mut unread = Unread::default();
    let mut at = 0;
    loop {
        match lines.next() {
            Ok(None) => break,
            Ok(Some(line)) => {
                at += 1;
                if at < layout.first_row || is_comment(line) {
                    continue;
                }
                cells.part(line);
            }
            Err(error) => return Err(line_problem(name, at + 1, &error)),
        }
        let read = read_row(&layout, &cells, at, &mut unread);
        if let Some((row, time, written)) = read {
            builder.push(row, time, written)?;
        }
        if unread.rows.times > PATIENCE && unread.rows.times > builder.rows() {
            return Err(unread.problem(name, builder.rows()));
        }
    }
    if unread.rows.times > builder.rows() {
        return Err(unread.problem(name, builder.rows()));
    }
    let mut notes = layout.notes.clone();
    notes.extend(unread.notes());
    builder.finish(Format::Csv, layout.columns, notes)
}

/// Cells that could not be read.
#[derive(Default)]
struct Unread {
    /// Rows without a time that can be read.
    rows: Count,
    first: String,
    /// Cells of other columns.
    cells: Count,
    first_cell: String,
}

impl Unread {
    fn problem(&self, name: &str, read: u64) -> Problems {
        let line = Some(self.rows.first_line);
        let what =
            format!("{} of the first {} rows have no time that can be read", self.rows.times, self.rows.times + read);
        problem(name, line, "time", Fault::BadQuantity, what, &self.first, ACCEPTED)
    }

    fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        if self.rows.times > 0 {
            let what =
                format!("{} rows have no time that can be read and are left out, the first here", self.rows.times);
            notes.push(Note { line: Some(self.rows.first_line), what });
        }
        if self.cells.times > 0 {
            let what = format!(
                "{} cells are no numbers and are left out, the first here: {}",
                self.cells.times, self.first_cell
            );
            notes.push(Note { line: Some(self.cells.first_line), what });
        }
        notes
    }
}

type Read<'a> = (Row, Option<crate::clock::Stamp>, &'a str);

fn read_row<'a>(layout: &Layout, cells: &'a Cells, line: u64, unread: &mut Unread) -> Option<Read<'a>> {
    let mut row = Row::empty(line);
    let mut time = None;
    let mut written = "";
    for column in &layout.columns {
        let Some(cell) = cells.get(column.index) else {
            continue;
        };
        if column.channel == Channel::Time {
            written = cell;
            time = stamp(cell, column.factor, layout.decimal_comma);
            continue;
        }
        match value(cell, column.channel, layout.decimal_comma) {
            Some(number) => row.set(column.channel, number * column.factor),
            None => {
                if unread.cells.times == 0 {
                    unread.first_cell = crate::problem::shown(cell);
                }
                unread.cells.add(line);
            }
        }
    }
    // A row with a time cell that is empty is a row without a time; one with nonsense there is no row.
    if time.is_none() && !is_missing(written) || cells.count < 2 {
        if unread.rows.times == 0 {
            unread.first = crate::problem::shown(cells.get(0).unwrap_or(""));
        }
        unread.rows.add(line);
        return None;
    }
    Some((row, time, written))
}
