//! From the final drive to the wheels: torsion, lash, differentials, and which axles are driven.

use crate::elementary::smaller;

/// Driveline between final drive and wheels.
#[derive(Debug, Clone, PartialEq)]
pub struct Driveline {
    /// Which axles are driven.
    pub layout: Layout,
    /// All shafts in series and parallel as one torsion spring at axle speed, N·m/rad.
    pub stiffness_nm_per_rad: f64,
    /// Damping of that torsion, N·m·s/rad.
    pub damping_nm_s_per_rad: f64,
    /// Free play from one flank to the other, at axle speed, rad.
    pub lash_rad: f64,
    /// Differential of the front axle, where it is driven.
    pub front_differential: Differential,
    /// Differential of the rear axle, where it is driven.
    pub rear_differential: Differential,
    /// A solid driven rear axle that hangs on the propshaft's torque reaction.
    pub solid_rear_axle: Option<SolidAxle>,
}

/// Which axles are driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Layout {
    /// Front axle alone.
    Front,
    /// Rear axle alone.
    Rear,
    /// Both, through a centre differential that gives the front axle `front_share` of the torque while it turns freely.
    All {
        /// Share of torque to the front axle, 0 to 1.
        front_share: f64,
        /// Centre differential.
        centre: Differential,
    },
}

/// A differential between two outputs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Differential {
    /// Equal (or split-ratio) torque to both outputs, whatever their speeds.
    Open,
    /// Friction between the outputs: `preload + (bias - 1)/(bias + 1) · |torque in|` at most, from the faster to the slower.
    LimitedSlip {
        /// Friction torque with no load, N·m.
        preload_nm: f64,
        /// Largest ratio of the two output torques under load; 1 is open.
        bias_ratio: f64,
    },
    /// Both outputs at one speed.
    Locked,
}

/// What a solid axle needs beyond a differential.
///
/// The propshaft's torque rolls the axle against the body: the right wheel loses, and the left gains,
/// `propshaft torque / track · front share of roll stiffness`
/// (T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidAxle {
    /// Distance between wheel centre planes, m.
    pub track_m: f64,
    /// Front roll stiffness over that of both axles.
    pub front_roll_stiffness_share: f64,
}

/// Width of the rounding at each flank of the lash, rad: real flanks meet through oil and small bends.
const FLANK_ROUNDING_RAD: f64 = 1e-3;

impl Driveline {
    /// Twist beyond the lash (rad, signed) and how fully the flanks are in touch (0 to 1), at wind-up `twist_rad`.
    #[inline]
    #[must_use]
    pub fn engaged_twist(&self, twist_rad: f64) -> (f64, f64) {
        let half = 0.5 * self.lash_rad;
        let (right, left) = (twist_rad - half, -twist_rad - half);
        let right_root = (right * right + FLANK_ROUNDING_RAD * FLANK_ROUNDING_RAD).sqrt();
        let left_root = (left * left + FLANK_ROUNDING_RAD * FLANK_ROUNDING_RAD).sqrt();
        let twist = 0.5 * ((right + right_root) - (left + left_root));
        let touch = 0.5 * (2.0 + right / right_root + left / left_root);
        (twist, touch)
    }

    /// Longest step at a wind-up and its rate that looks before it leaps: to just before the next flank, or through a
    /// rounded one in a few steps, s. A flank met in the middle of a long step costs several refused ones.
    #[inline]
    #[must_use]
    pub(crate) fn step_to_flank_s(&self, twist_rad: f64, rate_radps: f64) -> f64 {
        /// Half of what counts as a flank, in widths of its rounding, and a step within it.
        const ZONE: f64 = 3.0;
        let at = if rate_radps > 0.0 { twist_rad } else { -twist_rad };
        let half = 0.5 * self.lash_rad;
        let mut travel = f64::INFINITY;
        for flank in [-half, half] {
            let ahead = flank - at;
            if ahead > ZONE * FLANK_ROUNDING_RAD {
                travel = smaller(travel, ahead - 0.5 * ZONE * FLANK_ROUNDING_RAD);
            } else if ahead > -ZONE * FLANK_ROUNDING_RAD {
                travel = smaller(travel, ZONE * FLANK_ROUNDING_RAD);
            }
        }
        travel / rate_radps.abs()
    }

