//! The air: density, altitude, and what a power rating's standard says of it.

/// State of the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Total pressure, Pa.
    pub pressure_pa: f64,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: f64,
}

/// Zero of the Celsius scale, K.
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// The standard to which an engine's power was rated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PowerStandard {
    /// SAE J1349: 25 °C, 99 kPa dry.
    SaeJ1349,
    /// ISO 1585, spark ignition, naturally aspirated: 25 °C, 99 kPa dry.
    Iso1585,
    /// DIN 70020: 20 °C, 101.3 kPa.
    Din70020,
    /// As measured on the day: no correction.
    Uncorrected,
}

impl Air {
    /// ISO 2533 standard atmosphere (dry) at `altitude_m` above sea level, up to 11 km.
    ///
    /// The standard is written in geopotential height; geometric height is converted with its earth radius of 6,356,766 m.
    #[must_use]
    pub fn standard_at(altitude_m: f64) -> Self {
        const EARTH_RADIUS_M: f64 = 6_356_766.0;
        const LAPSE_K_PER_M: f64 = 0.0065;
        const SEA_LEVEL_K: f64 = 288.15;
        const SEA_LEVEL_PA: f64 = 101_325.0;
        const GAS_CONSTANT: f64 = 287.052_87;
        let geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m);
        let kelvin = SEA_LEVEL_K - LAPSE_K_PER_M * geopotential_m;
        let exponent = crate::road::GRAVITY_MPS2 / (GAS_CONSTANT * LAPSE_K_PER_M);
        Self {
            temperature_c: kelvin - ZERO_CELSIUS_K,
            pressure_pa: SEA_LEVEL_PA * libm::pow(kelvin / SEA_LEVEL_K, exponent),
            relative_humidity: 0.0,
        }
    }

    fn kelvin(&self) -> f64 {
        self.temperature_c + ZERO_CELSIUS_K
    }

    /// Saturation vapour pressure, Pa (CIPM-2007, equation A1.1).
    fn saturation_pa(&self) -> f64 {
        let t = self.kelvin();
        libm::exp(1.237_884_7e-5 * t * t - 1.912_131_6e-2 * t + 33.937_110_47 - 6.343_164_5e3 / t)
    }

    /// Mole fraction of water vapour (CIPM-2007: relative humidity with the enhancement factor).
    fn vapour_fraction(&self) -> f64 {
        let t = self.temperature_c;
        let enhancement = 1.000_62 + 3.14e-8 * self.pressure_pa + 5.6e-7 * t * t;
        self.relative_humidity * enhancement * self.saturation_pa() / self.pressure_pa
    }

    /// Partial pressure of water vapour, Pa.
    #[must_use]
    pub fn vapour_pressure_pa(&self) -> f64 {
        self.relative_humidity * self.saturation_pa()
    }

    /// Density, kg/m³.
    ///
    /// CIPM-2007 (A. Picard, R. S. Davis, M. Gläser, K. Fujii, Metrologia 45 (2008) 149-155) with 400 ppm carbon
    /// dioxide. Its stated range is 600 to 1100 hPa and 15 to 27 °C; outside it the formula is used all the same.
    #[must_use]
    pub fn density_kg_per_m3(&self) -> f64 {
        const MOLAR_GAS_CONSTANT: f64 = 8.314_472;
        const DRY_MOLAR_MASS: f64 = 28.965_46e-3;
        const WATER_TO_AIR: f64 = 0.378_0;
        let (t_c, t, p) = (self.temperature_c, self.kelvin(), self.pressure_pa);
        let xv = self.vapour_fraction();
        let (a0, a1, a2) = (1.581_23e-6, -2.933_1e-8, 1.104_3e-10);
        let (b0, b1, c0, c1) = (5.707e-6, -2.051e-8, 1.989_8e-4, -2.376e-6);
        let (d, e) = (1.83e-11, -0.765e-8);
        let virial = a0 + a1 * t_c + a2 * t_c * t_c + (b0 + b1 * t_c) * xv + (c0 + c1 * t_c) * xv * xv;
        let z = 1.0 - p / t * virial + (p / t) * (p / t) * (d + e * xv * xv);
        p * DRY_MOLAR_MASS / (z * MOLAR_GAS_CONSTANT * t) * (1.0 - WATER_TO_AIR * xv)
    }
}

impl PowerStandard {
    /// Reference power over power in this air. Formulas from memory.
    #[must_use]
    pub fn correction(self, air: &Air) -> f64 {
        let dry_kpa = (air.pressure_pa - air.vapour_pressure_pa()) / 1000.0;
        // The standards count kelvins from -273 °C.
        let kelvin = air.temperature_c + 273.0;
        match self {
            Self::SaeJ1349 => 1.180 * (99.0 / dry_kpa) * (kelvin / 298.0).sqrt() - 0.18,
            Self::Iso1585 => libm::pow(99.0 / dry_kpa, 1.2) * libm::pow(kelvin / 298.0, 0.6),
            Self::Din70020 => 101.3 / (air.pressure_pa / 1000.0) * (kelvin / 293.0).sqrt(),
            Self::Uncorrected => 1.0,
        }
    }

    /// Factor on rated torque in this air, for an engine that takes `share` of the correction.
    #[must_use]
    pub fn torque_factor(self, air: &Air, share: f64) -> f64 {
        1.0 + share * (1.0 / self.correction(air) - 1.0)
    }

    /// Whether the factor lies within the 0.93 to 1.07 that the standards allow.
    #[must_use]
    pub fn covers(self, air: &Air) -> bool {
        (0.93..=1.07).contains(&self.correction(air))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 2533, recomputed with two general-purpose Python libraries that agree to 1e-6.
    #[test]
    fn the_standard_atmosphere_is_met() {
        for (h, kelvin, pascal) in [
            (0.0, 288.150, 101_325.0),
            (500.0, 284.900, 95_461.3),
            (1000.0, 281.651, 89_876.3),
            (2000.0, 275.154, 79_501.4),
            (3000.0, 268.659, 70_121.1),
        ] {
            let air = Air::standard_at(h);
            assert!((air.kelvin() - kelvin).abs() < 6e-4, "{h}: {}", air.kelvin());
            assert!((air.pressure_pa - pascal).abs() < 0.06, "{h}: {}", air.pressure_pa);
        }
    }

    /// CIPM-2007 values recomputed from the paper's formula.
    #[test]
    fn moist_air_has_the_density_of_cipm_2007() {
        for (t, p, rh, density) in [
            (20.0, 101_325.0, 0.0, 1.204_56),
            (20.0, 101_325.0, 0.5, 1.199_31),
            (35.0, 101_325.0, 0.6, 1.131_38),
            (0.0, 101_325.0, 0.8, 1.290_70),
            (25.0, 84_500.0, 0.3, 0.983_40),
        ] {
            let air = Air { temperature_c: t, pressure_pa: p, relative_humidity: rh };
            assert!((air.density_kg_per_m3() - density).abs() < 1e-5, "{}", air.density_kg_per_m3());
        }
    }
}
