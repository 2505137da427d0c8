//! GPX tracks: positions with times; speed from the positions where the points have none (GPX 1.1 has no place for it).

use std::io::BufRead;

use bitepoint_inputs::problem::{Fault, Problems};
use chrono::DateTime;

use crate::channel::Channel;
use crate::clock::{Origin, Stamp};
use crate::log::{Format, Log, Row};
use crate::problem::problem;
use crate::read::{ACCEPTED, Builder, Reading, has_more};

/// Largest GPX that is read, bytes: the format has to be held whole, and this is days of driving at one point a second.
const LARGEST_BYTES: u64 = 64 << 20;

pub(crate) fn read(name: &str, input: impl BufRead, how: &Reading) -> Result<Log, Problems> {
    let mut limited = input.take(LARGEST_BYTES);
    let parsed = gpx::read(&mut limited);
    let full = limited.limit() == 0;
    if full && has_more(&mut limited.into_inner()) {
        let what = format!("a GPX of more than {} MiB is not read", LARGEST_BYTES >> 20);
        return Err(problem(
            name,
            None,
            "",
            Fault::Unreadable,
            what,
            "",
            "a part of it, or a CSV, which may have any length",
        ));
    }
    let parsed = parsed.map_err(|e| {
        let what = "this GPX cannot be read".to_owned();
        problem(name, None, "", Fault::Syntax, what, &e.to_string(), "GPX 1.1 with track points that have a time")
    })?;
    let points = || parsed.tracks.iter().flat_map(|t| &t.segments).flat_map(|s| &s.points);
    let has_speed = points().any(|p| p.speed.is_some());
    let mut builder = Builder::new(name, how, has_speed);
    let mut without_time = 0_u64;
    for (i, point) in points().enumerate() {
        let mut row = Row::empty(i as u64 + 1);
        let position = point.point();
        for (channel, value) in [
            (Channel::Speed, point.speed),
            (Channel::Latitude, Some(position.y())),
            (Channel::Longitude, Some(position.x())),
            (Channel::Height, point.elevation),
            (Channel::Satellites, point.sat.map(|n| n as f64)),
            (Channel::Hdop, point.hdop),
        ] {
            row.set(channel, value.filter(|v| v.is_finite()).unwrap_or(f64::NAN));
        }
        let written = point.time.and_then(|t| t.format().ok()).unwrap_or_default();
        let stamp = DateTime::parse_from_rfc3339(&written).ok().map(|t| Stamp {
            seconds: t.timestamp() as f64 + 1e-9 * f64::from(t.timestamp_subsec_nanos()),
            origin: Origin::Any,
        });
        without_time += u64::from(stamp.is_none());
        builder.push(row, stamp, &written)?;
    }
    if points().next().is_none() || without_time == points().count() as u64 {
        let found = format!("{} track points, {without_time} without a time", points().count());
        return Err(problem(
            name,
            None,
            "time",
            Fault::MissingKey,
            "this GPX has no track point with a time",
            &found,
            ACCEPTED,
        ));
    }
    builder.finish(Format::Gpx, Vec::new(), Vec::new())
}
