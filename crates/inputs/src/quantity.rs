//! Quantities: a number with its unit, read from text to SI and written back for people.
//!
//! This module alone knows how units are spelt. A spelling is compared without regard to case, spaces, dots, hyphens
//! and the like, so "lbf·ft", "lb-ft" and "LB FT" are one; which unit is meant follows from the dimension that the key asks for.

mod units;

use serde::Serialize;

use units::Unit;

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// A ratio, share or coefficient: a bare number or a percentage.
    Ratio,
    /// Rise over run of a road: per cent alone, because a bare number would be read in two ways.
    Slope,
    /// kg.
    Mass,
    /// W.
    Power,
    /// N·m.
    Torque,
    /// rad/s.
    AngularSpeed,
    /// °C.
    Temperature,
    /// K, a difference of temperatures.
    TemperatureDifference,
    /// m/s.
    Speed,
    /// m.
    Length,
    /// m².
    Area,
    /// m³.
    Volume,
    /// kg·m².
    Inertia,
    /// Pa.
    Pressure,
    /// N.
    Force,
    /// s.
    Time,
    /// rad.
    Angle,
    /// N·m/rad.
    TorsionalStiffness,
    /// N·m·s/rad: torque per angular speed.
    TorsionalDamping,
    /// N·m·s²/rad²: torque per angular speed squared.
    TorquePerSpeedSquared,
    /// Hz.
    Frequency,
    /// J/K.
    HeatCapacity,
    /// W/K.
    Conductance,
    /// s²/m²: a share per speed squared.
    PerSpeedSquared,
    /// J.
    Energy,
}

/// Which units people want to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Metric units.
    #[default]
    Si,
    /// United States customary units.
    Us,
}

/// Why a text is no quantity of the dimension that was asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuantityError {
    /// It does not begin with a number.
    NoNumber,
    /// The number is not finite.
    NotFinite,
    /// There is a number but no unit.
    NoUnit,
    /// The unit is none of this dimension's; it may be another's.
    WrongUnit {
        /// As it was written.
        unit: String,
    },
    /// A comma, which is a thousands mark to some and a decimal mark to others.
    Comma,
}

impl QuantityError {
    /// What is wrong, as a clause.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::NoNumber => "does not begin with a number".to_owned(),
            Self::NotFinite => "the number is too large".to_owned(),
            Self::NoUnit => "has no unit".to_owned(),
            Self::WrongUnit { unit } => format!("the unit \"{unit}\" does not fit here"),
            Self::Comma => "a comma can be a decimal or a thousands mark: write 1480.5 or 1480".to_owned(),
        }
    }
}

/// Spelling without case, spaces, and marks of multiplication; superscripts as digits, the degree sign as "deg".
fn fold(spelling: &str) -> String {
    let mut folded = String::with_capacity(spelling.len());
    for c in spelling.chars() {
        match c {
            ' ' | '\u{a0}' | '\u{202f}' | '·' | '⋅' | '•' | '×' | '*' | '.' | '-' | '^' | '_' => {}
            '²' => folded.push('2'),
            '³' => folded.push('3'),
            '°' | 'º' => folded.push_str("deg"),
            _ => folded.extend(c.to_lowercase()),
        }
    }
    folded
}

/// Length in bytes of the number at the beginning of `text`, and the number.
pub(crate) fn leading_number(text: &str) -> Option<(usize, f64)> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut end = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let whole = digits(end);
    end += whole;
    let mut fraction = 0;
    if bytes.get(end) == Some(&b'.') {
        fraction = digits(end + 1);
        if whole + fraction > 0 {
            end += 1 + fraction;
        }
    }
    if whole + fraction == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent =
            bytes.get(end + 1 + sign..).map_or(0, |rest| rest.iter().take_while(|b| b.is_ascii_digit()).count());
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    text[..end].parse().ok().map(|number| (end, number))
}

/// Number with thin typographic marks made plain: minus signs and hyphens become "-".
pub(crate) fn plain_sign(text: &str) -> String {
    let text = text.trim();
    match text.chars().next() {
        Some(c @ ('−' | '‑' | '–' | '‒')) => format!("-{}", text[c.len_utf8()..].trim_start()),
        _ => text.to_owned(),
    }
}