    /// Energy stored in the wound-up shafts, J: the integral of spring torque over wind-up.
    #[must_use]
    pub fn stored_j(&self, twist_rad: f64) -> f64 {
        let half = 0.5 * self.lash_rad;
        let from_flank = |u: f64| {
            let eps = FLANK_ROUNDING_RAD;
            let root = (u * u + eps * eps).sqrt();
            0.5 * (0.5 * u * root + 0.5 * eps * eps * libm::asinh(u / eps) + 0.5 * u * u)
        };
        let stored = |x: f64| from_flank(x - half) + from_flank(-x - half);
        self.stiffness_nm_per_rad * (stored(twist_rad) - stored(0.0))
    }
}

impl Differential {
    /// Most friction torque between the outputs, N·m, with `input_nm` going in; none when open.
    #[inline]
    #[must_use]
    pub fn friction_capacity_nm(&self, input_nm: f64) -> f64 {
        match *self {
            Self::Open | Self::Locked => 0.0,
            Self::LimitedSlip { preload_nm, bias_ratio } => {
                preload_nm + (bias_ratio - 1.0) / (bias_ratio + 1.0) * input_nm.abs()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Driveline {
        Driveline {
            layout: Layout::Rear,
            stiffness_nm_per_rad: 9000.0,
            damping_nm_s_per_rad: 60.0,
            lash_rad: 0.02,
            front_differential: Differential::Open,
            rear_differential: Differential::Open,
            solid_rear_axle: None,
        }
    }

    #[test]
    fn lash_carries_nothing_and_beyond_it_the_spring_is_linear() {
        let driveline = sample();
        assert!(driveline.engaged_twist(0.0).0.abs() < 1e-12);
        assert!(driveline.engaged_twist(0.0).1 < 0.01);
        let (twist, touch) = driveline.engaged_twist(0.11);
        assert!((twist - 0.10).abs() < 1e-5 && touch > 0.999_9);
        let (back, _) = driveline.engaged_twist(-0.11);
        assert!((back + twist).abs() < 1e-15);
    }

    #[test]
    fn stored_energy_is_the_integral_of_the_spring_torque() {
        let driveline = sample();
        let steps = 20_000;
        let to = 0.1;
        let mut sum = 0.0;
        for i in 0..steps {
            let x = to * (f64::from(i) + 0.5) / f64::from(steps);
            sum += driveline.stiffness_nm_per_rad * driveline.engaged_twist(x).0 * to / f64::from(steps);
        }
        assert!((driveline.stored_j(to) - sum).abs() < 1e-5 * sum);
        assert!((driveline.stored_j(-to) - driveline.stored_j(to)).abs() < 1e-9);
    }

    #[test]
    fn a_step_ends_before_the_flank_that_lies_ahead() {
        let driveline = sample();
        assert!((driveline.step_to_flank_s(0.0, 2.0) - 0.004_25).abs() < 1e-12);
        assert!((driveline.step_to_flank_s(0.0, -2.0) - 0.004_25).abs() < 1e-12);
        assert!((driveline.step_to_flank_s(0.05, -1.0) - 0.038_5).abs() < 1e-12);
        assert!((driveline.step_to_flank_s(0.01, 4.0) - 0.000_75).abs() < 1e-12);
        assert_eq!(driveline.step_to_flank_s(0.05, 1.0), f64::INFINITY);
        assert!(driveline.step_to_flank_s(0.05, 0.0) > 1e9);
    }

    #[test]
    fn bias_ratio_is_the_ratio_of_output_torques() {
        let slip = Differential::LimitedSlip { preload_nm: 0.0, bias_ratio: 3.0 };
        let friction = slip.friction_capacity_nm(1000.0);
        let (slow, fast) = (500.0 + 0.5 * friction, 500.0 - 0.5 * friction);
        assert!((slow / fast - 3.0).abs() < 1e-12);
    }
}
