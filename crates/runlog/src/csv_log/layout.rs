//! Where the header of a CSV is, which column holds what, and in which unit.

use bitepoint_inputs::problem::{Fault, Problems};

use super::{Cells, is_missing};
use crate::channel::Channel;
use crate::clock::{number, parts_thousands, stamp};
use crate::columns::{Column, classify, part, trailing_unit};
use crate::log::Note;
use crate::map::ColumnMap;
use crate::problem::{problem, shown};
use crate::sniff::{delimiter, is_comment};
use crate::units::{accepted, factor, factor_without_unit};

/// Lines among which the header is looked for.
const HEAD_LINES: usize = 300;
/// Whole-number stamps without a unit that step by this or more are milliseconds: no log has a row every five seconds.
const MILLISECOND_STEP: f64 = 5.0;

/// Days since the end of 1899 as spreadsheets count them, of the years 1954 to 2119; a step of seconds is so small a part of one that in
/// seconds it would be that of no log.
const SPREADSHEET_DAYS: core::ops::Range<f64> = 2e4..8e4;
const SHORT_STEP_DAYS: f64 = 2e-4;

/// How the rows of a CSV are to be read.
pub(super) struct Layout {
    pub delimiter: u8,
    pub decimal_comma: bool,
    /// Number of the first line that may hold values, from 1.
    pub first_row: u64,
    pub columns: Vec<Column>,
    pub notes: Vec<Note>,
}

/// A line of the head, parted.
struct Parted {
    number: u64,
    cells: Vec<String>,
}

impl Parted {
    fn is_data(&self, decimal_comma: bool) -> bool {
        let filled: Vec<&String> = self.cells.iter().filter(|c| !is_missing(c)).collect();
        let read = filled.iter().filter(|c| stamp(c, 1.0, decimal_comma).is_some()).count();
        filled.len() >= 2 && 10 * read >= 8 * filled.len()
    }
}

pub(super) fn layout(name: &str, head: &[u8], map: &ColumnMap) -> Result<Layout, Problems> {
    let text = String::from_utf8_lossy(head);
    let end = if head.contains(&b'\n') { '\n' } else { '\r' };
    let all: Vec<(u64, &str)> = (1..).zip(text.split(end).map(str::trim_end)).take(HEAD_LINES).collect();
    let plain: Vec<(u64, &str)> = all.iter().copied().filter(|(_, l)| !is_comment(l.as_bytes())).collect();
    let lines: Vec<String> = plain.iter().map(|(_, l)| (*l).to_owned()).collect();
    let delimiter = delimiter(&lines);
    let mut cells = Cells::new(delimiter);
    let mut parted = |number: u64, line: &str| {
        cells.part(line.get(..crate::lines::LONGEST_LINE).unwrap_or(line).as_bytes());
        Parted { number, cells: cells.all() }
    };
    let rows: Vec<Parted> = plain.iter().map(|(n, l)| parted(*n, l)).collect();
    // Between commas "1,234" is more likely a thousand than a decimal.
    let decimal = |c: &&String| number(c, true).is_some() && !(delimiter == b',' && parts_thousands(c));
    let decimal_comma = rows.iter().flat_map(|r| &r.cells).filter(|c| c.contains(',')).any(|c| decimal(&c));
    let first_data = rows.iter().position(|r| r.is_data(decimal_comma)).unwrap_or(rows.len());
    // A header may stand behind a comment mark; a plain one goes before it.
    let commented: Vec<Parted> = all
        .iter()
        .filter(|(n, l)| is_comment(l.as_bytes()) && rows.get(first_data).is_none_or(|r| *n < r.number))
        .map(|(n, l)| parted(*n, l.trim_start_matches(['#', '%', '!', '/', ' '])))
        .collect();
    let best = |among: &[Parted]| {
        let scored = among.iter().enumerate().map(|(i, r)| (score(r, map), i));
        scored.max_by_key(|(score, i)| (*score, core::cmp::Reverse(*i))).filter(|(score, _)| *score > 0).map(|(_, i)| i)
    };
    let header = best(&rows[..first_data]).map(|i| &rows[i]).or_else(|| best(&commented).map(|i| &commented[i]));
    let by_place_alone = !map.0.is_empty() && map.0.iter().all(|a| place(&a.column).is_some());
    let headers: Vec<String> = match header {
        Some(row) => row.cells.clone(),
        None if by_place_alone => vec![String::new(); rows.get(first_data).map_or(0, |r| r.cells.len())],
        None => return Err(no_header(name, &rows)),
    };
    let header_line = header.map_or(0, |h| h.number);
    let units_row = rows.iter().find(|r| r.number > header_line).filter(|r| header.is_some() && is_units(r, &headers));
    let first_row = units_row.map_or(header_line, |r| r.number) + 1;
    let mut notes = Vec::new();
    let mut columns = chosen(name, header_line, &headers, units_row.map(|r| r.cells.as_slice()), map, &mut notes)?;
    let data: Vec<&Parted> = rows.iter().filter(|r| r.number >= first_row).collect();
    guess_time_unit(&mut columns, &data, decimal_comma, &mut notes);
    Ok(Layout { delimiter, decimal_comma, first_row, columns, notes })
}