impl Dimension {
    fn units(self) -> &'static [Unit] {
        match self {
            Self::Ratio | Self::Slope => &units::RATIO,
            Self::Mass => &units::MASS,
            Self::Power => &units::POWER,
            Self::Torque => &units::TORQUE,
            Self::AngularSpeed => &units::ANGULAR_SPEED,
            Self::Temperature => &units::TEMPERATURE,
            Self::TemperatureDifference => &units::TEMPERATURE_DIFFERENCE,
            Self::Speed => &units::SPEED,
            Self::Length => &units::LENGTH,
            Self::Area => &units::AREA,
            Self::Volume => &units::VOLUME,
            Self::Inertia => &units::INERTIA,
            Self::Pressure => &units::PRESSURE,
            Self::Force => &units::FORCE,
            Self::Time => &units::TIME,
            Self::Angle => &units::ANGLE,
            Self::TorsionalStiffness => &units::STIFFNESS,
            Self::TorsionalDamping => &units::DAMPING,
            Self::TorquePerSpeedSquared => &units::TORQUE_PER_SPEED_SQUARED,
            Self::Frequency => &units::FREQUENCY,
            Self::HeatCapacity => &units::HEAT_CAPACITY,
            Self::Conductance => &units::CONDUCTANCE,
            Self::PerSpeedSquared => &units::PER_SPEED_SQUARED,
            Self::Energy => &units::ENERGY,
        }
    }

    /// Every dimension.
    pub const ALL: [Self; 25] = [
        Self::Ratio,
        Self::Slope,
        Self::Mass,
        Self::Power,
        Self::Torque,
        Self::AngularSpeed,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Speed,
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Inertia,
        Self::Pressure,
        Self::Force,
        Self::Time,
        Self::Angle,
        Self::TorsionalStiffness,
        Self::TorsionalDamping,
        Self::TorquePerSpeedSquared,
        Self::Frequency,
        Self::HeatCapacity,
        Self::Conductance,
        Self::PerSpeedSquared,
        Self::Energy,
    ];

    /// Whether a bare number will do.
    #[must_use]
    pub fn is_bare(self) -> bool {
        matches!(self, Self::Ratio)
    }

    /// Units that are taken, as people list them.
    #[must_use]
    pub fn units_taken(self) -> String {
        let names = self.units().iter().map(|u| u.name).collect::<Vec<_>>().join(", ");
        if self.is_bare() { format!("a bare number or {names}") } else { names }
    }

    /// Every spelling that is taken, folded: for schemas.
    pub(crate) fn spellings(self) -> Vec<String> {
        let units = self.units().iter();
        units.flat_map(|u| core::iter::once(fold(u.name)).chain(u.also.iter().map(|s| (*s).to_owned()))).collect()
    }

    /// The first unit, as people write it.
    pub(crate) fn first_unit(self) -> &'static str {
        self.units()[0].name
    }

    /// Reads `text` to SI.
    ///
    /// # Errors
    /// No number, no unit, or a unit of another dimension.
    pub fn parse(self, text: &str) -> Result<f64, QuantityError> {
        self.read(text, true)
    }

    /// Reads `text` as a difference (a spread) to SI: a temperature in °F or K loses its zero.
    ///
    /// # Errors
    /// As [`Dimension::parse`].
    pub fn parse_difference(self, text: &str) -> Result<f64, QuantityError> {
        self.read(text, false)
    }

    fn read(self, text: &str, with_offset: bool) -> Result<f64, QuantityError> {
        let text = plain_sign(text);
        let (end, number) = leading_number(&text).ok_or(QuantityError::NoNumber)?;
        if !number.is_finite() {
            return Err(QuantityError::NotFinite);
        }
        let spelt = text[end..].trim();
        if spelt.starts_with(',') {
            return Err(QuantityError::Comma);
        }
        if spelt.is_empty() {
            return if self.is_bare() { Ok(number) } else { Err(QuantityError::NoUnit) };
        }
        let folded = fold(spelt);
        let unit = self
            .units()
            .iter()
            .find(|u| fold(u.name) == folded || u.also.contains(&folded.as_str()))
            .ok_or_else(|| QuantityError::WrongUnit { unit: spelt.to_owned() })?;
        let si = number * unit.factor + if with_offset { unit.offset } else { 0.0 };
        if si.is_finite() { Ok(si) } else { Err(QuantityError::NotFinite) }
    }

    /// Unit in which people of this system read a value of this size; the name and what to divide by.
    fn shown_in(self, system: UnitSystem, size: f64) -> Option<&'static Unit> {
        let us = system == UnitSystem::Us;
        let name = match self {
            Self::Ratio => return None,
            Self::Slope => "%",
            Self::Mass if us => "lb",
            Self::Power if us => "hp",
            Self::Torque if us => "lbf·ft",
            Self::Temperature | Self::TemperatureDifference if us => "°F",
            Self::Speed if us => "mph",
            Self::Length if us && size.abs() < 3.0 => "in",
            Self::Length if us => "ft",
            Self::Area if us => "ft²",
            Self::Inertia if us => "lb·ft²",
            Self::Pressure if us => "inHg",
            Self::Force if us => "lbf",
            Self::TorsionalStiffness if us => "lbf·ft/deg",
            Self::TorsionalDamping if us => "lbf·ft·s/rad",
            _ => self.units()[0].name,
        };
        self.units().iter().find(|u| u.name == name)
    }

    /// Writes an SI value for people, with its unit and four significant digits.
    #[must_use]
    pub fn show(self, si: f64, system: UnitSystem) -> String {
        match self.shown_in(system, si) {
            None => digits(si),
            Some(u) => format!("{} {}", digits((si - u.offset) / u.factor), u.name),
        }
    }

    /// Writes a difference (a spread) of values near `near_si`, in the unit in which that value is shown.
    #[must_use]
    pub fn show_difference(self, si: f64, near_si: f64, system: UnitSystem) -> String {
        match self.shown_in(system, near_si) {
            None => two_digits(si),
            Some(u) => format!("{} {}", two_digits(si / u.factor), u.name),
        }
    }
}

