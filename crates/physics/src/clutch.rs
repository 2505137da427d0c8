//! The clutch: clamp against pedal travel, friction against heat, and the two masses that heat up.

/// A dry friction clutch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clutch {
    /// Friction coefficient of a cool face.
    pub friction_coefficient: f64,
    /// Effective radius of the faces, m.
    pub effective_radius_m: f64,
    /// Number of friction faces (two for one disc).
    pub faces: f64,
    /// Clamp force with the pedal fully released, N.
    pub clamp_n: f64,
    /// Pedal position, 0 pressed to 1 released, at which the faces begin to touch.
    pub bite_point: f64,
    /// Pedal travel from first touch to full clamp, as a share of the whole travel.
    pub working_band: f64,
    /// Face temperature at which friction begins to fall, °C.
    pub fade_start_c: f64,
    /// Rise over `fade_start_c` at which friction is half-way to its floor, K.
    pub fade_span_k: f64,
    /// Share of cool friction that is left however hot the face.
    pub fade_floor: f64,
    /// Face temperature of lasting harm, °C.
    pub harm_c: f64,
    /// Heat capacity of the facing and the metal skins it rubs on, J/K.
    pub face_capacity_j_per_k: f64,
    /// Heat capacity of flywheel rim and pressure plate behind the skins, J/K.
    pub mass_capacity_j_per_k: f64,
    /// Conductance between face and mass, W/K.
    pub face_to_mass_w_per_k: f64,
    /// Conductance from mass to the air in the bell housing, W/K.
    pub mass_to_air_w_per_k: f64,
}

impl Clutch {
    /// Clamp as a share of full, at `pedal` from 0 (pressed) to 1 (released).
    ///
    /// A smooth S over the working band, as a diaphragm spring against a marcel (cushion) spring gives; common practice.
    #[inline]
    #[must_use]
    pub fn clamp_share(&self, pedal: f64) -> f64 {
        let beyond = pedal - self.bite_point;
        if beyond >= self.working_band {
            return 1.0;
        }
        let s = beyond.max(0.0) / self.working_band;
        s * s * (3.0 - 2.0 * s)
    }

    /// How far `pedal` is outside the working band, in widths of it: negative before the bite, positive after full clamp.
    #[inline]
    #[must_use]
    pub fn beyond_band(&self, pedal: f64) -> f64 {
        let s = (pedal - self.bite_point) / self.working_band;
        s - s.clamp(0.0, 1.0)
    }

    /// Friction left at a face temperature, as a share of that of the cool face.
    ///
    /// One until fade begins, then falling smoothly (with the square of the excess) to the floor.
    #[inline]
    #[must_use]
    pub fn fade(&self, face_c: f64) -> f64 {
        if face_c <= self.fade_start_c {
            return 1.0;
        }
        let excess = (face_c - self.fade_start_c) / self.fade_span_k;
        let excess_squared = excess * excess;
        (1.0 + self.fade_floor * excess_squared) / (1.0 + excess_squared)
    }

    /// Torque that a cool, fully clamped clutch can carry, N·m: μ · clamp · radius · faces.
    #[inline]
    #[must_use]
    pub fn full_capacity_nm(&self) -> f64 {
        self.friction_coefficient * self.clamp_n * self.effective_radius_m * self.faces
    }

    /// Torque that it can carry at this pedal position and face temperature, N·m.
    #[inline]
    #[must_use]
    pub fn capacity_nm(&self, pedal: f64, face_c: f64) -> f64 {
        self.full_capacity_nm() * self.clamp_share(pedal) * self.fade(face_c)
    }

    /// Heat that face and mass gain, W, with `slip_w` of friction power going in.
    #[inline]
    #[must_use]
    pub fn heating_w(&self, face_c: f64, mass_c: f64, air_c: f64, slip_w: f64) -> (f64, f64) {
        let through_w = self.face_to_mass_w_per_k * (face_c - mass_c);
        let lost_w = self.mass_to_air_w_per_k * (mass_c - air_c);
        (slip_w - through_w, through_w - lost_w)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(crate) fn sample() -> Clutch {
        Clutch {
            friction_coefficient: 0.3,
            effective_radius_m: 0.1,
            faces: 2.0,
            clamp_n: 7000.0,
            bite_point: 0.3,
            working_band: 0.4,
            fade_start_c: 250.0,
            fade_span_k: 200.0,
            fade_floor: 0.3,
            harm_c: 350.0,
            face_capacity_j_per_k: 800.0,
            mass_capacity_j_per_k: 4000.0,
            face_to_mass_w_per_k: 1500.0,
            mass_to_air_w_per_k: 10.0,
        }
    }

    #[test]
    fn it_carries_nothing_before_the_bite_and_all_after_the_band() {
        let clutch = sample();
        assert_eq!(clutch.capacity_nm(0.3, 20.0), 0.0);
        assert_eq!(clutch.capacity_nm(0.7, 20.0), 420.0);
        assert!((clutch.capacity_nm(0.5, 20.0) - 210.0).abs() < 1e-9);
    }

    #[test]
    fn fade_begins_where_it_is_said_to_and_never_passes_its_floor() {
        let clutch = sample();
        assert_eq!(clutch.fade(250.0), 1.0);
        assert!((clutch.fade(450.0) - 0.65).abs() < 1e-12);
        assert!(clutch.fade(1e6) > 0.3 && clutch.fade(1e6) < 0.301);
    }

    #[test]
    fn heat_that_goes_in_is_stored_or_lost() {
        let clutch = sample();
        let (face_w, mass_w) = clutch.heating_w(180.0, 90.0, 20.0, 40_000.0);
        assert!((face_w + mass_w + 10.0 * 70.0 - 40_000.0).abs() < 1e-6);
    }
}
