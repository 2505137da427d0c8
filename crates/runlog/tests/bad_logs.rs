//! What is no log, or not one of a run: each has a message of its own that says what was found and what is taken.

use std::io::Read;

use bitepoint_inputs::problem::{Fault, Problem};
use bitepoint_runlog::map::ColumnMap;
use bitepoint_runlog::read::{Reading, read, read_from};

fn refused(input: impl Read, map: &str) -> Problem {
    let map = if map.is_empty() { ColumnMap::default() } else { ColumnMap::parse(map).expect("a map") };
    let problems = match read_from("a.csv", input, &Reading { map, ..Reading::default() }) {
        Err(problems) => problems,
        Ok(log) => panic!("read: {log:?}"),
    };
    assert_eq!(problems.0.len(), 1);
    let problem = problems.0[0].clone();
    assert!(!problem.accepted.is_empty(), "{problem}");
    problem
}

fn says(problem: &Problem, line: Option<u32>, words: &[&str]) {
    let text = problem.to_string();
    assert_eq!(problem.line, line, "{text}");
    for word in words {
        assert!(text.contains(word), "\"{word}\" is not in: {text}");
    }
}

#[test]
fn an_empty_log_is_called_empty() {
    says(&refused(&b""[..], ""), Some(1), &["empty"]);
    says(&refused(&b"\n\n  \n"[..], ""), Some(1), &["empty"]);
}

#[test]
fn a_log_of_one_row_is_called_too_short() {
    says(&refused(&b"time (s),speed (km/h)\n0,0\n"[..], ""), None, &["fewer than two rows", "one row"]);
    says(&refused(&b"time (s),speed (km/h)\n"[..], ""), None, &["fewer than two rows"]);
}

#[test]
fn a_log_without_a_speed_names_what_it_has() {
    let problem = refused(&b"time (s),oil (bar)\n0,0\n1,1\n"[..], "");
    assert_eq!(problem.fault, Fault::MissingKey);
    says(&problem, Some(1), &["speed", "oil (bar)", "--map"]);
}

#[test]
fn a_speed_without_a_unit_asks_for_it() {
    let problem = refused(&b"time (s),speed\n0,0\n1,1\n"[..], "");
    says(&problem, Some(1), &["names no unit", "km/h", "mph", "kn", "--map speed=speed:UNIT"]);
}

#[test]
fn a_map_that_does_not_fit_the_log_says_why() {
    says(
        &refused(&b"time (s),v\n0,0\n1,1\n"[..], "speed=GPS:km/h"),
        Some(1),
        &["no column \"GPS:km/h\"", "time (s) | v"],
    );
    says(&refused(&b"time (s),v\n0,0\n1,1\n"[..], "speed=v:rpm"), Some(1), &["\"rpm\" is no unit", "km/h"]);
}

#[test]
fn time_that_goes_back_is_named_with_its_line() {
    let mut text = "time (s),speed (km/h)\n".to_owned();
    (0..100).for_each(|i| text.push_str(&format!("{},{i}\n", 100 - i)));
    says(&refused(text.as_bytes(), ""), Some(3), &["time goes back"]);
}

#[test]
fn a_time_that_stands_still_is_named() {
    let mut text = "time (s),speed (km/h)\n".to_owned();
    (0..20_000).for_each(|i| text.push_str(&format!("5,{i}\n")));
    let problem = refused(text.as_bytes(), "");
    assert!(problem.to_string().contains("the same time"), "{problem}");
}

#[test]
fn text_that_is_no_log_is_refused() {
    says(&refused(&b"Dear reader,\nthis is a letter, and no log.\nYours\n"[..], ""), Some(1), &["no row names"]);
    says(&refused(&b"PK\x03\x04rest"[..], ""), Some(1), &["spreadsheet"]);
    says(&refused(&b"<?xml version=\"1.0\"?><kml></kml>"[..], ""), Some(1), &["no GPX"]);
    says(&refused(&b"<gpx version=\"1.1\"><trk>"[..], ""), None, &["GPX"]);
    says(&refused(&b"1,2\n3,4\n"[..], ""), Some(1), &["--map"]);
}

#[test]
fn a_folder_and_a_missing_file_are_told_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = |path: &std::path::Path| read(path, &Reading::default()).expect_err("no log").to_string();
    assert!(text(folder.path()).contains("folder"));
    assert!(text(&folder.path().join("none.csv")).contains("no such file"));
}

/// Bytes without end that count how many were taken.
struct Endless<'a> {
    pattern: &'a [u8],
    given: &'a mut u64,
}

impl Read for Endless<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        for byte in into.iter_mut() {
            *byte = self.pattern[(*self.given % self.pattern.len() as u64) as usize];
            *self.given += 1;
        }
        Ok(into.len())
    }
}

#[test]
fn endless_rubbish_ends_early() {
    for pattern in [
        &b"\0\x01\x02"[..],
        b"abcdefgh",
        b"a,b,c\n",
        b"time (s),speed (m/s)\n",
        b"$GPRMC,rubbish*00\n",
        b"<gpx><trk><trkseg>",
    ] {
        let mut given = 0;
        let problem = refused(Endless { pattern, given: &mut given }, "");
        // The only format that has to be held whole stops at 64 MiB.
        assert!(given < 80 << 20, "{problem}: {given} bytes");
        assert!(pattern.starts_with(b"<") || given < 2 << 20, "{problem}: {given} bytes");
    }
}
