//! Every run of a sweep as a row of comma-separated values (RFC 4180). The unit of a varied input stands in its column's head; all other
//! numbers are SI, with the unit in the name.

use bitepoint_runner::sweep::{Axis, Cell, ShiftStudy, Sweep};
use csv::Writer;

/// How every table begins: by this an earlier one is known.
pub(crate) const FIRST_COLUMN: &str = "scenario,";

const COLUMNS: [&str; 8] = [
    "time_s",
    "fate",
    "clutch_face_c",
    "clutch_energy_j",
    "shaft_torque_nm",
    "largest_slip_mps",
    "lowest_engine_radps",
    "reason",
];

/// The table of a sweep.
pub(crate) fn of_sweep(sweep: &Sweep) -> Result<Vec<u8>, csv::Error> {
    let mut table = Writer::from_writer(Vec::new());
    let heads: Vec<String> = sweep.axes.iter().map(|axis| head(&axis.name(), axis)).collect();
    table.write_record(["scenario"].into_iter().chain(heads.iter().map(String::as_str)).chain(COLUMNS))?;
    rows(&mut table, sweep, None)?;
    finished(table)
}

/// The table of a study of shift points: all gears below each other.
pub(crate) fn of_shifts(study: &ShiftStudy) -> Result<Vec<u8>, csv::Error> {
    let mut table = Writer::from_writer(Vec::new());
    let shift_at = study.gears.first().map_or_else(String::new, |g| head(g.sweep.axes[0].key().path, &g.sweep.axes[0]));
    table.write_record(["scenario", "from_gear", &shift_at].into_iter().chain(COLUMNS))?;
    for gear in &study.gears {
        rows(&mut table, &gear.sweep, Some(gear.from_gear))?;
    }
    finished(table)
}

fn head(name: &str, axis: &Axis) -> String {
    if axis.unit().is_empty() { name.to_owned() } else { format!("{name} [{}]", axis.unit()) }
}

fn rows(table: &mut Writer<Vec<u8>>, sweep: &Sweep, gear: Option<u8>) -> Result<(), csv::Error> {
    for field in &sweep.fields {
        for (index, cell) in field.cells.iter().enumerate() {
            table.write_field(&field.scenario)?;
            if let Some(gear) = gear {
                table.write_field(gear.to_string())?;
            }
            for (axis, at) in sweep.axes.iter().zip(sweep.places(index)) {
                table.write_field(axis.number_text(at))?;
            }
            table.write_record(values(cell))?;
        }
    }
    Ok(())
}

fn values(cell: &Cell) -> [String; 8] {
    // As many digits as it takes to read the same number back.
    let number = |value: Option<f64>| value.map_or_else(String::new, |v| v.to_string());
    let figure = |pick: fn(&bitepoint_runner::sweep::Figures) -> f64| number(cell.figures.as_ref().map(pick));
    [
        number(cell.time_s),
        cell.fate.key().to_owned(),
        figure(|f| f.clutch_face_c),
        figure(|f| f.clutch_energy_j),
        figure(|f| f.shaft_torque_nm),
        figure(|f| f.largest_slip_mps),
        figure(|f| f.lowest_engine_radps),
        cell.reason.as_deref().unwrap_or_default().to_owned(),
    ]
}

fn finished(table: Writer<Vec<u8>>) -> Result<Vec<u8>, csv::Error> {
    table.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}
