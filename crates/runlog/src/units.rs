//! Units of a log's channels: those of `inputs::quantity`, and the few that only logs have.

use bitepoint_inputs::quantity::Dimension;

use crate::channel::Channel;

/// Standard gravity, m/s² (exact by definition, ISO 80000-3).
pub(crate) const GRAVITY_MPS2: f64 = 9.806_65;
/// Knot, m/s (1852 m an hour, exact by definition).
const KNOT_MPS: f64 = 1852.0 / 3600.0;

/// Spellings that are taken beside those of quantities, lower case without spaces.
const KNOTS: [&str; 5] = ["kn", "kt", "kts", "knot", "knots"];
const GRAVITIES: [&str; 4] = ["g", "gs", "g's", "gn"];
const METRES_PER_SECOND_SQUARED: [&str; 7] = ["m/s2", "m/s²", "m/s^2", "m/s/s", "ms-2", "mps2", "m·s⁻²"];
const FEET_PER_SECOND_SQUARED: [&str; 4] = ["ft/s2", "ft/s²", "ft/s^2", "ft/s/s"];

/// Factor from the unit, as written in a log, to the channel's own; nothing if it is no unit of this channel.
pub(crate) fn factor(channel: Channel, unit: &str) -> Option<f64> {
    let folded: String = unit.to_lowercase().split_whitespace().collect();
    if folded.is_empty() {
        return None;
    }
    let one_of = |spellings: &[&str]| spellings.contains(&folded.as_str());
    let quantity = |dimension: Dimension| dimension.parse(&format!("1 {unit}")).ok();
    match channel {
        Channel::Time => match folded.as_str() {
            "us" | "µs" | "μs" => Some(1e-6),
            "ns" => Some(1e-9),
            "h" | "hr" | "hours" => Some(3600.0),
            "msec" | "millis" | "milliseconds" => Some(1e-3),
            _ => quantity(Dimension::Time),
        },
        Channel::Speed | Channel::WheelSpeed => match folded.as_str() {
            "mps" => Some(1.0),
            "km/hr" | "kmph" | "km/u" | "km/t" | "km/std" => quantity_factor(Dimension::Speed, "km/h"),
            _ if one_of(&KNOTS) => Some(KNOT_MPS),
            _ => quantity(Dimension::Speed),
        },
        Channel::EngineSpeed => match folded.as_str() {
            "u/min" | "min-1" | "revs" | "rev/min" | "r/min" | "tr/min" | "giri/min" | "tpm" | "varv/min"
            | "obr/min" => quantity_factor(Dimension::AngularSpeed, "rpm"),
            _ => quantity(Dimension::AngularSpeed),
        },
        Channel::Throttle | Channel::Clutch => match folded.as_str() {
            "-" | "1" | "0-1" | "0..1" | "share" => Some(1.0),
            "pct" | "0-100" => Some(0.01),
            _ => quantity(Dimension::Ratio),
        },
        Channel::Acceleration => {
            if one_of(&GRAVITIES) {
                Some(GRAVITY_MPS2)
            } else if one_of(&METRES_PER_SECOND_SQUARED) {
                Some(1.0)
            } else {
                one_of(&FEET_PER_SECOND_SQUARED).then_some(0.3048)
            }
        }
        Channel::Distance | Channel::Height => match folded.as_str() {
            "metres" | "meters" | "metre" | "meter" => Some(1.0),
            _ => quantity(Dimension::Length),
        },
        Channel::Latitude | Channel::Longitude => match folded.as_str() {
            "deg" | "°" | "degree" | "degrees" => Some(1.0),
            "rad" => Some(180.0 / core::f64::consts::PI),
            _ => None,
        },
        Channel::Satellites | Channel::Hdop | Channel::Gear => None,
    }
}

fn quantity_factor(dimension: Dimension, unit: &str) -> Option<f64> {
    dimension.parse(&format!("1 {unit}")).ok()
}

/// Factor of a channel whose column names no unit; nothing where a guess would be one of several.
pub(crate) fn factor_without_unit(channel: Channel) -> Option<f64> {
    match channel {
        Channel::Time
        | Channel::Latitude
        | Channel::Longitude
        | Channel::Satellites
        | Channel::Hdop
        | Channel::Gear => Some(1.0),
        // Shares stay as they are until their largest value tells per cent from parts of one.
        Channel::Throttle | Channel::Clutch => Some(1.0),
        Channel::EngineSpeed => quantity_factor(Dimension::AngularSpeed, "rpm"),
        Channel::Speed | Channel::WheelSpeed | Channel::Acceleration | Channel::Distance | Channel::Height => None,
    }
}

/// Units that are taken for a channel, as people list them.
pub(crate) fn accepted(channel: Channel) -> String {
    match channel {
        Channel::Time => "s, ms, min, hh:mm:ss.sss or ISO 8601".to_owned(),
        Channel::Speed | Channel::WheelSpeed => format!("{}, kn", Dimension::Speed.units_taken()),
        Channel::EngineSpeed => Dimension::AngularSpeed.units_taken(),
        Channel::Throttle | Channel::Clutch => "% or 0-1".to_owned(),
        Channel::Acceleration => "g, m/s², ft/s²".to_owned(),
        Channel::Distance | Channel::Height => Dimension::Length.units_taken(),
        Channel::Latitude | Channel::Longitude => "deg".to_owned(),
        Channel::Satellites | Channel::Hdop | Channel::Gear => "no unit".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811 (2008), appendix B.8: 1 knot = 5.144444 E-01 m/s; 1 mph = 4.4704 E-01; gn = 9.80665 E+00.
    #[test]
    fn units_of_logs_are_those_of_nist_sp_811() {
        for (channel, unit, expected, within) in [
            (Channel::Speed, "kn", 0.514_444_4, 5e-8),
            (Channel::Speed, "knots", 0.514_444_4, 5e-8),
            (Channel::Speed, "mph", 0.447_04, 1e-12),
            (Channel::Speed, "KPH", 0.277_777_8, 5e-8),
            (Channel::Speed, "m/s", 1.0, 0.0),
            (Channel::Acceleration, "g", 9.806_65, 0.0),
            (Channel::Acceleration, "m/s^2", 1.0, 0.0),
            (Channel::EngineSpeed, "rpm", 0.104_719_8, 5e-8),
            (Channel::Throttle, "%", 0.01, 1e-15),
            (Channel::Distance, "ft", 0.3048, 1e-12),
            (Channel::Time, "ms", 0.001, 1e-15),
        ] {
            let read = factor(channel, unit).expect(unit);
            assert!((read - expected).abs() <= within, "{unit}: {read}");
        }
    }

    #[test]
    fn a_unit_of_another_channel_is_none_of_this_one() {
        assert_eq!(factor(Channel::Speed, "rpm"), None);
        assert_eq!(factor(Channel::Acceleration, "mph"), None);
        assert_eq!(factor_without_unit(Channel::Speed), None);
    }
}
