//! A slope profile out of a CSV file of distance and height.

use bitepoint_physics::curve::Curve;

use crate::problem::{Collector, Fault};
use crate::quantity::{Dimension, digits};

const ACCEPTED_HEADER: &str =
    "two columns with their units, such as \"distance (m), height (m)\" or \"distance (ft), height (ft)\"";

/// Steepest slope between two points, rise over run.
const STEEPEST: f64 = 0.3;

/// Which column holds what, and how long its unit is in m.
#[derive(Debug, Clone, Copy)]
struct Column {
    index: usize,
    unit_m: f64,
}

/// Reads height against distance, both in m; what is wrong is reported with the CSV's own name and lines.
pub(super) fn read(file: &str, text: &str, problems: &mut Collector) -> Option<Curve> {
    let mut collector = Collector::new(file);
    let curve = profile(text, &mut collector);
    problems.problems.extend(collector.problems);
    curve
}

fn profile(text: &str, collector: &mut Collector) -> Option<Curve> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut columns: Option<[Column; 2]> = None;
    let mut points: Vec<(f64, f64)> = Vec::new();
    let before = collector.problems.len();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(1, |p| line_number(p.line()));
                collector.add(Fault::Syntax, line, "", "", "this is not CSV".to_owned(), ACCEPTED_HEADER.to_owned());
                return None;
            }
        };
        let line = record.position().map_or(1, |p| line_number(p.line()));
        let Some(known) = columns else {
            columns = Some(header(&record, line, collector)?);
            continue;
        };
        let Some((distance, height)) = row(&record, known, line, collector) else { continue };
        if let Some(&(last_distance, last_height)) = points.last() {
            let run = distance - last_distance;
            if run <= 0.0 {
                let what = "the distance does not exceed that of the row before".to_owned();
                let accepted = format!("more than {} m", digits(last_distance));
                collector.add(Fault::Inconsistent, line, "distance", &record[known[0].index], what, accepted);
                continue;
            }
            let slope = (height - last_height) / run;
            if slope.abs() > STEEPEST {
                let what = format!("the slope to this row is {} %", digits(100.0 * slope));
                collector.add(
                    Fault::OutOfRange,
                    line,
                    "height",
                    &record[known[1].index],
                    what,
                    "at most 30 % either way".to_owned(),
                );
            }
        }
        points.push((distance, height));
    }
    if collector.problems.len() > before {
        return None;
    }
    if columns.is_none() {
        collector.add(Fault::Unreadable, 1, "", "", "the file is empty".to_owned(), ACCEPTED_HEADER.to_owned());
        return None;
    }
    let curve = Curve::new(&points);
    if let Err(error) = &curve {
        collector.add(
            Fault::Inconsistent,
            1,
            "",
            "",
            error.to_string(),
            "2 to 60000 rows of distance and height".to_owned(),
        );
    }
    curve.ok()
}

fn line_number(line: u64) -> u32 {
    u32::try_from(line).unwrap_or(u32::MAX)
}

fn header(record: &csv::StringRecord, line: u32, collector: &mut Collector) -> Option<[Column; 2]> {
    let column = |wanted: &str, collector: &mut Collector| {
        let found = record.iter().position(|cell| cell.to_lowercase().contains(wanted));
        let shown = record.iter().collect::<Vec<_>>().join(", ");
        let Some(index) = found else {
            let what = format!("no column is called {wanted}");
            collector.add(Fault::MissingKey, line, wanted, &shown, what, ACCEPTED_HEADER.to_owned());
            return None;
        };
        let cell = &record[index];
        // "distance (m)", "distance [m]", "distance_m", "distance m".
        let unit = cell.trim_end_matches([')', ']']).rsplit(['(', '[', '_', ' ']).next().unwrap_or_default();
        match Dimension::Length.parse(&format!("1 {unit}")) {
            Ok(unit_m) => Some(Column { index, unit_m }),
            Err(_) => {
                let what = format!("the header of {wanted} names no unit of length");
                collector.add(Fault::BadQuantity, line, wanted, cell, what, ACCEPTED_HEADER.to_owned());
                None
            }
        }
    };
    let (distance, height) = (column("distance", collector), column("height", collector));
    Some([distance?, height?])
}

fn row(record: &csv::StringRecord, columns: [Column; 2], line: u32, collector: &mut Collector) -> Option<(f64, f64)> {
    let mut cell = |column: Column, name: &str| {
        let text = record.get(column.index).unwrap_or_default();
        let number = text.parse::<f64>().ok().filter(|x| x.is_finite() && x.abs() < 1e6);
        if number.is_none() {
            let what = if text.is_empty() { "there is a gap: this cell is empty" } else { "this is no number" };
            collector.add(
                Fault::BadQuantity,
                line,
                name,
                text,
                what.to_owned(),
                "a number in the header's unit, such as 12.5".to_owned(),
            );
        }
        number.map(|x| x * column.unit_m)
    };
    let (distance, height) = (cell(columns[0], "distance"), cell(columns[1], "height"));
    Some((distance?, height?))
}
