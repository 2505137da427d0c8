//! The tyre: Magic Formula along the car, load dependence, surface, relaxation and rolling.

use crate::elementary::{atan, exp, larger, smaller};
use crate::road::Surface;
use crate::shape::Shape;

/// One tyre with its wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Tyre {
    /// Rolling radius: rolling circumference over 2π, m.
    pub rolling_radius_m: f64,
    /// Wheel, tyre, brake disc and hub, kg·m², each.
    pub wheel_inertia_kgm2: f64,
    /// Longitudinal force against slip and load.
    pub magic_formula: MagicFormula,
    /// Distance rolled in which slip follows its cause by 63 %, m.
    pub relaxation_length_m: f64,
    /// Rolling resistance over load at walking pace.
    pub rolling_constant: f64,
    /// Its growth with the square of speed, per (m/s)².
    pub rolling_quadratic_s2_per_m2: f64,
}

/// Longitudinal Magic Formula without shifts.
///
/// H. B. Pacejka, Tyre and Vehicle Dynamics (Elsevier), chapter 4 on pure longitudinal slip; the names are the book's.
/// Camber and turn slip are not covered: the car goes straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagicFormula {
    /// Nominal load F_z0, N.
    pub nominal_load_n: f64,
    /// Shape C: sine of C·π/2 is sliding friction over peak friction.
    pub pcx1: f64,
    /// Friction at nominal load.
    pub pdx1: f64,
    /// Change of friction per relative load over nominal.
    pub pdx2: f64,
    /// Curvature E at nominal load.
    pub pex1: f64,
    /// Change of curvature with relative load.
    pub pex2: f64,
    /// Change of curvature with relative load squared.
    pub pex3: f64,
    /// Slip stiffness over load, at nominal load.
    pub pkx1: f64,
    /// Change of that with relative load.
    pub pkx2: f64,
    /// Exponential change of that with relative load.
    pub pkx3: f64,
    /// Fall of friction with sliding speed, s/m: friction is divided by 1 + this times the speed of the tread over the road.
    ///
    /// λ_μV / V_0 of the book's equation 4.E7 (third edition; from memory).
    pub sliding_fall_s_per_m: f64,
}

/// The Magic Formula's factors at one load on one surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlipCurve {
    /// Stiffness factor B.
    pub b: f64,
    /// Shape factor C.
    pub c: f64,
    /// Peak force D, N.
    pub d_n: f64,
    /// Curvature factor E.
    pub e: f64,
}

impl MagicFormula {
    /// Factors at `load_n` with the surface's scales on friction and slip stiffness.
    #[must_use]
    pub fn at(&self, load_n: f64, friction_scale: f64, stiffness_scale: f64) -> SlipCurve {
        OnSurface::new(self, friction_scale, stiffness_scale).at(load_n)
    }

    /// Peak friction coefficient at `load_n`.
    #[must_use]
    pub fn peak_friction(&self, load_n: f64, surface: &Surface) -> f64 {
        self.at(load_n, surface.friction_scale, surface.slip_stiffness_scale).d_n / load_n.max(1.0)
    }
}

/// The Magic Formula on one surface, with all that load does not change multiplied out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OnSurface {
    per_nominal_load: f64,
    /// Friction at nominal load, its change with relative load, and the least that is left.
    friction: [f64; 3],
    /// Slip stiffness over load in the same way, times the surface's scale over C.
    stiffness: [f64; 3],
    stiffness_exponent: f64,
    curvature: [f64; 3],
    sliding_fall: f64,
    c: f64,
}

impl OnSurface {
    pub(crate) fn new(tyre: &MagicFormula, friction_scale: f64, stiffness_scale: f64) -> Self {
        // A tyre does not gain friction without end as load goes away, nor lose all of it under a great load.
        let friction = [tyre.pdx1, tyre.pdx2, 0.2 * tyre.pdx1];
        let stiffness = [tyre.pkx1, tyre.pkx2, 0.2 * tyre.pkx1];
        Self {
            per_nominal_load: 1.0 / tyre.nominal_load_n,
            friction: friction.map(|value| value * friction_scale),
            stiffness: stiffness.map(|value| value * stiffness_scale / tyre.pcx1),
            stiffness_exponent: tyre.pkx3,
            curvature: [tyre.pex1, tyre.pex2, tyre.pex3],
            sliding_fall: tyre.sliding_fall_s_per_m,
            c: tyre.pcx1,
        }
    }