/// How much of a line is known as headers.
fn score(row: &Parted, map: &ColumnMap) -> usize {
    let mut found = [false; Channel::COUNT];
    for cell in &row.cells {
        if let Some((channel, _)) = classify(&part(cell).name) {
            found[channel as usize] = true;
        }
    }
    let assigned =
        map.0.iter().filter(|a| place(&a.column).is_none() && find(&row.cells, a.channel, &a.column).is_some());
    let known = found.iter().filter(|f| **f).count() + 10 * assigned.count();
    // One word that happens to mean something does not make a line of prose a header.
    if row.cells.len() >= 2 && (known >= 2 || row.cells.len() <= 3) { known } else { 0 }
}

/// A place counted from 0, with or without a unit behind it.
fn place(column: &str) -> Option<usize> {
    column.split(':').next()?.trim().parse().ok()
}

/// Column of that name, and the unit that the map gives it.
fn find<'a>(headers: &[String], channel: Channel, column: &'a str) -> Option<(usize, Option<&'a str>)> {
    let named = |name: &str| {
        let same = |header: &&String| header.as_str() == name;
        let alike = |header: &&String| {
            header.eq_ignore_ascii_case(name.trim()) || part(header).name.eq_ignore_ascii_case(name.trim())
        };
        let at = |like: &dyn Fn(&&String) -> bool| headers.iter().position(|h| like(&h));
        at(&same).or_else(|| at(&alike))
    };
    if let Some(index) = named(column) {
        return Some((index, None));
    }
    let (name, unit) = match column.rsplit_once(':') {
        Some((name, unit)) if factor(channel, unit).is_some() || named(name).is_some() || place(name).is_some() => {
            (name, Some(unit.trim()))
        }
        _ => (column, None),
    };
    let index = named(name).or_else(|| place(name).filter(|i| *i < headers.len()))?;
    Some((index, unit))
}

/// Whether a row names units: no number in it, and a unit for a column that is known.
fn is_units(row: &Parted, headers: &[String]) -> bool {
    let no_numbers = row.cells.iter().all(|c| stamp(c, 1.0, true).is_none());
    let fits = |header: &String, cell: &String| {
        classify(&part(header).name).is_some_and(|(channel, _)| factor(channel, bare(cell)).is_some())
    };
    no_numbers && headers.iter().zip(&row.cells).any(|(h, c)| fits(h, c))
}

/// A unit without brackets around it.
fn bare(cell: &str) -> &str {
    cell.trim().trim_start_matches(['[', '(', '{', '<']).trim_end_matches([']', ')', '}', '>']).trim()
}

/// A column with the unit that the header, the row below or the map gives it, and its factor if that is known.
fn with_unit(
    channel: Channel,
    index: usize,
    header: &str,
    below: Option<&str>,
    by_hand: Option<&str>,
) -> (Column, bool) {
    let candidates = [
        by_hand.map(str::to_owned),
        part(header).unit.filter(|u| factor(channel, u).is_some()),
        below.map(|c| bare(c).to_owned()).filter(|u| factor(channel, u).is_some()),
        trailing_unit(channel, &part(header).name),
    ];
    let unit = candidates.into_iter().flatten().next().unwrap_or_default();
    let unit = shown(&unit);
    let found = if unit.is_empty() { factor_without_unit(channel) } else { factor(channel, &unit) };
    let column = Column { channel, index, header: shown(header), unit, factor: found.unwrap_or(1.0) };
    (column, found.is_some())
}

