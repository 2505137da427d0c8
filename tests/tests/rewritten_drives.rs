//! The everyday drives as other loggers would have written them: other words, units, stamps, delimiters, losses. Every start marked by eye
//! has to be found in each, and none invented.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use bitepoint_runlog::read::{Reading, read_from};
use bitepoint_runlog::start::find_starts;
use chrono::{DateTime, TimeDelta, Utc};

/// One mile an hour, m/s (NIST SP 811, appendix B.8).
const MPH: f64 = 0.447_04;
/// Under this a car stands in these logs, m/s.
const STANDING_MPS: f64 = 0.5;

#[derive(Clone, Copy)]
struct Row {
    time_s: f64,
    speed_mps: f64,
    rpm: Option<f64>,
}

struct Mark {
    kind: String,
    from_s: f64,
    to_s: f64,
}

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/drives").join(name)
}

fn drive(name: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_path(data(&format!("everyday_drive_{name}_1hz.csv"))).expect("a drive");
    let number = |cell: &str| cell.parse::<f64>().ok();
    let rows = reader.records().map(|record| {
        let record = record.expect("a row");
        let speed_mps = number(&record[1]).map_or(f64::NAN, |v| v * MPH);
        Row { time_s: number(&record[0]).expect("a time"), speed_mps, rpm: number(&record[2]) }
    });
    rows.collect()
}

fn marks(drive: &str) -> Vec<Mark> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(data("starts_by_eye.csv")).expect("marks");
    let marks = reader.records().map(|record| record.expect("a mark")).filter(|record| record[0] == *drive);
    let seconds = |cell: &str| cell.parse().expect("seconds");
    marks.map(|r| Mark { kind: r[1].to_owned(), from_s: seconds(&r[2]), to_s: seconds(&r[3]) }).collect()
}

/// How a logger writes.
struct Style {
    name: &'static str,
    delimiter: &'static str,
    /// Headers of time, speed and engine speed.
    headers: [&'static str; 3],
    stamp: fn(f64) -> String,
    speed: fn(f64) -> String,
    decimal_comma: bool,
}

const PLAIN: Style = Style {
    name: "plain",
    delimiter: ",",
    headers: ["time (s)", "speed (km/h)", "engine speed (rpm)"],
    stamp: seconds,
    speed: kmh,
    decimal_comma: false,
};

fn seconds(t: f64) -> String {
    format!("{t:.1}")
}

fn kmh(v: f64) -> String {
    format!("{:.2}", 3.6 * v)
}

/// The moment of a row, for stamps with a date: a drive that begins shortly before noon, so that 12 h clocks change their half.
fn moment(t: f64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_715_687_800, 0).expect("a moment") + TimeDelta::milliseconds((1e3 * t) as i64)
}

fn dated(t: f64, form: &str) -> String {
    moment(t).format(form).to_string()
}

fn text(style: &Style, rows: &[Row]) -> String {
    let mut text = String::new();
    let quoted = |cell: String| if cell.contains(style.delimiter) { format!("\"{cell}\"") } else { cell };
    let line = |cells: [String; 3]| cells.map(quoted).join(style.delimiter);
    writeln!(text, "{}", line(style.headers.map(str::to_owned))).expect("a string takes all");
    let comma = |cell: String| if style.decimal_comma { cell.replace('.', ",") } else { cell };
    for row in rows {
        let speed = if row.speed_mps.is_finite() { (style.speed)(row.speed_mps) } else { String::new() };
        let rpm = row.rpm.map_or_else(String::new, |n| format!("{n:.0}"));
        writeln!(text, "{}", line([comma((style.stamp)(row.time_s)), comma(speed), rpm])).expect("a string takes all");
    }
    text
}

