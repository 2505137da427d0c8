//! A sheet for a car of 1973 or 1974 from the few figures that its road test gives.
//!
//! Every rule was chosen before any of these cars was run, and none was changed after: from memory, common practice of the time,
//! but where a book is named.

use super::rows::PeriodRow;

/// Power is read as SAE net: the table's help page calls it gross, but makers in the United States rated net from the model year 1972 on
/// (from memory). What is in doubt about that, the state of tune and the torque converter's place in some ratings is this share of it, one
/// standard deviation (from memory).
const OUTPUT_SPREAD: f64 = 0.10;
/// Net mean effective pressure at peak torque of a carburetted engine of some 8 to 9 : 1 compression, bar (from memory).
const PEAK_PRESSURE_BAR: f64 = 8.3;
/// Torque at peak power over peak torque (from memory).
const TORQUE_LEFT_AT_PEAK_POWER: f64 = 0.82;
/// Slowest and fastest speed of peak power, rpm (from memory).
const PEAK_POWER_RPM: (f64, f64) = (3600.0, 6500.0);
/// Speed of peak torque over that of peak power (from memory).
const PEAK_TORQUE_PLACE: f64 = 0.60;
/// Redline over the speed of peak power (from memory).
const REDLINE_PLACE: f64 = 1.10;

const CUBIC_INCH_M3: f64 = 0.0254 * 0.0254 * 0.0254;
const HORSEPOWER_W: f64 = 745.7;
const RPM: f64 = core::f64::consts::TAU / 60.0;

/// Gear ratios of the time by the number of forward gears: four wide ones, or five of which the fifth is an overdrive; three and four of
/// an automatic gearbox, whose torque converter the model does not have.
fn gear_ratios(row: &PeriodRow) -> &'static str {
    match (row.manual, row.forward_gears) {
        (1, 5..) => "[3.20, 1.90, 1.30, 1.00, 0.80]",
        (1, 4) => "[3.50, 2.10, 1.40, 1.00]",
        (1, _) => "[2.90, 1.60, 1.00]",
        (_, 4..) => "[4.00, 2.40, 1.50, 1.00]",
        _ => "[2.45, 1.45, 1.00]",
    }
}

/// Tyre by weight: 13 inch of the small cars to 15 inch of the large ones, series 75 and 80.
fn tyre_size(weight_lb: f64) -> &'static str {
    match weight_lb {
        w if w < 2250.0 => "165/80R13",
        w if w < 3100.0 => "185/75R14",
        w if w < 4300.0 => "205/75R14",
        _ => "225/75R15",
    }
}

/// The text of a vehicle file.
///
/// Weight is read as kerb weight; the driver and the fifth wheel with its recorder make 90 kg; whether the weight already
/// includes them, or is that of a car without its options, is in the spread. The driven axle is not in the table: rear, solid, open. Tyres, drag, rolling resistance and shifts are by
/// the rules for the model year; a wide ratio of the gears and a guess of the torque have spreads here.
#[must_use]
pub fn text(row: &PeriodRow) -> String {
    let power_w = row.gross_power_hp * HORSEPOWER_W;
    let displacement_m3 = row.displacement_cuin * CUBIC_INCH_M3;
    let by_pressure_nm = PEAK_PRESSURE_BAR * 1e5 * displacement_m3 / (4.0 * core::f64::consts::PI);
    let power_rpm =
        (power_w / (TORQUE_LEFT_AT_PEAK_POWER * by_pressure_nm) / RPM).clamp(PEAK_POWER_RPM.0, PEAK_POWER_RPM.1);
    // An engine that makes its power at the fastest speed has more than the ordinary pressure.
    let torque_nm = by_pressure_nm.max(power_w / (power_rpm * RPM) / TORQUE_LEFT_AT_PEAK_POWER);
    format!(
        r#"name = "row {row}"
model_year = 1974
mass = "{weight} lb"
driven_axle = "rear"
peak_power = "{power:.2} kW"
peak_power_at = "{power_rpm:.0} rpm"
peak_torque = {{ value = "{torque_nm:.1} N·m", spread = "{torque_spread:.1} N·m" }}
peak_torque_at = "{torque_rpm:.0} rpm"
redline = "{redline_rpm:.0} rpm"
gear_ratios = {ratios}
final_drive = {axle}
tyre_size = "{size}"
aspiration = "naturally aspirated"

[engine]
displacement = "{litres:.3} L"
output_scale = {{ value = 1.0, spread = {output_spread} }}

[driveline]
solid_rear_axle = true
rear_track = "1.40 m"

[chassis]
driver_mass = {{ value = "90 kg", spread = "50 kg" }}
"#,
        row = row.row,
        weight = row.weight_lb,
        power = power_w * 1e-3,
        output_spread = OUTPUT_SPREAD,
        torque_spread = 0.08 * torque_nm,
        torque_rpm = PEAK_TORQUE_PLACE * power_rpm,
        redline_rpm = REDLINE_PLACE * power_rpm,
        ratios = gear_ratios(row),
        axle = row.axle_ratio,
        size = tyre_size(row.weight_lb),
        litres = displacement_m3 * 1e3,
    )
}
