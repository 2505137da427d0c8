//! How a number is printed. Nothing else in the project turns a physical value into text.

/// Printed in place of a number that does not exist.
pub const MISSING: &str = "–";

const GRAVITY_MPS2: f64 = 9.806_65;
const POUND_N: f64 = 4.448_221_615_260_5;
const FOOT_M: f64 = 0.3048;
const RPM_PER_RADPS: f64 = 30.0 / std::f64::consts::PI;

/// The system of units in which people read a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    /// Miles per hour, feet, pounds-force feet, degrees Fahrenheit.
    Us,
    /// Kilometres per hour, metres, newton metres, degrees Celsius.
    Si,
}

/// One quantity's printed form: printed value = SI value × factor + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Unit as printed.
    pub unit: &'static str,
    factor: f64,
    offset: f64,
    decimals: usize,
    /// Printed values are rounded to multiples of this where it is more than one unit of the last decimal.
    step: f64,
}

impl Scale {
    const fn new(unit: &'static str, factor: f64, decimals: usize) -> Self {
        Self { unit, factor, offset: 0.0, decimals, step: 0.0 }
    }

    /// The SI value in this unit.
    #[must_use]
    pub fn of(self, si: f64) -> f64 {
        si * self.factor + self.offset
    }

    /// The number alone.
    #[must_use]
    pub fn number(self, si: f64) -> String {
        let value = self.of(si);
        if self.step > 0.0 {
            number((value / self.step).round() * self.step, self.decimals)
        } else {
            number(value, self.decimals)
        }
    }

    /// Number and unit.
    #[must_use]
    pub fn text(self, si: f64) -> String {
        if !self.of(si).is_finite() {
            return MISSING.to_owned();
        }
        // The percent sign too stands off by a space (SI Brochure, 9th edition, 5.4.7).
        format!("{}\u{a0}{}", self.number(si), self.unit)
    }

    /// Number and unit, or a dash.
    #[must_use]
    pub fn text_or_dash(self, si: Option<f64>) -> String {
        si.map_or_else(|| MISSING.to_owned(), |si| self.text(si))
    }

    /// The same scale with another number of decimals.
    #[must_use]
    pub const fn decimals(mut self, decimals: usize) -> Self {
        self.decimals = decimals;
        self.step = 0.0;
        self
    }
}

impl Units {
    /// Road speed, from m/s.
    #[must_use]
    pub const fn speed(self) -> Scale {
        match self {
            Self::Us => Scale::new("mph", 1.0 / 0.447_04, 1),
            Self::Si => Scale::new("km/h", 3.6, 1),
        }
    }

    /// Trap speed, from m/s: two decimals, as tracks print it (common practice, no source).
    #[must_use]
    pub const fn trap_speed(self) -> Scale {
        self.speed().decimals(2)
    }

    /// Distance, from m.
    #[must_use]
    pub const fn distance(self) -> Scale {
        match self {
            Self::Us => Scale::new("ft", 1.0 / FOOT_M, 1),
            Self::Si => Scale::new("m", 1.0, 1),
        }
    }

    /// Torque, from N·m.
    #[must_use]
    pub const fn torque(self) -> Scale {
        match self {
            Self::Us => Scale::new("lbf·ft", 1.0 / (POUND_N * FOOT_M), 0),
            Self::Si => Scale::new("N·m", 1.0, 0),
        }
    }

    /// Force, from N.
    #[must_use]
    pub const fn force(self) -> Scale {
        match self {
            Self::Us => Scale::new("lbf", 1.0 / POUND_N, 0),
            Self::Si => Scale::new("kN", 1e-3, 2),
        }
    }

    /// Temperature, from °C.
    #[must_use]
    pub const fn temperature(self) -> Scale {
        match self {
            Self::Us => Scale { offset: 32.0, ..Scale::new("°F", 1.8, 0) },
            Self::Si => Scale::new("°C", 1.0, 0),
        }
    }

    /// Difference of two temperatures, from K.
    #[must_use]
    pub const fn temperature_difference(self) -> Scale {
        match self {
            Self::Us => Scale::new("°F", 1.8, 0),
            Self::Si => Scale::new("°C", 1.0, 0),
        }
    }

    /// Pressure of the air, from Pa.
    #[must_use]
    pub const fn pressure(self) -> Scale {
        match self {
            Self::Us => Scale::new("inHg", 1.0 / 3386.389, 2),
            Self::Si => Scale::new("hPa", 1e-2, 0),
        }
    }

    /// Mass, from kg.
    #[must_use]
    pub const fn mass(self) -> Scale {
        match self {
            Self::Us => Scale::new("lb", 1.0 / 0.453_592_37, 0),
            Self::Si => Scale::new("kg", 1.0, 0),
        }
    }

    /// Power, from W: mechanical horsepower of 550 ft·lbf/s, or kilowatts.
    #[must_use]
    pub const fn power(self) -> Scale {
        match self {
            Self::Us => Scale::new("hp", 1.0 / (550.0 * FOOT_M * POUND_N), 0),
            Self::Si => Scale::new("kW", 1e-3, 0),
        }
    }
}

