//! What a column of a log can hold.

use serde::Serialize;

/// A quantity that a log may hold, with the unit in which it is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Channel {
    /// Time, s.
    Time,
    /// Road speed, m/s.
    Speed,
    /// Speed of a wheel's tread, m/s.
    WheelSpeed,
    /// Engine speed, rad/s.
    EngineSpeed,
    /// Throttle, 0 to 1.
    Throttle,
    /// Clutch pedal or switch, 0 to 1, as the log has it.
    Clutch,
    /// Longitudinal acceleration, m/s².
    Acceleration,
    /// Distance, m.
    Distance,
    /// Latitude, degrees, north positive.
    Latitude,
    /// Longitude, degrees, east positive.
    Longitude,
    /// Height, m.
    Height,
    /// Satellites in use.
    Satellites,
    /// Horizontal dilution of precision.
    Hdop,
    /// Gear as the log has it.
    Gear,
}

impl Channel {
    /// Number of channels.
    pub const COUNT: usize = 14;

    /// All of them; `Channel::ALL[c as usize] == c`.
    pub const ALL: [Self; Self::COUNT] = [
        Self::Time,
        Self::Speed,
        Self::WheelSpeed,
        Self::EngineSpeed,
        Self::Throttle,
        Self::Clutch,
        Self::Acceleration,
        Self::Distance,
        Self::Latitude,
        Self::Longitude,
        Self::Height,
        Self::Satellites,
        Self::Hdop,
        Self::Gear,
    ];

    /// Name by which a person assigns a column to it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Speed => "speed",
            Self::WheelSpeed => "wheel_speed",
            Self::EngineSpeed => "rpm",
            Self::Throttle => "throttle",
            Self::Clutch => "clutch",
            Self::Acceleration => "acceleration",
            Self::Distance => "distance",
            Self::Latitude => "latitude",
            Self::Longitude => "longitude",
            Self::Height => "height",
            Self::Satellites => "satellites",
            Self::Hdop => "hdop",
            Self::Gear => "gear",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_channel_stands_at_its_own_place() {
        for (place, channel) in Channel::ALL.iter().enumerate() {
            assert_eq!(*channel as usize, place, "{}", channel.name());
        }
    }
}
