//! The matrix of the linearly implicit step: body, final drive, wind-up, wheels and slips, in closed form.
//!
//! Of the car's Jacobian only those entries are kept that make it stiff: the shafts' spring and damper, the tyres'
//! slip and carcass, the differentials' friction. Slips and wind-up are eliminated by hand, which leaves a small dense
//! system in road speed, final-drive speed and wheel speeds.

use crate::model::CARCASS_DAMPING_S;
use crate::model::state::{AXLE, SPEED, TWIST, WHEELS};

/// What the matrix is made of, at the last evaluation.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct StiffTerms {
    /// Number of wheel units.
    pub units: usize,
    pub unit: [UnitTerms; 4],
    pub mass_kg: f64,
    pub speed_mps: f64,
    /// N·m/rad and N·m·s/rad.
    pub shaft_stiffness: f64,
    pub shaft_damping: f64,
    /// One over the inertia that turns with the final drive, 1/(kg·m²).
    pub per_axle_inertia: f64,
    /// Friction of the differentials against speed difference, N·m·s/rad: centre, front, rear.
    pub friction: [f64; 3],
    /// Which of them are locked.
    pub locked: [bool; 3],
}

#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct UnitTerms {
    /// Share of the final drive's torque.
    pub share: f64,
    /// Weight in the speed difference rear less front.
    pub between_axles: f64,
    /// Weight in the speed difference right less left.
    pub between_sides: f64,
    pub rear: bool,
    pub radius_m: f64,
    pub inertia_kgm2: f64,
    pub relaxation_m: f64,
    /// Tyre force against slip, N.
    pub force_slope_n: f64,
    pub slip: f64,
}

/// Most unknowns that are left: road speed, final drive, four wheels.
const MOST: usize = 6;

/// The factored matrix.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Block {
    units: usize,
    per_d: f64,
    held: bool,
    spring_over_d: f64,
    per_axle_inertia: f64,
    mass_kg: f64,
    unit: [BlockUnit; 4],
    /// L below the diagonal (unit diagonal), U above it; the diagonal holds the inverses of U's.
    lu: [[f64; MOST]; MOST],
}

#[derive(Debug, Clone, Copy, Default)]
struct BlockUnit {
    share: f64,
    radius_m: f64,
    inertia_kgm2: f64,
    /// 1/(d + v/σ).
    slip_inverse: f64,
    /// Slip's answer to wheel and road speed, before `slip_inverse`.
    slip_by_wheel: f64,
    slip_by_speed: f64,
    /// Force per unit of slip's right-hand side, N.
    force_by_slip: f64,
}

impl Block {
    /// Factors `d I - A`.
    #[inline]
    pub(crate) fn new(terms: &StiffTerms, held: bool, d: f64) -> Self {
        let n = terms.units;
        let spring_over_d = terms.shaft_stiffness / d;
        let twist = spring_over_d + terms.shaft_damping;
        let speed = terms.speed_mps.max(0.0);
        let mut block = Self {
            units: n,
            per_d: 1.0 / d,
            held,
            spring_over_d,
            per_axle_inertia: terms.per_axle_inertia,
            mass_kg: terms.mass_kg,
            ..Self::default()
        };
        let a = &mut block.lu;
        a[0][0] = d;
        a[1][1] = d + terms.per_axle_inertia * twist;
        for u in 0..n {
            let t = &terms.unit[u];
            // Past its peak the tyre's slope is negative: a true instability, which is left to the explicit part.
            let slope = t.force_slope_n.max(0.0);
            let carcass = CARCASS_DAMPING_S / t.relaxation_m;
            let slip_inverse = 1.0 / (d + speed / t.relaxation_m);
            let slip_share = (1.0 - carcass * speed) * slip_inverse;
            let gain = slip_share / t.relaxation_m + carcass;
            let (by_wheel, by_speed) = (slope * t.radius_m * gain, slope * (1.0 + t.slip) * gain);
            block.unit[u] = BlockUnit {
                share: t.share,
                radius_m: t.radius_m,
                inertia_kgm2: t.inertia_kgm2,
                slip_inverse,
                slip_by_wheel: t.radius_m / t.relaxation_m,
                slip_by_speed: (1.0 + t.slip) / t.relaxation_m,
                force_by_slip: slope * slip_share,
            };
            if !held {
                a[0][0] += by_speed / terms.mass_kg;
                a[0][2 + u] = -by_wheel / terms.mass_kg;
            }
            a[1][2 + u] = -terms.per_axle_inertia * twist * t.share;
            a[2 + u][0] = -t.radius_m * by_speed;
            a[2 + u][1] = -t.share * twist;
            for w in 0..n {
                a[2 + u][2 + w] += t.share * twist * terms.unit[w].share;
            }
            a[2 + u][2 + u] += d * t.inertia_kgm2 + t.radius_m * by_wheel;
        }
        if n > 1 {
            couple(a, terms, d);
        }
        factor(a, n + 2);
        block
    }

