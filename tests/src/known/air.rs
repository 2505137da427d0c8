//! Tables of the air and of what power standards say of it.

/// ISO 2533 standard atmosphere: altitude m, temperature K, pressure Pa, density kg/m³.
///
/// Recomputed with two general-purpose Python libraries (`ambiance`, `fluids`) that agree to 1e-6.
pub const STANDARD_ATMOSPHERE: [(f64, f64, f64, f64); 6] = [
    (0.0, 288.150, 101_325.0, 1.225_00),
    (500.0, 284.900, 95_461.3, 1.167_27),
    (1000.0, 281.651, 89_876.3, 1.111_66),
    (1500.0, 278.402, 84_559.7, 1.058_10),
    (2000.0, 275.154, 79_501.4, 1.006_55),
    (3000.0, 268.659, 70_121.1, 0.909_25),
];

/// Moist air: temperature °C, pressure Pa, relative humidity, density by CIPM-2007, by the real-gas properties of CoolProp,
/// kg/m³.
///
/// A. Picard, R. S. Davis, M. Gläser, K. Fujii, Metrologia 45 (2008) 149, with 400 ppm carbon dioxide, recomputed apart from this
/// project; CoolProp (recomputed) is the independent second opinion.
pub const MOIST_AIR: [(f64, f64, f64, f64, f64); 6] = [
    (20.0, 101_325.0, 0.0, 1.204_56, 1.204_60),
    (20.0, 101_325.0, 0.5, 1.199_31, 1.199_36),
    (15.0, 101_325.0, 0.0, 1.225_52, 1.225_57),
    (35.0, 101_325.0, 0.6, 1.131_38, 1.131_42),
    (0.0, 101_325.0, 0.8, 1.290_70, 1.290_74),
    (25.0, 84_500.0, 0.3, 0.983_40, 0.983_44),
];

/// Power correction, reference over observed: temperature °C, pressure Pa, relative humidity, dry pressure kPa, SAE J1349,
/// ISO 1585 (spark ignition, naturally aspirated), DIN 70020.
///
/// The standards' formulas are from memory, their values recomputed.
pub const POWER_CORRECTION: [(f64, f64, f64, f64, f64, f64, f64); 4] = [
    (25.0, 99_000.0, 0.0, 99.000, 1.0000, 1.0000, 1.0319),
    (35.0, 101_325.0, 0.6, 97.948, 1.0325, 1.0332, 1.0250),
    (0.0, 101_325.0, 0.5, 101.019, 0.9268, 0.9261, 0.9650),
    (25.0, 84_500.0, 0.3, 83.549, 1.2182, 1.2258, 1.2090),
];
