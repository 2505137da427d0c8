//! Which column holds what: header words and units to channels.

use serde::Serialize;

use crate::channel::Channel;
use crate::units;

/// A column that is read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Column {
    /// What it holds.
    pub channel: Channel,
    /// Its place, from 0.
    pub index: usize,
    /// Its name in the log.
    pub header: String,
    /// Its unit as the log or the map names it; empty if neither does.
    pub unit: String,
    /// Factor to the channel's own unit.
    pub factor: f64,
}

/// A header with its unit parted from its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Named {
    pub name: String,
    pub unit: Option<String>,
}

/// Parts "speed (km/h)", "v [m/s]" and the like. What stands in brackets need not be a unit.
pub(crate) fn part(header: &str) -> Named {
    let header = header.trim();
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}'), ('<', '>'), ('（', '）')] {
        if let (Some(from), true) = (header.rfind(open), header.ends_with(close)) {
            let unit = header[from + open.len_utf8()..header.len() - close.len_utf8()].trim();
            return Named { name: header[..from].trim().to_owned(), unit: Some(unit.to_owned()) };
        }
    }
    Named { name: header.to_owned(), unit: None }
}

/// Words of a name, lower case; "GPSSpeed", "gps_speed" and "GPS speed" have the same ones.
pub(crate) fn words(name: &str) -> Vec<String> {
    let characters: Vec<char> = name.chars().collect();
    let mut words = vec![String::new()];
    for (i, c) in characters.iter().enumerate() {
        if !c.is_alphanumeric() {
            words.push(String::new());
            continue;
        }
        let before = i.checked_sub(1).map(|j| characters[j]);
        let after = characters.get(i + 1);
        let rises = before.is_some_and(char::is_lowercase) && c.is_uppercase();
        let last_capital =
            before.is_some_and(char::is_uppercase) && c.is_uppercase() && after.is_some_and(|a| a.is_lowercase());
        if rises || last_capital {
            words.push(String::new());
        }
        if let Some(word) = words.last_mut() {
            word.extend(c.to_lowercase());
        }
    }
    words.retain(|w| !w.is_empty());
    words
}

/// Words by which a column is something derived, or something of another axis or part.
const OTHER_THINGS: [&str; 32] = [
    "lap",
    "sector",
    "predicted",
    "target",
    "limit",
    "max",
    "min",
    "avg",
    "average",
    "mean",
    "wind",
    "fan",
    "turbo",
    "turbine",
    "yaw",
    "steering",
    "accuracy",
    "error",
    "std",
    "sd",
    "heading",
    "course",
    "bearing",
    "cooling",
    "vertical",
    "lateral",
    "transverse",
    "down",
    "up",
    "delta",
    "uncertainty",
    "delay",
];

/// Words of a channel in the languages of which somebody knew them (from memory).
const SPEED: [&str; 18] = [
    "speed",
    "velocity",
    "vel",
    "spd",
    "vss",
    "sog",
    "gpsspeed",
    "geschwindigkeit",
    "fahrzeuggeschwindigkeit",
    "fahrgeschwindigkeit",
    "vitesse",
    "velocidad",
    "velocidade",
    "velocità",
    "snelheid",
    "hastighet",
    "hastighed",
    "prędkość",
];
const REVS: [&str; 14] = [
    "rpm",
    "revs",
    "enginespeed",
    "enginerpm",
    "drehzahl",
    "motordrehzahl",
    "régime",
    "régimen",
    "giri",
    "rotação",
    "toerental",
    "varvtal",
    "omdrejningstal",
    "obroty",
];
const ENGINE: [&str; 7] = ["engine", "motor", "crank", "crankshaft", "moteur", "motore", "silnika"];
const TIME: [&str; 17] = [
    "time",
    "timestamp",
    "elapsed",
    "utc",
    "clock",
    "datetime",
    "epoch",
    "zeit",
    "uhrzeit",
    "zeitstempel",
    "temps",
    "heure",
    "tiempo",
    "tempo",
    "tijd",
    "tid",
    "czas",
];
const THROTTLE: [&str; 11] = [
    "throttle",
    "tps",
    "accelerator",
    "gaspedal",
    "drosselklappe",
    "papillon",
    "accélérateur",
    "acelerador",
    "farfalla",
    "gaspedaal",
    "przepustnica",
];
const CLUTCH: [&str; 8] =
    ["clutch", "kupplung", "embrayage", "embrague", "embreagem", "frizione", "koppeling", "koppling"];