    /// Replaces `r` by the solution of `(d I - A) u = r`; states outside the block are divided by `d`.
    #[inline]
    pub(crate) fn solve<const N: usize>(&self, r: &mut [f64; N]) {
        let n = (N - WHEELS) / 2;
        debug_assert_eq!(n, self.units);
        let mut x = [0.0; MOST];
        let wound = self.spring_over_d * r[TWIST];
        x[0] = r[SPEED];
        x[1] = r[AXLE] - self.per_axle_inertia * wound;
        for u in 0..n {
            let unit = &self.unit[u];
            let force = unit.force_by_slip * r[WHEELS + 2 * u + 1];
            if !self.held {
                x[0] += force / self.mass_kg;
            }
            x[2 + u] = unit.inertia_kgm2 * r[WHEELS + 2 * u] + unit.share * wound - unit.radius_m * force;
        }
        for i in 1..n + 2 {
            for j in 0..i {
                x[i] -= self.lu[i][j] * x[j];
            }
        }
        for i in (0..n + 2).rev() {
            for j in i + 1..n + 2 {
                x[i] -= self.lu[i][j] * x[j];
            }
            x[i] *= self.lu[i][i];
        }
        let mut output = 0.0;
        for u in 0..n {
            output += self.unit[u].share * x[2 + u];
        }
        let twist = (r[TWIST] + x[1] - output) * self.per_d;
        for value in r.iter_mut() {
            *value *= self.per_d;
        }
        (r[SPEED], r[AXLE], r[TWIST]) = (x[0], x[1], twist);
        for u in 0..n {
            let unit = &self.unit[u];
            // `r` has been divided by d; slip's own right-hand side is wanted whole.
            let slip = r[WHEELS + 2 * u + 1] / self.per_d;
            r[WHEELS + 2 * u] = x[2 + u];
            r[WHEELS + 2 * u + 1] =
                unit.slip_inverse * (slip + unit.slip_by_wheel * x[2 + u] - unit.slip_by_speed * x[0]);
        }
    }
}

/// Adds the friction of the differentials; a locked one is a friction so large that both outputs move as one.
fn couple(a: &mut [[f64; MOST]; MOST], terms: &StiffTerms, d: f64) {
    let n = terms.units;
    let rigid = 1e8 * d * terms.unit[0].inertia_kgm2;
    let strength = |i: usize| if terms.locked[i] { rigid } else { terms.friction[i] };
    for u in 0..n {
        for w in 0..n {
            let (one, other) = (&terms.unit[u], &terms.unit[w]);
            a[2 + u][2 + w] += strength(0) * one.between_axles * other.between_axles;
            if one.rear == other.rear {
                a[2 + u][2 + w] += strength(1 + usize::from(one.rear)) * one.between_sides * other.between_sides;
            }
        }
    }
}

/// LU without pivoting: with negative slopes left out, the matrix is that of masses on springs and dampers.
#[inline]
fn factor(a: &mut [[f64; MOST]; MOST], n: usize) {
    for k in 0..n {
        let inverse = 1.0 / a[k][k];
        a[k][k] = inverse;
        let pivot = a[k];
        for row in &mut a[k + 1..n] {
            let share = row[k] * inverse;
            row[k] = share;
            for (entry, above) in row[k + 1..n].iter_mut().zip(&pivot[k + 1..n]) {
                *entry -= share * above;
            }
        }
    }
}
