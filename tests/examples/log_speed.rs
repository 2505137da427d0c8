//! Reads a log and finds its starts: `log_speed write FILE ROWS` makes a log of so many rows, `log_speed read FILE` reads it.

use std::io::{BufWriter, Write};
use std::path::Path;
use std::time::Instant;

use bitepoint_runlog::measure::{ROLLOUT_M, measure};
use bitepoint_runlog::read::{Reading, read};
use bitepoint_runlog::start::find_starts;

fn main() -> std::io::Result<()> {
    let arguments: Vec<String> = std::env::args().collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>()[1..] {
        ["write", file, rows] => write(Path::new(file), rows.parse().expect("a number of rows")),
        ["read", file] => {
            let began = Instant::now();
            let log = read(Path::new(file), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
            let found = find_starts(&log);
            println!("{} rows, {} starts: {:.2} s", log.rows, found.starts.len(), began.elapsed().as_secs_f64());
            let began = Instant::now();
            let timed = found.starts.iter().filter_map(|s| measure(&log, s, ROLLOUT_M)).count();
            println!("{timed} starts timed: {:.2} s", began.elapsed().as_secs_f64());
            Ok(())
        }
        _ => panic!("log_speed write FILE ROWS, or log_speed read FILE"),
    }
}

/// 100 rows a second of eight columns; a start every five minutes.
fn write(path: &Path, rows: u64) -> std::io::Result<()> {
    let mut out = BufWriter::new(std::fs::File::create(path)?);
    writeln!(
        out,
        "time (s),speed (km/h),engine speed (rpm),throttle (%),acceleration (g),latitude,longitude,elevation (m)"
    )?;
    for row in 0..rows {
        let time_s = row as f64 / 100.0;
        let since_s = time_s % 300.0 - 60.0;
        let speed_kmh =
            if since_s > 200.0 { (90.0 - 9.0 * (since_s - 200.0)).max(0.0) } else { (12.0 * since_s).clamp(0.0, 90.0) };
        let noise = ((row * 7919) % 1000) as f64 / 1000.0 - 0.5;
        writeln!(
            out,
            "{time_s:.2},{:.2},{:.0},{:.1},{:.3},{:.7},{:.7},{:.1}",
            (speed_kmh + 0.3 * noise).abs(),
            900.0 + 40.0 * speed_kmh,
            50.0 + noise,
            0.1 * noise,
            50.0 + 1e-7 * row as f64,
            8.0 + 1e-7 * row as f64,
            100.0 + noise
        )?;
    }
    out.flush()
}
