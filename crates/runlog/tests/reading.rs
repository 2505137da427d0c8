//! Logs as people have them, read whole.

use bitepoint_runlog::channel::Channel;
use bitepoint_runlog::log::{Format, Log};
use bitepoint_runlog::map::ColumnMap;
use bitepoint_runlog::read::{Keep, Reading, read_from};

const MPH: f64 = 0.447_04;

fn everything(map: &str) -> Reading {
    let map = if map.is_empty() { ColumnMap::default() } else { ColumnMap::parse(map).expect("a map") };
    Reading { map, keep: Keep::Everything { most_rows: 100_000 } }
}

fn log(bytes: &[u8], map: &str) -> Log {
    read_from("a.csv", bytes, &everything(map)).unwrap_or_else(|e| panic!("{e}"))
}

fn column(log: &Log, channel: Channel) -> Vec<f64> {
    log.stretches[0].channel(channel).unwrap_or_else(|| panic!("no {}", channel.name())).to_vec()
}

fn near(values: &[f64], expected: &[f64]) {
    assert_eq!(values.len(), expected.len());
    for (value, expected) in values.iter().zip(expected) {
        assert!((value - expected).abs() < 1e-9 || value.is_nan() && expected.is_nan(), "{values:?}");
    }
}

#[test]
fn columns_in_any_order_are_found_by_words_and_units() {
    let log = log(
        b"engine speed (rpm),\"acceleration, forward (g)\",v [m/s],Time (ms),throttle (%)\n900,0,0,0,10\n1200,0.5,1,100,80\n3000,,2,200,100\n",
        "",
    );
    assert_eq!(log.format, Format::Csv);
    near(&log.stretches[0].time_s, &[0.0, 0.1, 0.2]);
    near(&column(&log, Channel::Speed), &[0.0, 1.0, 2.0]);
    near(&column(&log, Channel::Acceleration), &[0.0, 0.5 * 9.80665, f64::NAN]);
    near(&column(&log, Channel::Throttle), &[0.1, 0.8, 1.0]);
    near(&column(&log, Channel::EngineSpeed)[..1], &[900.0 * core::f64::consts::PI / 30.0]);
}

#[test]
fn semicolons_with_decimal_commas_and_a_mark_at_the_beginning_are_read() {
    let log = log(
        "\u{feff}Zeit (s);Geschwindigkeit (km/h);Drehzahl\r\n0,0;0,0;1.234,5\r\n0,1;3,6;\r\n0,2;7,2;3000\r\n"
            .as_bytes(),
        "",
    );
    near(&column(&log, Channel::Speed), &[0.0, 1.0, 2.0]);
    near(&column(&log, Channel::EngineSpeed)[..1], &[1234.5 * core::f64::consts::PI / 30.0]);
}

#[test]
fn a_preamble_comments_and_a_row_of_units_are_passed_over() {
    let text = "Track day, an invented one\nlogger;7\n# a comment\n\ntime\tspeed\trpm\n[s]\t[mph]\t[rpm]\n# another\n0\t10\t900\n1\t20\t1000\n";
    let log = log(text.as_bytes(), "");
    near(&column(&log, Channel::Speed), &[10.0 * MPH, 20.0 * MPH]);
}

#[test]
fn a_header_behind_a_comment_mark_is_found() {
    let log = log(b"# time_s,speed_kph\n0,3.6\n1,7.2\n", "");
    near(&column(&log, Channel::Speed), &[1.0, 2.0]);
}

#[test]
fn columns_can_be_assigned_by_name_and_by_place() {
    let text = b"a,GPS_v,b\n0,36,1\n1,72,2\n";
    near(&column(&log(text, "time=0,speed=GPS_v:km/h"), Channel::Speed), &[10.0, 20.0]);
    near(&column(&log(text, "time=a,speed=1:m/s"), Channel::Speed), &[36.0, 72.0]);
    near(&column(&log(b"0,36\n1,72\n", "time=0,speed=1:km/h"), Channel::Speed), &[10.0, 20.0]);
}

#[test]
fn utf_16_with_its_mark_is_read() {
    let mut bytes = vec![0xff, 0xfe];
    bytes.extend("time (s),speed (m/s)\n0,1\n1,2\n".encode_utf16().flat_map(u16::to_le_bytes));
    near(&column(&log(&bytes, ""), Channel::Speed), &[1.0, 2.0]);
}

#[test]
fn clock_times_and_dates_count_from_the_first_row() {
    for text in [
        "time,speed (m/s)\n10:00:00.0,1\n10:00:00.5,2\n10:00:01.0,3\n",
        "timestamp,speed (m/s)\n2031-05-01T10:00:00.000Z,1\n2031-05-01T10:00:00.500Z,2\n2031-05-01T10:00:01.000Z,3\n",
        "time,speed (m/s)\n1900000000000,1\n1900000000500,2\n1900000001000,3\n",
    ] {
        near(&log(text.as_bytes(), "").stretches[0].time_s, &[0.0, 0.5, 1.0]);
    }
}

