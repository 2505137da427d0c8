//! Drivers by name: how late they feel, how quickly and steadily they move, how far they scatter, how long a shift takes them.
//!
//! Every number is from memory or common practice; a scenario can set each by its own key.

use crate::key::rpm;

/// A driver that a scenario can name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedDriver {
    /// The name.
    pub name: &'static str,
    /// Lag of felt slip, s. A person takes 0.2 to 0.4 s to answer something unexpected, 0.15 to 0.2 s to what they wait for.
    pub slip_lag_s: f64,
    /// Slip beyond which the throttle is trimmed.
    pub target_slip: f64,
    /// Fraction of the throttle taken back per unit of slip beyond that.
    pub trim_gain: f64,
    /// Lag of felt revs, s: heard, so sooner than slip.
    pub revs_lag_s: f64,
    /// Damping ratio of the revs that are kept.
    pub steadiness: f64,
    /// Time for a full stroke of a foot that answers, s: three to six strokes a second.
    pub foot_s: f64,
    /// Time of a shift over that of the car's gearbox.
    pub shift_time_factor: f64,
    /// How late a shift begins, s.
    pub shift_reaction_s: f64,
    /// Standard deviation of held and of kept revs, rad/s.
    pub revs_sd_radps: f64,
    /// Standard deviation of release and of throttle ease, s.
    pub time_sd_s: f64,
    /// Standard deviation of the throttle's lead over the bite, s.
    pub lead_sd_s: f64,
    /// Standard deviation of a part throttle.
    pub part_sd: f64,
    /// Standard deviation of the lag of felt slip, s.
    pub slip_lag_sd_s: f64,
    /// Standard deviation of the engine speed at shifts, rad/s.
    pub shift_sd_radps: f64,
    /// Standard deviation of the reaction at shifts, s.
    pub shift_reaction_sd_s: f64,
}

/// Every driver, in the order of their names' table.
pub static DRIVERS: [NamedDriver; 3] = [
    // Drives the car every day and has tried a few starts: is careful with clutch and tyres, and shifts without hurry.
    NamedDriver {
        name: "owner",
        slip_lag_s: 0.26,
        target_slip: 0.10,
        trim_gain: 1.0,
        revs_lag_s: 0.16,
        steadiness: 0.6,
        foot_s: 0.30,
        shift_time_factor: 1.25,
        shift_reaction_s: 0.15,
        revs_sd_radps: rpm(250.0),
        time_sd_s: 0.15,
        lead_sd_s: 0.08,
        part_sd: 0.06,
        slip_lag_sd_s: 0.05,
        shift_sd_radps: rpm(150.0),
        shift_reaction_sd_s: 0.05,
    },
    // Practises starts.
    NamedDriver {
        name: "keen",
        slip_lag_s: 0.20,
        target_slip: 0.15,
        trim_gain: 1.2,
        revs_lag_s: 0.12,
        steadiness: 0.7,
        foot_s: 0.25,
        shift_time_factor: 1.0,
        shift_reaction_s: 0.10,
        revs_sd_radps: rpm(150.0),
        time_sd_s: 0.10,
        lead_sd_s: 0.05,
        part_sd: 0.04,
        slip_lag_sd_s: 0.04,
        shift_sd_radps: rpm(80.0),
        shift_reaction_sd_s: 0.03,
    },
    // Does it for a living, and has the whole day.
    NamedDriver {
        name: "tester",
        slip_lag_s: 0.16,
        target_slip: 0.15,
        trim_gain: 1.3,
        revs_lag_s: 0.09,
        steadiness: 0.8,
        foot_s: 0.18,
        shift_time_factor: 0.70,
        shift_reaction_s: 0.06,
        revs_sd_radps: rpm(100.0),
        time_sd_s: 0.06,
        lead_sd_s: 0.03,
        part_sd: 0.03,
        slip_lag_sd_s: 0.03,
        shift_sd_radps: rpm(60.0),
        shift_reaction_sd_s: 0.02,
    },
];

/// The driver of that name; the keen one for a name that is not in the table.
pub(super) fn named(name: &str) -> &'static NamedDriver {
    DRIVERS.iter().find(|driver| driver.name == name).unwrap_or(&DRIVERS[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_of_the_key_has_its_driver_and_skill_grows_in_their_order() {
        let names: Vec<_> = DRIVERS.iter().map(|driver| driver.name).collect();
        assert_eq!(names, crate::scenario_keys::DRIVERS);
        for of in [
            |d: &NamedDriver| d.slip_lag_s,
            |d: &NamedDriver| d.revs_lag_s,
            |d: &NamedDriver| d.foot_s,
            |d: &NamedDriver| d.shift_time_factor,
            |d: &NamedDriver| d.revs_sd_radps,
            |d: &NamedDriver| d.time_sd_s,
        ] {
            assert!(DRIVERS.windows(2).all(|pair| of(&pair[1]) < of(&pair[0])));
        }
    }
}