fn chosen(
    name: &str,
    line: u64,
    headers: &[String],
    below: Option<&[String]>,
    map: &ColumnMap,
    notes: &mut Vec<Note>,
) -> Result<Vec<Column>, Problems> {
    let listed = headers.join(" | ");
    let at = Some(line.max(1));
    let unit_below = |index: usize| below.and_then(|cells| cells.get(index)).map(String::as_str);
    let mut columns: Vec<Column> = Vec::new();
    for assigned in &map.0 {
        let channel = assigned.channel;
        let Some((index, unit)) = find(headers, channel, &assigned.column) else {
            let what = format!("there is no column \"{}\"", shown(&assigned.column));
            return Err(problem(
                name,
                at,
                channel.name(),
                Fault::MissingKey,
                what,
                &listed,
                "a column's name, or its place from 0",
            ));
        };
        let (column, known) = with_unit(channel, index, &headers[index], unit_below(index), unit);
        if !known {
            let what = if column.unit.is_empty() {
                format!("the column \"{}\" names no unit", column.header)
            } else {
                format!("\"{}\" is no unit of it", column.unit)
            };
            let accepted = format!("--map {}=COLUMN:UNIT with one of {}", channel.name(), accepted(channel));
            return Err(problem(name, at, channel.name(), Fault::BadQuantity, what, &headers[index], accepted));
        }
        columns.push(column);
    }
    let taken: Vec<usize> = columns.iter().map(|c| c.index).collect();
    let mut without_unit: Vec<Column> = Vec::new();
    for channel in Channel::ALL.into_iter().filter(|c| map.column(*c).is_none()) {
        let mut candidates: Vec<(bool, u8, Column)> = headers
            .iter()
            .enumerate()
            .filter(|(index, _)| !taken.contains(index))
            .filter_map(|(index, header)| {
                let (found, rank) = classify(&part(header).name)?;
                let (column, known) = with_unit(channel, index, header, unit_below(index), None);
                (found == channel).then_some((known, rank, column))
            })
            .collect();
        candidates
            .sort_by_key(|(known, rank, column)| core::cmp::Reverse((*known, *rank, core::cmp::Reverse(column.index))));
        let others: Vec<String> = candidates.iter().skip(1).map(|(_, _, c)| format!("\"{}\"", c.header)).collect();
        match candidates.into_iter().next() {
            Some((true, _, column)) => {
                if !others.is_empty() {
                    let what = format!(
                        "{} is read from \"{}\", not from {}; --map {}=COLUMN takes another",
                        channel.name(),
                        column.header,
                        others.join(" or "),
                        channel.name()
                    );
                    notes.push(Note { line: at, what });
                }
                columns.push(column);
            }
            Some((false, _, column)) => without_unit.push(column),
            None => {}
        }
    }
    let has = |channel: Channel| columns.iter().any(|c| c.channel == channel);
    let positions = has(Channel::Latitude) && has(Channel::Longitude);
    for needed in [Channel::Time, Channel::Speed] {
        if has(needed) || needed == Channel::Speed && positions {
            continue;
        }
        if let Some(column) = without_unit.iter().find(|c| c.channel == needed) {
            let what = format!("the column \"{}\" names no unit", column.header);
            let accepted = format!(
                "a header such as \"{} (km/h)\", or --map {}={}:UNIT, with one of {}",
                needed.name(),
                needed.name(),
                column.header,
                accepted(needed)
            );
            return Err(problem(name, at, needed.name(), Fault::BadQuantity, what, &column.header, accepted));
        }
        let example = if needed == Channel::Time { "time (s)" } else { "speed (km/h)" };
        let accepted = format!("a header such as \"{example}\", or --map {}=COLUMN:UNIT", needed.name());
        return Err(problem(
            name,
            at,
            needed.name(),
            Fault::MissingKey,
            format!("no column holds the {}", needed.name()),
            &listed,
            accepted,
        ));
    }
    for column in without_unit {
        let what = format!(
            "the column \"{}\" names no unit and is left out; --map {}=COLUMN:UNIT takes it, with one of {}",
            column.header,
            column.channel.name(),
            accepted(column.channel)
        );
        notes.push(Note { line: at, what });
    }
    Ok(columns)
}

fn no_header(name: &str, rows: &[Parted]) -> Problems {
    let first = rows.first();
    let found = first.map_or_else(String::new, |r| r.cells.join(" | "));
    let accepted = "a row that names the columns, such as \"time (s),speed (km/h)\", or --map time=0,speed=1:km/h";
    let line = first.map(|r| r.number);
    problem(name, line, "", Fault::MissingKey, "no row names a time and a speed column", &found, accepted)
}

/// A time column without a unit: seconds, or milliseconds or an epoch if its numbers are of that size.
fn guess_time_unit(columns: &mut [Column], data: &[&Parted], decimal_comma: bool, notes: &mut Vec<Note>) {
    let Some(time) = columns.iter_mut().find(|c| c.channel == Channel::Time && c.unit.is_empty()) else { return };
    let stamps: Vec<f64> = data.iter().filter_map(|r| number(r.cells.get(time.index)?, decimal_comma)).collect();
    let Some(first) = stamps.first() else { return };
    let steps: Vec<f64> = stamps.windows(2).map(|w| w[1] - w[0]).filter(|s| *s > 0.0).collect();
    let step = crate::rate::median(&steps).unwrap_or(0.0);
    let whole = stamps.iter().all(|s| s.fract() == 0.0);
    let (factor, what) = match first.abs() {
        a if a > 1e17 => (1e-9, "nanoseconds"),
        a if a > 1e14 => (1e-6, "microseconds"),
        a if a > 1e11 => (1e-3, "milliseconds"),
        a if SPREADSHEET_DAYS.contains(&a) && step > 0.0 && step < SHORT_STEP_DAYS => (86_400.0, "days"),
        a if a < 1e8 && whole && step >= MILLISECOND_STEP => (1e-3, "milliseconds"),
        _ => return,
    };
    time.factor = factor;
    let what = format!(
        "the column \"{}\" names no unit and is read as {what}; --map time=COLUMN:UNIT says otherwise",
        time.header
    );
    notes.push(Note { line: None, what });
}