/// What is wrong with the starts found in a text; `lost` says whether rows were dropped, so that a stop may not be in it any more.
fn wrong(text: &str, drive: &str, rows: &[Row], shift_s: f64) -> Vec<String> {
    let log = match read_from("rewritten.csv", text.as_bytes(), &Reading::default()) {
        Ok(log) => log,
        Err(why) => return vec![format!("not read: {why}")],
    };
    let found = find_starts(&log).starts;
    let marks = marks(drive);
    let overlaps = |m: &Mark, from_s: f64, to_s: f64| from_s <= m.to_s + shift_s && to_s >= m.from_s + shift_s;
    let mut wrong = Vec::new();
    for start in &found {
        if !marks.iter().any(|m| m.kind != "none" && overlaps(m, start.stood_until_s, start.moved_by_s)) {
            wrong.push(format!("invented from {:.1} to {:.1} s", start.stood_until_s, start.moved_by_s));
        }
    }
    for mark in marks.iter().filter(|m| m.kind == "standing") {
        let stood = |r: &&Row| r.speed_mps < STANDING_MPS && (mark.from_s - 6.0..=mark.to_s).contains(&r.time_s);
        let hits = found.iter().filter(|s| overlaps(mark, s.stood_until_s, s.moved_by_s)).count();
        if hits != 1 && rows.iter().any(|r| stood(&r)) {
            wrong.push(format!("{hits} found for {} to {} s", mark.from_s, mark.to_s));
        }
    }
    wrong
}

fn check(styles: &[Style], change: impl Fn(Vec<Row>) -> Vec<Row>) {
    let mut all = Vec::new();
    for style in styles {
        for name in ["06", "10", "33"] {
            let rows = change(drive(name));
            let found = wrong(&text(style, &rows), name, &rows, 0.0);
            all.extend(found.into_iter().map(|what| format!("{}, drive {name}: {what}", style.name)));
        }
    }
    assert!(all.is_empty(), "{} wrong:\n{}", all.len(), all.join("\n"));
}

/// Words of five languages from memory; the units are those of ISO 80000-3 and everyday spellings of them.
#[test]
fn starts_are_found_whatever_the_columns_are_called() {
    let spelled = |name, headers, speed, decimal_comma, delimiter| Style {
        name,
        delimiter,
        headers,
        speed,
        decimal_comma,
        ..PLAIN
    };
    let mph: fn(f64) -> String = |v| format!("{:.2}", v / MPH);
    let mps: fn(f64) -> String = |v| format!("{v:.3}");
    let knots: fn(f64) -> String = |v| format!("{:.2}", v * 3600.0 / 1852.0);
    let fps: fn(f64) -> String = |v| format!("{:.2}", v / 0.3048);
    check(
        &[
            spelled("words", ["Time (sec)", "Vehicle speed (km/h)", "Engine RPM (rpm)"], kmh, false, ","),
            spelled("receiver", ["Time", "GPS Speed (mph)", "RPM"], mph, false, ","),
            spelled("receiver, m/s", ["GPS Time (s)", "Speed (GPS) [m/s]", "Engine Speed"], mps, false, "\t"),
            spelled("snake", ["time", "speed_kmh", "engine_rpm"], kmh, false, ","),
            spelled("snake, long", ["elapsed_time_s", "vehicle_speed_mps", "engine_speed_rpm"], mps, false, ","),
            spelled("camel", ["timeSeconds", "speedKmh", "engineRpm"], kmh, false, ","),
            spelled("camel, mph", ["timeSec", "vehicleSpeedMph", "rpm"], mph, false, ","),
            spelled("capitals", ["TIME", "SPEED MPH", "RPM"], mph, false, ","),
            spelled("over ground", ["Time (s)", "Speed over ground (knots)", "RPM"], knots, false, ","),
            spelled("sog", ["t", "SOG (kn)", "n"], knots, false, ","),
            spelled("feet", ["Time, s", "Velocity, ft/s", "Engine, rpm"], fps, false, ","),
            spelled("bare unit", ["sec", "km/h", "rpm"], kmh, false, ","),
            spelled("a letter", ["t [s]", "v [km/h]", "n [1/min]"], kmh, false, ";"),
            spelled("slash", ["Time / s", "Speed / km/h", "Engine speed / rpm"], kmh, false, ";"),
            spelled("in", ["Time in s", "Speed in km/h", "Engine speed in rpm"], kmh, false, ";"),
            spelled("German", ["Zeit [s]", "Geschwindigkeit [km/h]", "Drehzahl [1/min]"], kmh, true, ";"),
            spelled(
                "German, of the car",
                ["Zeit (s)", "Fahrzeuggeschwindigkeit (km/h)", "Motordrehzahl (U/min)"],
                kmh,
                true,
                ";",
            ),
            spelled("French", ["Temps (s)", "Vitesse (km/h)", "Régime moteur (tr/min)"], kmh, true, ";"),
            spelled("Spanish", ["Tiempo (s)", "Velocidad del vehículo (km/h)", "RPM del motor (rpm)"], kmh, true, ";"),
            spelled("Italian", ["Tempo (s)", "Velocità veicolo (km/h)", "Giri motore (giri/min)"], kmh, true, ";"),
            spelled("Portuguese", ["Tempo (s)", "Velocidade (km/h)", "Rotação (rpm)"], kmh, true, ";"),
            spelled("Dutch", ["Tijd (s)", "Snelheid (km/u)", "Toerental (tpm)"], kmh, true, ";"),
            spelled("Swedish", ["Tid (s)", "Hastighet (km/h)", "Varvtal (varv/min)"], kmh, true, ";"),
            spelled("Polish", ["Czas (s)", "Prędkość (km/h)", "Obroty silnika (obr/min)"], kmh, true, ";"),
            spelled("spaces", ["time_s", "speed_kmh", "rpm"], kmh, false, " "),
            spelled("bars", ["Time", "Speed (KPH)", "Rpm"], kmh, false, "|"),
        ],
        |rows| rows,
    );
}