/// Energy, from J.
pub const ENERGY: Scale = Scale::new("kJ", 1e-3, 1);
/// Acceleration, from m/s².
pub const ACCELERATION: Scale = Scale::new("g", 1.0 / GRAVITY_MPS2, 2);
/// Rotational speed, from rad/s, to the nearest 10 rpm: no tachometer is read closer.
pub const ENGINE_SPEED: Scale = Scale { step: 10.0, ..Scale::new("rpm", RPM_PER_RADPS, 0) };
/// Time at a gate, from s.
pub const GATE_TIME: Scale = Scale::new("s", 1.0, 3);
/// Length of time, from s.
pub const SPAN: Scale = Scale::new("s", 1.0, 2);
/// Share, from 0 to 1.
pub const SHARE: Scale = Scale::new("%", 100.0, 0);
/// Density, from kg/m³.
pub const DENSITY: Scale = Scale::new("kg/m³", 1.0, 3);

/// A number with `decimals`, a dash if it is none, and no "-0".
#[must_use]
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return MISSING.to_owned();
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// A band of times, s.
#[must_use]
pub fn band(low_s: f64, high_s: f64) -> String {
    format!("{}–{}\u{a0}s", number(low_s, 2), number(high_s, 2))
}

/// A difference of times with its sign, s.
#[must_use]
pub fn time_difference(seconds: f64) -> String {
    let text = SPAN.text(seconds);
    if text.starts_with('−') || text.starts_with(MISSING) || text.starts_with("0.00") {
        text
    } else {
        format!("+{text}")
    }
}

/// A share in whole percent, from 0 to 1; one that would round to nothing says so.
#[must_use]
pub fn share(share: f64) -> String {
    if share > 0.0 && share < 0.01 { format!("under {}", SHARE.text(0.01)) } else { SHARE.text(share) }
}

/// How many of something: "no shifts", "1 shift", "4 shifts".
#[must_use]
pub fn count(n: usize, one: &str, many: &str) -> String {
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        _ => format!("{n} {many}"),
    }
}

/// A gate's name as people say it: the mile's fractions by name, the others as they are.
#[must_use]
pub fn gate_name(name: &str) -> &str {
    match name {
        "660 ft" => "1/8 mile",
        "1320 ft" => "1/4 mile",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Conversion factors: NIST SP 811 (2008), appendix B.8, from memory.
    #[test]
    fn each_scale_agrees_with_the_handbook_factor() {
        assert_eq!(Units::Us.speed().text(26.8224), "60.0\u{a0}mph");
        assert_eq!(Units::Si.speed().text(26.8224), "96.6\u{a0}km/h");
        assert_eq!(Units::Us.distance().text(402.336), "1320.0\u{a0}ft");
        assert_eq!(Units::Us.torque().text(1.355_817_948 * 225.0), "225\u{a0}lbf·ft");
        assert_eq!(Units::Us.force().text(4448.2216), "1000\u{a0}lbf");
        assert_eq!(Units::Si.force().text(4448.2216), "4.45\u{a0}kN");
        assert_eq!(Units::Us.temperature().text(100.0), "212\u{a0}°F");
        assert_eq!(Units::Us.temperature_difference().text(100.0), "180\u{a0}°F");
        assert_eq!(Units::Us.pressure().text(101_325.0), "29.92\u{a0}inHg");
        assert_eq!(Units::Us.power().text(745.699_872 * 300.0), "300\u{a0}hp");
        assert_eq!(Units::Us.mass().text(1478.710), "3260\u{a0}lb");
        assert_eq!(ENGINE_SPEED.text(6504.0 * std::f64::consts::PI / 30.0), "6500\u{a0}rpm");
        assert_eq!(ACCELERATION.text(9.80665), "1.00\u{a0}g");
        assert_eq!(SHARE.text(0.125), "12\u{a0}%");
    }

    #[test]
    fn what_is_no_number_is_a_dash_and_nothing_is_never_negative() {
        assert_eq!(number(f64::NAN, 2), MISSING);
        assert_eq!(Units::Us.speed().text(f64::INFINITY), MISSING);
        assert_eq!(GATE_TIME.text_or_dash(None), MISSING);
        assert_eq!(number(-0.0001, 2), "0.00");
        assert_eq!(number(-1.5, 1), "−1.5");
    }

    #[test]
    fn bands_differences_and_counts_read_as_people_write_them() {
        assert_eq!(band(4.553, 4.707), "4.55–4.71\u{a0}s");
        assert_eq!(time_difference(0.118), "+0.12\u{a0}s");
        assert_eq!(time_difference(-0.118), "−0.12\u{a0}s");
        assert_eq!(time_difference(0.001), "0.00\u{a0}s");
        assert_eq!(share(0.004), "under 1\u{a0}%");
        assert_eq!(share(0.0), "0\u{a0}%");
        assert_eq!(count(0, "shift", "shifts"), "no shifts");
        assert_eq!(count(1, "shift", "shifts"), "1 shift");
        assert_eq!(gate_name("1320 ft"), "1/4 mile");
        assert_eq!(gate_name("60 ft"), "60 ft");
    }
}