/// What a column of this name holds, and how well the name says so: of two columns the better named one is read.
pub(crate) fn classify(name: &str) -> Option<(Channel, u8)> {
    let words = words(name);
    let has = |word: &str| words.iter().any(|w| w == word);
    let any = |list: &[&str]| list.iter().any(|word| has(word));
    let alone = |list: &[&str]| words.len() == 1 && any(list);
    if any(&OTHER_THINGS) {
        return None;
    }
    let better = |yes: bool| u8::from(yes);
    let of_engine = any(&ENGINE);
    let is_speed = any(&SPEED);
    if any(&REVS) || of_engine && is_speed || alone(&["n"]) {
        return (!any(&["wheel", "shaft", "input", "output"])).then_some((Channel::EngineSpeed, 2 + better(of_engine)));
    }
    if any(&THROTTLE) {
        return Some((Channel::Throttle, 2));
    }
    if of_engine {
        return None;
    }
    if any(&CLUTCH) {
        return Some((Channel::Clutch, 2));
    }
    let forward = any(&["long", "longitudinal", "forward", "inline", "x", "fwd"]);
    let sideways = any(&["lat", "y", "z", "ay", "az", "side"]);
    let acceleration = any(&["acceleration", "accel", "acc", "accelerometer", "ax", "gforce", "beschleunigung"]);
    if acceleration || has("g") && forward {
        return (!sideways).then_some((Channel::Acceleration, 2 + better(forward)));
    }
    if any(&["distance", "dist", "odometer", "weg", "strecke"]) {
        return Some((Channel::Distance, 2));
    }
    if any(&["latitude", "breitengrad"]) || alone(&["lat"]) || has("lat") && has("gps") {
        return Some((Channel::Latitude, 2));
    }
    if any(&["longitude", "längengrad", "lng"]) || alone(&["lon", "long"]) || any(&["lon", "long"]) && has("gps") {
        return Some((Channel::Longitude, 2));
    }
    if any(&["altitude", "elevation", "height", "alt", "ele", "höhe"]) {
        return Some((Channel::Height, 2));
    }
    if any(&["satellites", "sats", "nsat", "satellite", "sat"]) {
        return Some((Channel::Satellites, 2));
    }
    if has("hdop") {
        return Some((Channel::Hdop, 2));
    }
    if alone(&["gear", "gang"]) || has("gear") && !any(&["ratio", "lever", "box"]) {
        return Some((Channel::Gear, 2));
    }
    if is_speed || alone(&["v"]) || units::factor(Channel::Speed, name).is_some() {
        if any(&["wheel", "front", "rear", "driven", "fl", "fr", "rl", "rr", "tyre", "tire"]) {
            return Some((Channel::WheelSpeed, 2 + better(any(&["driven"]))));
        }
        let measured = any(&["gps", "gnss", "ground", "satellite", "doppler"]);
        return Some((Channel::Speed, 2 + better(measured)));
    }
    if any(&TIME) || alone(&["t", "seconds", "sec", "s", "ms", "secs", "millis"]) {
        return Some((Channel::Time, 2 + better(any(&["elapsed", "time"]))));
    }
    None
}

