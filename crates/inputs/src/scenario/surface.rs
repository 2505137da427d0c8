//! Surfaces by name: what each does to a tyre's friction, slip stiffness and rolling resistance.

use crate::entry::Origin;

/// A surface that a scenario can name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedSurface {
    /// Its name.
    pub name: &'static str,
    /// Friction over that of the same tyre on dry asphalt.
    pub friction_scale: f64,
    /// One standard deviation of that, relative.
    pub friction_spread: f64,
    /// Slip stiffness over that on dry asphalt.
    pub slip_stiffness_scale: f64,
    /// Rolling resistance over that on dry asphalt.
    pub rolling_resistance_scale: f64,
    /// Where the friction comes from; the other two are from memory.
    pub origin: Origin,
    /// The rule, in one line.
    pub rule: &'static str,
}

const WONG: Origin = Origin::Published(
    "J. Y. Wong, Theory of Ground Vehicles, after J. J. Taborek: peak friction by surface (from memory)",
);

/// Every surface, in the order of their names' table.
///
/// Friction after Wong: dry asphalt 0.85 (0.8 to 0.9), wet 0.6 (0.5 to 0.7), gravel 0.6, packed snow 0.2, ice 0.1.
pub static SURFACES: [NamedSurface; 7] = [
    NamedSurface {
        name: "dry asphalt",
        friction_scale: 1.0,
        friction_spread: 0.05,
        slip_stiffness_scale: 1.0,
        rolling_resistance_scale: 1.0,
        origin: Origin::CommonPractice,
        rule: "dry asphalt: 1 by definition, 5 % from road to road",
    },
    NamedSurface {
        name: "damp asphalt",
        friction_scale: 0.82,
        friction_spread: 0.08,
        slip_stiffness_scale: 0.95,
        rolling_resistance_scale: 1.0,
        origin: Origin::FromMemory,
        rule: "damp asphalt: between dry and wet",
    },
    NamedSurface {
        name: "standing-water wet",
        friction_scale: 0.65,
        friction_spread: 0.12,
        slip_stiffness_scale: 0.85,
        rolling_resistance_scale: 1.15,
        origin: WONG,
        rule: "wet asphalt: 0.5 to 0.7 over 0.8 to 0.9, the lower half where water stands",
    },
    NamedSurface {
        name: "prepared strip",
        friction_scale: 1.25,
        friction_spread: 0.08,
        slip_stiffness_scale: 1.05,
        rolling_resistance_scale: 1.1,
        origin: Origin::CommonPractice,
        rule: "prepared strip with road tyres: a quarter over dry asphalt",
    },
    NamedSurface {
        name: "gravel",
        friction_scale: 0.70,
        friction_spread: 0.12,
        slip_stiffness_scale: 0.45,
        rolling_resistance_scale: 1.8,
        origin: WONG,
        rule: "gravel: 0.6 over 0.85",
    },
    NamedSurface {
        name: "packed snow",
        friction_scale: 0.24,
        friction_spread: 0.20,
        slip_stiffness_scale: 0.35,
        rolling_resistance_scale: 2.0,
        origin: WONG,
        rule: "packed snow: 0.2 over 0.85",
    },
    NamedSurface {
        name: "ice",
        friction_scale: 0.12,
        friction_spread: 0.30,
        slip_stiffness_scale: 0.35,
        rolling_resistance_scale: 1.0,
        origin: WONG,
        rule: "ice: 0.1 over 0.85",
    },
];

/// The surface of that name; dry asphalt for a name that is not in the table.
pub(super) fn named(name: &str) -> &'static NamedSurface {
    SURFACES.iter().find(|s| s.name == name).unwrap_or(&SURFACES[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_of_the_key_has_its_surface() {
        let names: Vec<_> = SURFACES.iter().map(|s| s.name).collect();
        assert_eq!(names, crate::scenario_keys::SURFACES);
    }

    /// J. Y. Wong, Theory of Ground Vehicles, after Taborek (from memory): peak friction 0.8-0.9 dry, 0.5-0.7 wet, gravel 0.6,
    /// packed snow 0.2, ice 0.1, as shares of dry.
    #[test]
    fn friction_lies_within_the_handbooks_ranges() {
        for (name, low, high) in [
            ("standing-water wet", 0.5 / 0.9, 0.7 / 0.8),
            ("gravel", 0.6 / 0.9, 0.6 / 0.8),
            ("packed snow", 0.2 / 0.9, 0.2 / 0.8),
            ("ice", 0.1 / 0.9, 0.1 / 0.8),
        ] {
            let scale = named(name).friction_scale;
            assert!((low..=high).contains(&scale), "{name}: {scale} is not within {low} to {high}");
        }
    }
}
