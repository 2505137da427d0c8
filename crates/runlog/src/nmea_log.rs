//! NMEA 0183 sentences: RMC and VTG for the speed, RMC and GGA for the time, GGA for height, satellites and HDOP.

use std::io::BufRead;

use bitepoint_inputs::problem::{Fault, Problems};
use chrono::Timelike;
use nmea::{Error, ParseResult, parse_str};

use crate::channel::Channel;
use crate::clock::{Origin, Stamp};
use crate::lines::Lines;
use crate::log::{Format, Log, Note, Row};
use crate::problem::problem;
use crate::read::{ACCEPTED, Builder, Reading, line_problem};
use crate::sniff::{is_comment, line_end};
use crate::time_axis::Count;

/// One knot, m/s.
const KNOT_MPS: f64 = 1852.0 / 3600.0;
/// Sentences after which a log that cannot be read is given up.
const PATIENCE: u64 = 1000;

/// What the sentences of one moment said.
struct Moment {
    seconds: f64,
    row: Row,
}

#[derive(Default)]
struct Counts {
    good: u64,
    checksum: Count,
    unread: Count,
    without_fix: Count,
}

pub(crate) fn read(name: &str, head: &[u8], input: impl BufRead, how: &Reading) -> Result<Log, Problems> {
    let mut lines = Lines::new(input, line_end(head));
    let mut builder = Builder::new(name, how, true);
    let mut counts = Counts::default();
    let mut moment: Option<Moment> = None;
    let mut at = 0;
    loop {
        let sentence = match lines.next() {
            Ok(None) => break,
            Ok(Some(line)) => {
                at += 1;
                // A logger may put its own stamp before the sentence.
                let from = line.iter().position(|b| *b == b'$').unwrap_or(0);
                if is_comment(line) {
                    continue;
                }
                core::str::from_utf8(&line[from..]).ok().map(str::to_owned)
            }
            Err(error) => return Err(line_problem(name, at + 1, &error)),
        };
        match sentence.as_deref().map(parse_str) {
            Some(Ok(parsed)) => {
                counts.good += 1;
                if let Some(done) = take(&parsed, at, &mut moment, &mut counts) {
                    push(&mut builder, done)?;
                }
            }
            Some(Err(Error::ChecksumMismatch { .. })) => counts.checksum.add(at),
            // Sentences of other kinds are no fault of the log.
            Some(Err(Error::Unsupported(_) | Error::Unknown(_) | Error::DisabledSentence)) => {}
            Some(Err(_)) | None => counts.unread.add(at),
        }
        let bad = counts.checksum.times + counts.unread.times;
        if bad > PATIENCE && bad > counts.good {
            return Err(unreadable(name, &counts));
        }
    }
    if let Some(last) = moment {
        push(&mut builder, last)?;
    }
    if counts.checksum.times + counts.unread.times > counts.good {
        return Err(unreadable(name, &counts));
    }
    builder.finish(Format::Nmea, Vec::new(), notes(&counts))
}

fn push(builder: &mut Builder<'_>, moment: Moment) -> Result<(), Problems> {
    let stamp = Stamp { seconds: moment.seconds, origin: Origin::Midnight };
    let (h, m, s) = (moment.seconds / 3600.0, moment.seconds / 60.0 % 60.0, moment.seconds % 60.0);
    builder.push(moment.row, Some(stamp), &format!("{:02}:{:02}:{s:06.3}", h as u32, m as u32))
}

/// Puts a sentence to its moment; gives the moment before if a new one begins.
fn take(parsed: &ParseResult, line: u64, moment: &mut Option<Moment>, counts: &mut Counts) -> Option<Moment> {
    let time = match parsed {
        ParseResult::RMC(rmc) => rmc.fix_time,
        ParseResult::GGA(gga) => gga.fix_time,
        _ => None,
    };
    let mut done = None;
    if let Some(time) = time {
        let seconds = f64::from(time.num_seconds_from_midnight()) + 1e-9 * f64::from(time.nanosecond());
        if moment.as_ref().is_none_or(|m| m.seconds != seconds) {
            done = moment.replace(Moment { seconds, row: Row::empty(line) });
        }
    }
    let Some(Moment { row, .. }) = moment else { return done };
    // The speed of an RMC goes before that of a VTG.
    let has_speed = row.get(Channel::Speed).is_finite();
    let mut set = |channel: Channel, value: Option<f64>| {
        if let Some(value) = value.filter(|v| v.is_finite()) {
            row.set(channel, value);
        }
    };
    match parsed {
        ParseResult::RMC(rmc) => {
            let valid = rmc.status_of_fix != nmea::sentences::rmc::RmcStatusOfFix::Invalid;
            if !valid {
                counts.without_fix.add(line);
            }
            set(Channel::Speed, rmc.speed_over_ground.filter(|_| valid).map(|kn| f64::from(kn) * KNOT_MPS));
            set(Channel::Latitude, rmc.lat.filter(|_| valid));
            set(Channel::Longitude, rmc.lon.filter(|_| valid));
        }
        ParseResult::VTG(vtg) if !has_speed => {
            set(Channel::Speed, vtg.speed_over_ground.map(|kn| f64::from(kn) * KNOT_MPS));
        }
        ParseResult::GGA(gga) => {
            set(Channel::Height, gga.altitude.map(f64::from));
            set(Channel::Satellites, gga.fix_satellites.map(f64::from));
            set(Channel::Hdop, gga.hdop.map(f64::from));
        }
        _ => {}
    }
    done
}

fn unreadable(name: &str, counts: &Counts) -> Problems {
    let first = [counts.checksum, counts.unread].iter().filter(|c| c.times > 0).map(|c| c.first_line).min();
    let found = format!(
        "{} sentences that can be read, {} with a wrong checksum, {} that are none",
        counts.good, counts.checksum.times, counts.unread.times
    );
    problem(
        name,
        first,
        "",
        Fault::Syntax,
        "most lines are no whole NMEA 0183 sentences, the first here",
        &found,
        ACCEPTED,
    )
}

fn notes(counts: &Counts) -> Vec<Note> {
    let mut notes = Vec::new();
    for (count, what) in [
        (counts.checksum, "sentences have a wrong checksum and are left out"),
        (counts.unread, "lines are no whole sentences and are left out"),
        (counts.without_fix, "sentences have no valid fix: their speed is left out"),
    ] {
        if count.times > 0 {
            notes.push(Note { line: Some(count.first_line), what: format!("{} {what}, the first here", count.times) });
        }
    }
    notes
}