#[test]
fn starts_are_found_whatever_the_clock_writes() {
    let stamped = |name, header, stamp| Style { name, headers: [header, "speed (km/h)", "rpm"], stamp, ..PLAIN };
    check(
        &[
            stamped("ISO 8601, UTC", "time", |t| dated(t, "%Y-%m-%dT%H:%M:%S%.3fZ")),
            stamped("ISO 8601 with a zone", "timestamp", |t| dated(t, "%Y-%m-%dT%H:%M:%S%.3f+02:00")),
            stamped("ISO 8601, zone without colon", "timestamp", |t| dated(t, "%Y-%m-%dT%H:%M:%S%.3f+0200")),
            stamped("ISO 8601 without a zone", "Date/Time", |t| dated(t, "%Y-%m-%dT%H:%M:%S")),
            stamped("ISO 8601, basic", "time", |t| dated(t, "%Y%m%dT%H%M%SZ")),
            stamped("date and time", "Device Time", |t| dated(t, "%Y-%m-%d %H:%M:%S%.3f")),
            stamped("with UTC behind it", "time", |t| dated(t, "%Y-%m-%d %H:%M:%S%.3f UTC")),
            stamped("day, month", "Zeit", |t| dated(t, "%d.%m.%Y %H:%M:%S")),
            stamped("day, name of month", "Device Time", |t| dated(t, "%d-%b-%Y %H:%M:%S%.3f")),
            stamped("American, 12 h", "Time", |t| dated(t, "%m/%d/%Y %I:%M:%S %p")),
            stamped("American, 12 h, fraction", "Time", |t| dated(t, "%-m/%-d/%Y %-I:%M:%S%.3f %p")),
            stamped("American, 12 h, comma", "Time", |t| dated(t, "%-m/%-d/%Y, %-I:%M:%S %p")),
            stamped("American, name of month", "Time", |t| dated(t, "%b %d, %Y %-I:%M:%S %p")),
            stamped("weekday first", "GPS Time", |t| dated(t, "%a %b %d %H:%M:%S GMT+02:00 %Y")),
            stamped("time of day", "Time", |t| dated(t, "%H:%M:%S%.3f")),
            stamped("time of day, 12 h", "Time", |t| dated(t, "%-I:%M:%S %p")),
            stamped("time of day, comma", "Time", |t| dated(t, "%H:%M:%S,%3f")),
            stamped("since the beginning", "Time", |t| {
                format!("{:02}:{:02}:{:04.1}", (t / 3600.0) as u32, (t / 60.0) as u32 % 60, t % 60.0)
            }),
            stamped("minutes and seconds", "Time", |t| format!("{}:{:04.1}", (t / 60.0) as u32, t % 60.0)),
            stamped("epoch, s", "unix_time", |t| moment(t).timestamp().to_string()),
            stamped("epoch, s, with parts", "timestamp", |t| {
                format!("{:.3}", 1e-3 * moment(t).timestamp_millis() as f64)
            }),
            stamped("epoch, ms", "timestamp", |t| moment(t).timestamp_millis().to_string()),
            stamped("epoch, ms, in words", "Timestamp (ms since epoch)", |t| moment(t).timestamp_millis().to_string()),
            stamped("epoch, ms, sparse digits", "time", |t| format!("{:e}", moment(t).timestamp_millis() as f64)),
            stamped("milliseconds", "time_ms", |t| format!("{:.0}", 1e3 * t)),
            stamped("milliseconds, unsaid", "time", |t| format!("{:.0}", 1e3 * t)),
            stamped("microseconds", "Time (us)", |t| format!("{:.0}", 1e6 * t)),
            stamped("minutes", "Time (min)", |t| format!("{:.6}", t / 60.0)),
            stamped("hours", "Time [h]", |t| format!("{:.8}", t / 3600.0)),
            stamped("days of a spreadsheet", "Time", |t| format!("{:.8}", 45_426.489_583 + t / 86_400.0)),
        ],
        |rows| rows,
    );
}

