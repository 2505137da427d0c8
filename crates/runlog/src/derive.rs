//! Speed of a log that has positions and no speed.

use crate::channel::Channel;
use crate::log::Row;

/// Mean radius of the Earth, m (IUGG, R1 of the GRS80 ellipsoid).
const EARTH_M: f64 = 6_371_008.8;

/// Distance between two positions in degrees, m: the haversine formula on a sphere, within 0.5 % of the ellipsoid's.
pub(crate) fn distance_m(from: (f64, f64), to: (f64, f64)) -> f64 {
    let (lat_1, lat_2) = (from.0.to_radians(), to.0.to_radians());
    let half = |a: f64| (0.5 * a).sin().powi(2);
    let h = half(lat_2 - lat_1) + lat_1.cos() * lat_2.cos() * half((to.1 - from.1).to_radians());
    2.0 * EARTH_M * h.sqrt().min(1.0).asin()
}

/// Turns positions into speeds: the mean over each step, at its middle.
#[derive(Default)]
pub(crate) struct SpeedOfPosition {
    last: Option<Row>,
}

impl SpeedOfPosition {
    /// The row at the middle of the step that ends with `row`, if there is one.
    pub(crate) fn push(&mut self, row: Row) -> Option<Row> {
        let position = |r: &Row| (r.get(Channel::Latitude), r.get(Channel::Longitude));
        let (lat, lon) = position(&row);
        if !lat.is_finite() || !lon.is_finite() {
            return None;
        }
        let last = self.last.replace(row)?;
        let step_s = row.time_s() - last.time_s();
        // Over a hole the mean says nothing about the middle.
        if step_s <= 0.0 || step_s > 10.0 {
            return None;
        }
        let mut between = row;
        for (into, (a, b)) in between.values.iter_mut().zip(last.values.iter().zip(&row.values)) {
            *into = 0.5 * (a + b);
        }
        between.set(Channel::Speed, distance_m(position(&last), (lat, lon)) / step_s);
        Some(between)
    }

    pub(crate) fn restart(&mut self) {
        self.last = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One minute of latitude is the old definition of the nautical mile, 1852 m (now exact; the sphere's is 1853.25 m).
    #[test]
    fn a_minute_of_latitude_is_a_nautical_mile() {
        let minute_m = distance_m((50.0, 8.0), (50.0 + 1.0 / 60.0, 8.0));
        assert!((minute_m / 1852.0 - 1.0).abs() < 0.001, "{minute_m}");
        let along_m = distance_m((60.0, 8.0), (60.0, 8.0 + 1.0 / 60.0));
        assert!((along_m / 926.0 - 1.0).abs() < 0.002, "{along_m}");
    }
}