/// A number to four significant digits, without idle zeros.
#[must_use]
pub fn digits(number: f64) -> String {
    to_significant(number, 4)
}

pub(crate) fn two_digits(number: f64) -> String {
    to_significant(number, 2)
}

fn to_significant(number: f64, significant: i32) -> String {
    if number == 0.0 || !number.is_finite() {
        return if number == 0.0 { "0".to_owned() } else { number.to_string() };
    }
    let magnitude = libm::log10(number.abs()).floor() as i32;
    if !(-4..9).contains(&magnitude) {
        return format!("{number:.*e}", (significant - 1).max(0) as usize);
    }
    let places = (significant - 1 - magnitude).max(0);
    let text = format!("{number:.*}", places as usize);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811 (2008), appendix B.8, to the digits printed there.
    #[test]
    fn factors_are_those_of_nist_sp_811() {
        for (dimension, text, si, tolerance) in [
            (Dimension::Mass, "1 lb", 4.535_924e-1, 5e-8),
            (Dimension::Force, "1 lbf", 4.448_222, 5e-7),
            (Dimension::Torque, "1 lbf·ft", 1.355_818, 5e-7),
            (Dimension::Torque, "1 lbf·in", 1.129_848e-1, 5e-8),
            (Dimension::Torque, "1 kgf·m", 9.806_65, 1e-12),
            (Dimension::Power, "1 hp", 7.456_999e2, 5e-5),
            (Dimension::Power, "1 PS", 7.354_988e2, 6e-5),
            (Dimension::Pressure, "1 psi", 6.894_757e3, 5e-4),
            (Dimension::Pressure, "1 inHg", 3.386_389e3, 5e-4),
            (Dimension::Pressure, "1 mbar", 1.0e2, 1e-9),
            (Dimension::Speed, "1 mph", 4.4704e-1, 1e-12),
            (Dimension::Speed, "1 km/h", 2.777_778e-1, 5e-8),
            (Dimension::Length, "1 ft", 3.048e-1, 1e-12),
            (Dimension::Length, "1 in", 2.54e-2, 1e-12),
            (Dimension::Length, "1 mi", 1.609_344e3, 1e-9),
            (Dimension::Area, "1 ft²", 9.290_304e-2, 1e-12),
            (Dimension::Volume, "1 in³", 1.638_706e-5, 5e-12),
            (Dimension::Inertia, "1 lb·ft²", 4.214_011e-2, 5e-9),
            (Dimension::Angle, "1 deg", 1.745_329e-2, 5e-9),
            (Dimension::AngularSpeed, "1 rpm", 1.047_198e-1, 5e-8),
            (Dimension::Temperature, "59 °F", 15.0, 1e-12),
            (Dimension::Temperature, "288.15 K", 15.0, 1e-12),
        ] {
            let read = dimension.parse(text).expect(text);
            assert!((read - si).abs() <= tolerance, "{text}: {read} is not {si}");
        }
    }

    #[test]
    fn every_usual_way_to_write_a_torque_is_one() {
        for text in ["225 lbf·ft", "225 lb-ft", "225 lbf ft", "225 ft·lbf", "225lb.ft", "225 FT-LB"] {
            assert_eq!(Dimension::Torque.parse(text), Dimension::Torque.parse("225 lbf·ft"), "{text}");
        }
        for text in ["305 N·m", "305 Nm", "305 N m", "305Nm", "305 n*m", "+3.05e2 N⋅m"] {
            assert_eq!(Dimension::Torque.parse(text), Ok(305.0), "{text}");
        }
    }

    #[test]
    fn a_bare_number_is_taken_only_where_there_is_no_unit() {
        assert_eq!(Dimension::Mass.parse("1480"), Err(QuantityError::NoUnit));
        assert_eq!(Dimension::Slope.parse("-1.5"), Err(QuantityError::NoUnit));
        assert_eq!(Dimension::Ratio.parse("0.31"), Ok(0.31));
        assert_eq!(Dimension::Ratio.parse("31 %"), Ok(0.31));
    }

    #[test]
    fn a_typographic_minus_is_a_minus() {
        for text in ["-1.5 %", "−1.5 %", "‑1.5 %", "–1.5 %"] {
            assert_eq!(Dimension::Slope.parse(text), Ok(-0.015), "{text}");
        }
    }

    #[test]
    fn a_unit_that_does_not_fit_is_named() {
        assert_eq!(Dimension::Mass.parse("20 hp"), Err(QuantityError::WrongUnit { unit: "hp".to_owned() }));
        assert_eq!(Dimension::Mass.parse("1,480 kg"), Err(QuantityError::Comma));
        assert_eq!(Dimension::Mass.parse("heavy"), Err(QuantityError::NoNumber));
        assert_eq!(Dimension::Mass.parse("1e999 kg"), Err(QuantityError::NotFinite));
    }

    #[test]
    fn no_two_units_of_a_dimension_share_a_spelling() {
        for dimension in Dimension::ALL {
            let mut seen = std::collections::HashSet::new();
            for unit in dimension.units() {
                assert!(seen.insert(fold(unit.name)), "{dimension:?}: {}", unit.name);
                for also in unit.also {
                    assert_eq!(&fold(also), also, "{dimension:?}: {also} is not folded");
                    assert!(seen.insert((*also).to_owned()), "{dimension:?}: {also}");
                }
            }
        }
    }

    #[test]
    fn what_is_shown_can_be_read_back() {
        for dimension in Dimension::ALL {
            for system in [UnitSystem::Si, UnitSystem::Us] {
                for si in [0.012_34, 1.0, 15.5, 1234.0] {
                    let shown = dimension.show(si, system);
                    let back = dimension.parse(&shown).unwrap_or_else(|e| panic!("{shown}: {e:?}"));
                    assert!(
                        (back - si).abs()
                            <= 6e-4 * si.abs().max(1e-9) + 0.01 * f64::from(dimension == Dimension::Temperature),
                        "{shown}: {back}"
                    );
                }
            }
        }
    }

    #[test]
    fn digits_are_significant_ones() {
        assert_eq!(digits(1234.56), "1235");
        assert_eq!(digits(0.012_345), "0.01235");
        assert_eq!(digits(-1.5), "-1.5");
        assert_eq!(digits(0.0), "0");
    }
}