    /// What friction is divided by while the tread slides at `sliding_mps` over the road.
    #[inline(always)]
    pub(crate) fn fall(&self, sliding_mps: f64) -> f64 {
        1.0 + self.sliding_fall * sliding_mps.abs()
    }

    /// Factors at `load_n`, without sliding.
    #[inline(always)]
    pub(crate) fn at(&self, load_n: f64) -> SlipCurve {
        let load = larger(load_n, 1.0);
        let df = load * self.per_nominal_load - 1.0;
        let [friction, more, least] = self.friction;
        let friction = larger(friction + more * df, least);
        let [stiffness, more, least] = self.stiffness;
        let stiffness = larger(stiffness + more * df, least) * exp(self.stiffness_exponent * df);
        let [curvature, more, square] = self.curvature;
        let e = smaller(curvature + df * (more + df * square), 1.0);
        // B is slip stiffness over C D; load stands in both, and the division need not wait for the exponential.
        SlipCurve { b: stiffness * (1.0 / friction), c: self.c, d_n: friction * load, e }
    }
}

impl SlipCurve {
    /// The curve with friction divided by `fall`; slip stiffness stays.
    #[inline(always)]
    pub(crate) fn fallen(self, fall: f64) -> Self {
        Self { b: self.b * fall, d_n: self.d_n * (1.0 / fall), ..self }
    }

    /// The argument of the outer arctangent at `x = B slip`.
    #[inline(always)]
    fn inner(&self, x: f64) -> f64 {
        x - self.e * (x - atan(x))
    }

    /// Force at a slip ratio over the peak force, with the table of the outer function for this C.
    #[inline(always)]
    pub(crate) fn share(&self, shape: &Shape, slip: f64) -> f64 {
        shape.value(self.inner(self.b * slip))
    }

    /// The same with the derivative of the force, N per unit slip.
    #[inline(always)]
    pub(crate) fn share_and_slope(&self, shape: &Shape, slip: f64) -> (f64, f64) {
        let x = self.b * slip;
        let inner_slope = 1.0 - self.e * (1.0 - 1.0 / (1.0 + x * x));
        let (value, slope) = shape.value_and_slope(self.inner(x));
        (value, self.d_n * slope * inner_slope * self.b)
    }

    /// Force (N) and its derivative (N per unit slip) at a slip ratio.
    #[must_use]
    pub fn force_and_slope(&self, slip: f64) -> (f64, f64) {
        let x = self.b * slip;
        let inner = self.inner(x);
        let inner_slope = 1.0 - self.e * (1.0 - 1.0 / (1.0 + x * x));
        let (sine, cosine) = libm::sincos(self.c * libm::atan(inner));
        (self.d_n * sine, self.d_n * cosine * self.c * inner_slope * self.b / (1.0 + inner * inner))
    }

    /// Slip ratio at which the force is largest; infinite for a curve that only rises.
    #[must_use]
    pub fn peak_slip(&self) -> f64 {
        if self.c <= 1.0 {
            return f64::INFINITY;
        }
        // The peak is where x - E (x - atan x) reaches tan(π/2C): one root, found by bisection on a rising function.
        let target = libm::tan(core::f64::consts::FRAC_PI_2 / self.c);
        let inner = |x: f64| x - self.e * (x - atan(x));
        let mut high = target.max(1.0);
        while inner(high) < target {
            high *= 2.0;
            if high > 1e9 {
                return f64::INFINITY;
            }
        }
        let mut low = 0.0;
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if inner(middle) < target { low = middle } else { high = middle }
        }
        0.5 * (low + high) / self.b
    }
}

impl Tyre {
    /// Rolling resistance over load at `speed_mps`.
    #[inline]
    #[must_use]
    pub fn rolling_coefficient(&self, speed_mps: f64) -> f64 {
        self.rolling_constant + self.rolling_quadratic_s2_per_m2 * speed_mps * speed_mps
    }
}