/// Unit at the end of a name without brackets: "speed km/h", "GPS_kph", "time_ms", "speedKmh", "speed_km_h".
pub(crate) fn trailing_unit(channel: Channel, name: &str) -> Option<String> {
    let cut = |mark: fn(char) -> bool| name.rfind(mark).map(|at| name[at..].trim_start_matches(mark).to_owned());
    let words: Vec<String> = words(name).into_iter().filter(|w| w != "per").collect();
    let candidates = [
        cut(|c| c == ' ' || c == '_' || c == ','),
        cut(|c| matches!(c, ' ' | '_' | '/' | '-' | '.')),
        Some(name.trim().to_owned()),
        (words.len() > 2).then(|| words[words.len() - 2..].join("/")),
        words.last().cloned(),
    ];
    candidates.into_iter().flatten().find(|unit| !unit.is_empty() && units::factor(channel, unit).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn channel(header: &str) -> Option<Channel> {
        let named = part(header);
        classify(&named.name).map(|(c, _)| c)
    }

    #[test]
    fn columns_are_known_by_their_words() {
        for (header, expected) in [
            ("time (s)", Some(Channel::Time)),
            ("Timestamp", Some(Channel::Time)),
            ("Elapsed Time [ms]", Some(Channel::Time)),
            ("speed (mph)", Some(Channel::Speed)),
            ("v [m/s]", Some(Channel::Speed)),
            ("GPSSpeed", Some(Channel::Speed)),
            ("Vehicle speed km/h", Some(Channel::Speed)),
            ("engine speed (rpm)", Some(Channel::EngineSpeed)),
            ("RPM", Some(Channel::EngineSpeed)),
            ("acceleration, forward (g)", Some(Channel::Acceleration)),
            ("Longitudinal acceleration [m/s²]", Some(Channel::Acceleration)),
            ("lateral acceleration (g)", None),
            ("accelerator pedal (%)", Some(Channel::Throttle)),
            ("clutch switch", Some(Channel::Clutch)),
            ("distance (ft)", Some(Channel::Distance)),
            ("long", Some(Channel::Longitude)),
            ("latitude", Some(Channel::Latitude)),
            ("elevation (m)", Some(Channel::Height)),
            ("satellites", Some(Channel::Satellites)),
            ("HDOP", Some(Channel::Hdop)),
            ("rear wheel speed (km/h)", Some(Channel::WheelSpeed)),
            ("speedKmh", Some(Channel::Speed)),
            ("km/h", Some(Channel::Speed)),
            ("Fahrzeuggeschwindigkeit [km/h]", Some(Channel::Speed)),
            ("Régime moteur (tr/min)", Some(Channel::EngineSpeed)),
            ("Drosselklappe Motor (%)", Some(Channel::Throttle)),
            ("engine temperature", None),
            ("wind speed (m/s)", None),
            ("speed accuracy (m/s)", None),
            ("lap time", None),
            ("coolant temperature", None),
        ] {
            assert_eq!(channel(header), expected, "{header}");
        }
    }

    #[test]
    fn a_unit_is_found_in_brackets_or_at_the_end() {
        assert_eq!(part("speed (km/h)"), Named { name: "speed".to_owned(), unit: Some("km/h".to_owned()) });
        assert_eq!(part("v [m/s]").unit.as_deref(), Some("m/s"));
        assert_eq!(part("speed").unit, None);
        assert_eq!(trailing_unit(Channel::Speed, "GPS_kph").as_deref(), Some("kph"));
        assert_eq!(trailing_unit(Channel::Speed, "speed km/h").as_deref(), Some("km/h"));
        assert_eq!(trailing_unit(Channel::Time, "time_ms").as_deref(), Some("ms"));
        assert_eq!(trailing_unit(Channel::Speed, "mph").as_deref(), Some("mph"));
        assert_eq!(trailing_unit(Channel::Speed, "speedKmh").as_deref(), Some("kmh"));
        assert_eq!(trailing_unit(Channel::Speed, "speed_m_per_s").as_deref(), Some("m/s"));
        assert_eq!(part("速度（km/h）").unit.as_deref(), Some("km/h"));
        assert_eq!(trailing_unit(Channel::Speed, "speed"), None);
    }
}
