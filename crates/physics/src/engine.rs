//! The engine: full-load and motoring torque, throttle, boost, limiter, idle and stall.

use crate::air::PowerStandard;
use crate::curve::Curve;
use crate::elementary::{larger, smaller};

/// An engine as its maker rates it, with what keeps it turning and what stops it.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// Brake torque at full load, N·m against rad/s, in the rating standard's air, boost fully built.
    pub full_load_nm: Curve,
    /// Torque at closed throttle without fuel.
    pub motoring: Motoring,
    /// Boost, for an engine whose full-load torque takes time to build.
    pub boost: Option<Boost>,
    /// Crankshaft, flywheel and clutch cover, kg·m².
    pub inertia_kgm2: f64,
    /// Speed that the idle control holds, rad/s.
    pub idle_radps: f64,
    /// Speed under which the engine stops by itself, rad/s.
    pub stall_radps: f64,
    /// Highest speed that the maker allows, rad/s: the red line of the tachometer. It limits what is planned, not what happens.
    pub redline_radps: f64,
    /// Fuel cut that protects the engine.
    pub limiter: Limiter,
    /// A second, lower fuel cut for standing starts.
    pub launch_limiter: Option<LaunchLimiter>,
    /// First-order lag from the throttle asked for to the torque's answer, s.
    pub throttle_lag_s: f64,
    /// The standard that the full-load curve was rated to.
    pub rated_to: PowerStandard,
    /// Share of the standard's air correction that this engine takes: 1 naturally aspirated, less with a
    /// wastegate that makes up for thin air.
    pub air_correction_share: f64,
}

/// Drag torque of the turning, unfuelled engine: `constant + linear ω + quadratic ω²`, as positive numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motoring {
    /// N·m.
    pub constant_nm: f64,
    /// N·m per rad/s.
    pub linear_nm_s: f64,
    /// N·m per (rad/s)².
    pub quadratic_nm_s2: f64,
}

/// Boost as a share, 0 (none) to 1 (all that the full-load curve has at that speed).
///
/// `d(boost)/dt = (load² - boost)/τ`, `τ = time_constant · reference speed / (speed · (0.25 + 0.75 load))`:
/// the target needs load (so revs held without load build next to none, and a throttle that is half open
/// builds a quarter), and the time constant falls with exhaust flow. First-order lag of turbocharger
/// spool is common practice; the load and flow laws are the model's, from memory.
#[derive(Debug, Clone, PartialEq)]
pub struct Boost {
    /// Brake torque at full load before any boost has built, N·m against rad/s.
    pub off_boost_nm: Curve,
    /// Time constant at `reference_radps` and full load, s.
    pub time_constant_s: f64,
    /// Engine speed at which the time constant was stated, rad/s.
    pub reference_radps: f64,
}

/// Fuel cut with hysteresis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limiter {
    /// Fuel is cut at this speed, rad/s.
    pub cut_radps: f64,
    /// Fuel comes back at this speed, rad/s; below `cut_radps`.
    pub resume_radps: f64,
}

/// A limiter that acts only until the car reaches a speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaunchLimiter {
    /// Its cut and resume speeds.
    pub limiter: Limiter,
    /// Road speed at which it lets go for good, m/s.
    pub until_mps: f64,
}

/// Pieces of the torque curves in which they were looked up last.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Near {
    full: usize,
    off_boost: usize,
}

impl Motoring {
    /// Torque that it takes to turn the engine at `speed_radps`, N·m, positive.
    #[inline]
    #[must_use]
    pub fn drag_nm(&self, speed_radps: f64) -> f64 {
        self.constant_nm + speed_radps * (self.linear_nm_s + speed_radps * self.quadratic_nm_s2)
    }
}

impl Boost {
    /// How far boost lags behind at `load` (0 to 1), rad/s: its rate of change times reference speed and time constant.
    #[inline]
    #[must_use]
    pub fn lag_radps(&self, boost: f64, load: f64, speed_radps: f64) -> f64 {
        let flow_radps = larger(speed_radps, 0.05 * self.reference_radps) * (0.25 + 0.75 * load);
        (load * load - boost) * flow_radps
    }

    /// Full-load torque without boost, N·m, which is never more than the `full` one with it; sought first where it was looked up last.
    #[inline(always)]
    fn off_boost_near(&self, speed_radps: f64, full: f64, near: &mut Near) -> f64 {
        smaller(self.off_boost_nm.value_near(speed_radps, &mut near.off_boost), full)
    }
}

impl Engine {
    /// Full-load brake torque, N·m, at `boost` (0 to 1) with the air's factor on torque.
    #[must_use]
    pub fn full_load_at(&self, speed_radps: f64, boost: f64, air_factor: f64) -> f64 {
        self.full_load_near(speed_radps, boost, air_factor, &mut Near::default())
    }

    /// The same, sought first where the curves were looked up last.
    #[inline(always)]
    pub(crate) fn full_load_near(&self, speed_radps: f64, boost: f64, air_factor: f64, near: &mut Near) -> f64 {
        let full = self.full_load_nm.value_near(speed_radps, &mut near.full);
        // Under idle an engine fills and burns badly: what is left of its torque falls to nothing at rest (from memory).
        let alive = if speed_radps >= self.idle_radps { 1.0 } else { (speed_radps / self.idle_radps).max(0.0) };
        air_factor
            * alive
            * match &self.boost {
                None => full,
                Some(b) => {
                    let off = b.off_boost_near(speed_radps, full, near);
                    off + boost * (full - off)
                }
            }
    }

    /// Share of full-load torque that `boost` of `b` still owes, sought first where the curves were looked up last.
    #[inline(never)]
    pub(crate) fn boost_shortfall(&self, b: &Boost, speed_radps: f64, boost: f64, mut near: Near) -> f64 {
        let full = self.full_load_nm.value_near(speed_radps, &mut near.full);
        let off = b.off_boost_near(speed_radps, full, &mut near);
        (1.0 - boost) * (full - off) / full.max(1.0)
    }

    /// Brake torque, N·m, at `throttle` from 0 (closed) to 1: a straight line between motoring and full load.
    #[inline]
    #[must_use]
    pub fn torque_nm(&self, speed_radps: f64, throttle: f64, boost: f64, air_factor: f64) -> f64 {
        let drag = self.motoring.drag_nm(speed_radps);
        throttle * (self.full_load_at(speed_radps, boost, air_factor) + drag) - drag
    }

    /// Throttle at which the unloaded engine keeps its speed.
    #[inline]
    #[must_use]
    pub fn holding_throttle(&self, speed_radps: f64, boost: f64, air_factor: f64) -> f64 {
        let drag = self.motoring.drag_nm(speed_radps);
        drag / (drag + self.full_load_at(speed_radps, boost, air_factor)).max(drag)
    }

    /// Least throttle that the idle control allows: enough to hold, and more as revs fall under idle.
    #[inline(always)]
    #[must_use]
    pub fn idle_throttle(&self, speed_radps: f64, boost: f64, air_factor: f64) -> f64 {
        if speed_radps >= 1.2 * self.idle_radps { 0.0 } else { self.throttle_near_idle(speed_radps, boost, air_factor) }
    }

    /// The same under 1.2 of idle speed; out of line, since few evaluations come here.
    #[inline(never)]
    fn throttle_near_idle(&self, speed_radps: f64, boost: f64, air_factor: f64) -> f64 {
        let below = (self.idle_radps - speed_radps) / self.idle_radps;
        (self.holding_throttle(speed_radps, boost, air_factor) * (1.0 + 5.0 * below) + 1.5 * below).clamp(0.0, 1.0)
    }
}