#[test]
fn starts_are_found_in_speeds_without_decimals() {
    let rounded = |name, header, speed| Style { name, headers: ["time (s)", header, "rpm"], speed, ..PLAIN };
    check(
        &[
            rounded("whole km/h", "speed (km/h)", |v| format!("{:.0}", 3.6 * v)),
            rounded("whole mph", "speed (mph)", |v| format!("{:.0}", v / MPH)),
            rounded("whole km/h, cut off", "speed (km/h)", |v| format!("{:.0}", (3.6 * v).floor())),
            rounded("tenths of m/s", "speed (m/s)", |v| format!("{v:.1}")),
        ],
        |rows| rows,
    );
}

/// A number from 0 to 1 that goes with a row.
fn drawn(i: usize, seed: u64) -> f64 {
    let mixed =
        (i as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(seed.wrapping_mul(0xd1b5_4a32_d192_ed03));
    ((mixed ^ (mixed >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9) >> 11) as f64 / (1_u64 << 53) as f64
}

#[test]
fn starts_are_found_where_rows_are_lost_repeated_or_late() {
    for seed in 1..=6 {
        let keep = |share: f64| move |(i, _): &(usize, Row)| drawn(*i, seed) > share;
        for share in [0.05, 0.15] {
            check(&[PLAIN], |rows| rows.into_iter().enumerate().filter(keep(share)).map(|(_, r)| r).collect());
        }
        check(&[PLAIN], |rows| {
            let twice = |(i, row): (usize, Row)| vec![row; if drawn(i, seed) < 0.2 { 2 } else { 1 }];
            rows.into_iter().enumerate().flat_map(twice).collect()
        });
        // A row a second whose stamps are a little early or late.
        check(&[PLAIN], |rows| {
            let late = |(i, row): (usize, Row)| Row { time_s: row.time_s + 0.4 * drawn(i, seed), ..row };
            rows.into_iter().enumerate().map(late).collect()
        });
        // The speed is missing in some rows, its row is not.
        check(&[PLAIN], |rows| {
            let gone = |(i, row): (usize, Row)| {
                let lost = drawn(i, seed) < 0.1;
                Row { speed_mps: if lost { f64::NAN } else { row.speed_mps }, ..row }
            };
            rows.into_iter().enumerate().map(gone).collect()
        });
    }
}

#[test]
fn starts_are_found_in_rows_that_repeat_a_slower_speed() {
    check(&[PLAIN], |rows| {
        let ten = |row: Row| (0..10).map(move |k| Row { time_s: row.time_s + 0.1 * f64::from(k), ..row });
        rows.into_iter().flat_map(ten).collect()
    });
}

#[test]
fn starts_are_found_on_a_clock_that_began_earlier() {
    for (shift_s, name) in [(5000.0, "06"), (86_400.0, "10"), (0.37, "33")] {
        let rows = drive(name);
        let later: Vec<Row> = rows.iter().map(|r| Row { time_s: r.time_s + shift_s, ..*r }).collect();
        assert_eq!(wrong(&text(&PLAIN, &later), name, &rows, shift_s), Vec::<String>::new(), "drive {name}");
    }
}

/// Files put end to end, with their headers or without: the clock begins anew, the starts are those of both.
#[test]
fn starts_are_found_in_drives_put_end_to_end() {
    let of = |name: &str| {
        let csv = text(&PLAIN, &drive(name));
        let log = read_from("alone.csv", csv.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
        (find_starts(&log).starts.len(), csv)
    };
    for (first, second) in [("06", "10"), ("33", "06"), ("10", "10")] {
        let ((a, before), (b, after)) = (of(first), of(second));
        let bare = after.split_once('\n').expect("a header").1;
        for joined in [format!("{before}{after}"), format!("{before}{bare}"), format!("{before}\n\n{after}")] {
            let log = read_from("joined.csv", joined.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(find_starts(&log).starts.len(), a + b, "{first} and {second}: {:?}", log.notes);
        }
    }
}