#[test]
fn a_time_without_unit_in_whole_steps_of_many_is_in_milliseconds() {
    let log = log(b"time,speed (m/s)\n0,1\n40,2\n80,3\n", "");
    near(&log.stretches[0].time_s, &[0.0, 0.04, 0.08]);
    assert!(log.notes.iter().any(|n| n.what.contains("milliseconds")));
}

#[test]
fn of_two_speeds_the_measured_one_is_read_and_the_choice_is_told() {
    let log = log(b"time (s),vehicle speed (km/h),GPS speed (km/h)\n0,36,72\n1,36,72\n", "");
    near(&column(&log, Channel::Speed), &[20.0, 20.0]);
    assert!(log.notes.iter().any(|n| n.what.contains("vehicle speed")), "{:?}", log.notes);
}

/// Sentences as they are widely reprinted for NMEA 0183 (IEC 61162-1): from memory, checksums and all.
#[test]
fn sentences_of_nmea_0183_are_read() {
    let text = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n\
        $GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n\
        $GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48\r\n\
        $GPRMC,123520,A,4807.038,N,01131.000,E,022.5,084.4,230394,003.1,W*00\r\n\
        $GPGGA,123520,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*4D\r\n\
        $GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48\r\n";
    let log = log(text.as_bytes(), "");
    assert_eq!(log.format, Format::Nmea);
    near(&log.stretches[0].time_s, &[0.0, 1.0]);
    // 22.4 kn of the RMC; the second RMC has a wrong checksum, so that the VTG's 5.5 kn stand in.
    let speed = column(&log, Channel::Speed);
    assert!((speed[0] - 22.4 * 0.514_444).abs() < 1e-4 && (speed[1] - 5.5 * 0.514_444).abs() < 1e-4, "{speed:?}");
    assert!((column(&log, Channel::Latitude)[0] - (48.0 + 7.038 / 60.0)).abs() < 1e-9);
    assert!((column(&log, Channel::Height)[0] - 545.4).abs() < 1e-3);
    assert_eq!(column(&log, Channel::Satellites)[0], 8.0);
    assert!(log.notes.iter().any(|n| n.line == Some(4) && n.what.contains("checksum")), "{:?}", log.notes);
}

/// Elements of the GPX 1.1 schema (trkType, trksegType, wptType: ele, time, sat, hdop), from memory; the positions are
/// one arc second of latitude apart, 30.89 m on the sphere.
#[test]
fn a_gpx_1_1_track_gives_speeds_from_its_positions() {
    let point = |second: u32| {
        format!(
            "<trkpt lat=\"{:.8}\" lon=\"8.0\"><ele>100.5</ele><time>2031-05-01T10:00:{second:02}Z</time><sat>9</sat><hdop>0.8</hdop></trkpt>",
            50.0 + f64::from(second) / 3600.0
        )
    };
    let points: String = (0..5).map(point).collect();
    let text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><gpx version=\"1.1\" creator=\"none\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>{points}</trkseg></trk></gpx>"
    );
    let log = log(text.as_bytes(), "");
    assert_eq!(log.format, Format::Gpx);
    near(&log.stretches[0].time_s, &[0.5, 1.5, 2.5, 3.5]);
    assert!(column(&log, Channel::Speed).iter().all(|v| (v - 30.887).abs() < 0.01));
    assert_eq!(column(&log, Channel::Hdop)[0], 0.8);
}

#[test]
fn what_lies_around_a_departure_is_kept_and_the_rest_forgotten() {
    let mut text = "time (s),speed (m/s)\n".to_owned();
    for i in 0..20_000 {
        let t = f64::from(i) / 10.0;
        let speed = (3.0 * (t % 200.0 - 100.0)).clamp(0.0, 25.0);
        text.push_str(&format!("{t:.1},{speed:.2}\n"));
    }
    let log = read_from("a.csv", text.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(log.rows, 20_000);
    assert_eq!(log.stretches.len(), 10);
    assert!(log.stretches.iter().map(|s| s.time_s.len()).sum::<usize>() < 4000);
    let whole = read_from("a.csv", text.as_bytes(), &everything("")).unwrap_or_else(|e| panic!("{e}"));
    let starts = |log: &Log| -> Vec<(f64, f64)> {
        bitepoint_runlog::start::find_starts(log).starts.iter().map(|s| (s.stood_until_s, s.moved_by_s)).collect()
    };
    assert_eq!(starts(&log).len(), 10);
    assert_eq!(starts(&log), starts(&whole));
}
