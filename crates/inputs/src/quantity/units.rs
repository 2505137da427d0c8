//! The units of each dimension, their spellings and factors. The first of each is the one shown by default.

use core::f64::consts::PI;

/// One unit of a dimension: `si = number · factor + offset`.
pub(super) struct Unit {
    pub(super) name: &'static str,
    /// Other spellings, already folded (see `fold`).
    pub(super) also: &'static [&'static str],
    pub(super) factor: f64,
    pub(super) offset: f64,
}

const fn unit(name: &'static str, also: &'static [&'static str], factor: f64) -> Unit {
    Unit { name, also, factor, offset: 0.0 }
}

// Exact by definition unless said otherwise: NIST SP 811 (2008), appendix B.8.
const POUND_KG: f64 = 0.453_592_37;
const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;
const GRAVITY_MPS2: f64 = 9.806_65;
const POUND_FORCE_N: f64 = POUND_KG * GRAVITY_MPS2;
const POUND_FOOT_NM: f64 = POUND_FORCE_N * FOOT_M;
/// Mechanical horsepower, 550 ft·lbf/s = 745.699 87 W; "hp" always means this one.
const HORSEPOWER_W: f64 = 550.0 * POUND_FOOT_NM;
/// Metric horsepower, 75 kgf·m/s = 735.498 75 W; "PS".
const METRIC_HORSEPOWER_W: f64 = 75.0 * GRAVITY_MPS2;
const MILE_PER_HOUR_MPS: f64 = 0.447_04;
const DEGREE_RAD: f64 = PI / 180.0;
const RPM_RADPS: f64 = PI / 30.0;
/// Conventional, 0 °C: 3386.389 Pa (NIST SP 811 gives 3.386 389 E+03).
const INCH_OF_MERCURY_PA: f64 = 3386.389;
const FAHRENHEIT: f64 = 5.0 / 9.0;

pub(super) static RATIO: [Unit; 1] = [unit("%", &["percent"], 0.01)];
pub(super) static MASS: [Unit; 4] =
    [unit("kg", &[], 1.0), unit("lb", &["lbs", "lbm"], POUND_KG), unit("g", &[], 0.001), unit("t", &[], 1000.0)];
pub(super) static POWER: [Unit; 4] = [
    unit("kW", &[], 1000.0),
    unit("hp", &["bhp"], HORSEPOWER_W),
    unit("PS", &["cv"], METRIC_HORSEPOWER_W),
    unit("W", &[], 1.0),
];
pub(super) static TORQUE: [Unit; 4] = [
    unit("N·m", &[], 1.0),
    unit("lbf·ft", &["lbft", "ftlb", "ftlbf"], POUND_FOOT_NM),
    unit("kgf·m", &["kgm"], GRAVITY_MPS2),
    unit("lbf·in", &["lbin", "inlb", "inlbf"], POUND_FORCE_N * INCH_M),
];
pub(super) static ANGULAR_SPEED: [Unit; 2] = [unit("rpm", &["r/min", "1/min"], RPM_RADPS), unit("rad/s", &[], 1.0)];
pub(super) static TEMPERATURE: [Unit; 3] = [
    unit("°C", &["c"], 1.0),
    Unit { name: "°F", also: &["f"], factor: FAHRENHEIT, offset: -32.0 * FAHRENHEIT },
    Unit { name: "K", also: &[], factor: 1.0, offset: -273.15 },
];
pub(super) static TEMPERATURE_DIFFERENCE: [Unit; 3] =
    [unit("K", &[], 1.0), unit("°C", &["c"], 1.0), unit("°F", &["f"], FAHRENHEIT)];
pub(super) static SPEED: [Unit; 4] = [
    unit("km/h", &["kmh", "kph"], 1.0 / 3.6),
    unit("mph", &["mi/h"], MILE_PER_HOUR_MPS),
    unit("m/s", &[], 1.0),
    unit("ft/s", &["fps"], FOOT_M),
];
pub(super) static LENGTH: [Unit; 7] = [
    unit("m", &[], 1.0),
    unit("mm", &[], 0.001),
    unit("cm", &[], 0.01),
    unit("km", &[], 1000.0),
    unit("in", &["\"", "inch", "inches"], INCH_M),
    unit("ft", &["foot", "feet"], FOOT_M),
    unit("mi", &["mile", "miles"], 1609.344),
];
pub(super) static AREA: [Unit; 2] = [unit("m²", &["sqm"], 1.0), unit("ft²", &["sqft"], FOOT_M * FOOT_M)];
pub(super) static VOLUME: [Unit; 4] = [
    unit("L", &["litre", "liter", "litres", "liters", "dm3"], 1e-3),
    unit("cc", &["cm3", "ccm"], 1e-6),
    unit("in³", &["cid", "cuin"], INCH_M * INCH_M * INCH_M),
    unit("m³", &[], 1.0),
];
pub(super) static INERTIA: [Unit; 3] = [
    unit("kg·m²", &[], 1.0),
    unit("lb·ft²", &["lbmft2"], POUND_KG * FOOT_M * FOOT_M),
    unit("lbf·in·s²", &["inlbs2", "inlbfs2", "lbins2"], POUND_FORCE_N * INCH_M),
];
pub(super) static PRESSURE: [Unit; 7] = [
    unit("hPa", &[], 100.0),
    unit("kPa", &[], 1000.0),
    unit("mbar", &[], 100.0),
    unit("bar", &[], 1e5),
    unit("Pa", &[], 1.0),
    unit("psi", &["lbf/in2"], POUND_FORCE_N / (INCH_M * INCH_M)),
    unit("inHg", &[], INCH_OF_MERCURY_PA),
];
pub(super) static FORCE: [Unit; 3] = [unit("N", &[], 1.0), unit("kN", &[], 1000.0), unit("lbf", &[], POUND_FORCE_N)];
pub(super) static TIME: [Unit; 3] =
    [unit("s", &["sec", "second", "seconds"], 1.0), unit("ms", &[], 0.001), unit("min", &["minutes"], 60.0)];
pub(super) static ANGLE: [Unit; 2] = [unit("deg", &["degree", "degrees"], DEGREE_RAD), unit("rad", &[], 1.0)];
pub(super) static STIFFNESS: [Unit; 4] = [
    unit("N·m/rad", &[], 1.0),
    unit("kN·m/rad", &[], 1000.0),
    unit("N·m/deg", &[], 1.0 / DEGREE_RAD),
    unit("lbf·ft/deg", &["lbft/deg", "ftlb/deg"], POUND_FOOT_NM / DEGREE_RAD),
];
pub(super) static DAMPING: [Unit; 2] =
    [unit("N·m·s/rad", &["nms"], 1.0), unit("lbf·ft·s/rad", &["lbfts/rad", "ftlbs/rad"], POUND_FOOT_NM)];
pub(super) static TORQUE_PER_SPEED_SQUARED: [Unit; 1] = [unit("N·m·s²/rad²", &["nms2"], 1.0)];
pub(super) static FREQUENCY: [Unit; 1] = [unit("Hz", &["1/s"], 1.0)];
pub(super) static HEAT_CAPACITY: [Unit; 2] = [unit("J/K", &[], 1.0), unit("kJ/K", &[], 1000.0)];
pub(super) static CONDUCTANCE: [Unit; 1] = [unit("W/K", &[], 1.0)];
pub(super) static PER_SPEED_SQUARED: [Unit; 2] = [unit("s²/m²", &[], 1.0), unit("h²/km²", &[], 3.6 * 3.6)];
pub(super) static ENERGY: [Unit; 2] = [unit("kJ", &[], 1000.0), unit("J", &[], 1.0)];
