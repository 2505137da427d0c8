//! The matrix of the linearly implicit step: body, final drive, wind-up, wheels and slips, in closed form.
//!
//! Of the car's Jacobian only those entries are kept that make it stiff: the shafts' spring and damper, the tyres'
//! slip and carcass, the differentials' friction. Slips and wind-up are eliminated by hand, which leaves a small system
//! in road speed, final-drive speed and wheel speeds.

#![allow(clippy::needless_range_loop, reason = "rows and columns of a matrix of which only a part is in use")]

use crate::model::CARCASS_DAMPING_S;
use crate::model::state::{AXLE, IMPLICIT, SPEED, TWIST, WHEELS};

/// What the matrix is made of, at the last evaluation.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct StiffTerms {
    pub unit: [UnitTerms; 4],
    /// One over the mass, 1/kg.
    pub per_mass: f64,
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
    /// One over the relaxation length, 1/m.
    pub per_relaxation: f64,
    /// Tyre force against slip, N.
    pub force_slope_n: f64,
    pub slip: f64,
}

/// The factored matrix. Only as many entries of each array are in use as there are wheel units.
///
/// What is left after slips and wind-up are eliminated is an arrow: wheels with each other, and road speed and final
/// drive with every wheel but not with one another. The two are eliminated next, which leaves the wheels alone.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Block {
    per_d: f64,
    /// One over the mass; zero while the car is held, which then does not feel its tyres.
    per_mass: f64,
    spring_over_d: f64,
    per_axle_inertia: f64,
    /// One over the diagonal entries of road speed and final drive.
    per_speed: f64,
    per_axle: f64,
    unit: [BlockUnit; 4],
    /// L below the diagonal (unit diagonal), U above it; the diagonal holds the inverses of U's.
    wheels: [[f64; 4]; 4],
    /// Columns of the inverse, for a single unit. For two it was measured to cost a fifth of the speed.
    inverse: [[f64; SINGLE]; SINGLE],
}

/// Stiff states with a single unit: road speed, final drive, wind-up, wheel, slip.
const SINGLE: usize = 5;
/// The order in which they become known in a stage: wheel and road speed last, since they wait for the tyres.
const KNOWN: [usize; SINGLE] = [1, 2, 4, 3, 0];

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
    /// Entries of road speed's row and column at this wheel, and the final drive's.
    speed_row: f64,
    speed_column: f64,
    axle_row: f64,
    axle_column: f64,
}

impl Block {
    /// Factors `d I - A` for `n` units.
    #[inline(always)]
    pub(crate) fn factor(&mut self, n: usize, terms: &StiffTerms, held: bool, d: f64) {
        let per_d = 1.0 / d;
        let spring_over_d = terms.shaft_stiffness * per_d;
        let twist = spring_over_d + terms.shaft_damping;
        let speed = terms.speed_mps.max(0.0);
        self.per_d = per_d;
        self.per_mass = if held { 0.0 } else { terms.per_mass };
        self.spring_over_d = spring_over_d;
        self.per_axle_inertia = terms.per_axle_inertia;
        self.per_axle = 1.0 / (d + terms.per_axle_inertia * twist);
        let mut speed_diagonal = d;
        for u in 0..n {
            let t = &terms.unit[u];
            // Past its peak the tyre's slope is negative: a true instability, which is left to the explicit part.
            let slope = t.force_slope_n.max(0.0);
            let carcass = CARCASS_DAMPING_S * t.per_relaxation;
            let slip_inverse = 1.0 / (d + speed * t.per_relaxation);
            let slip_share = (1.0 - carcass * speed) * slip_inverse;
            let gain = slip_share * t.per_relaxation + carcass;
            let (by_wheel, by_speed) = (slope * t.radius_m * gain, slope * (1.0 + t.slip) * gain);
            speed_diagonal += by_speed * self.per_mass;
            self.unit[u] = BlockUnit {
                share: t.share,
                radius_m: t.radius_m,
                inertia_kgm2: t.inertia_kgm2,
                slip_inverse,
                slip_by_wheel: t.radius_m * t.per_relaxation,
                slip_by_speed: (1.0 + t.slip) * t.per_relaxation,
                force_by_slip: slope * slip_share,
                speed_row: -by_wheel * self.per_mass,
                speed_column: -t.radius_m * by_speed,
                axle_row: -terms.per_axle_inertia * twist * t.share,
                axle_column: -t.share * twist,
            };
            self.wheels[u][u] = d * t.inertia_kgm2 + t.radius_m * by_wheel;
        }
        self.per_speed = 1.0 / speed_diagonal;
        for u in 0..n {
            for w in 0..n {
                let (row, column) = (&self.unit[u], &self.unit[w]);
                let entry = row.share * twist * column.share
                    - row.speed_column * self.per_speed * column.speed_row
                    - row.axle_column * self.per_axle * column.axle_row;
                self.wheels[u][w] = entry + if u == w { self.wheels[u][u] } else { 0.0 };
            }
        }
        if n > 1 {
            couple(&mut self.wheels, n, terms, d);
        }
        factor(&mut self.wheels, n);
        if n == 1 {
            self.invert();
        }
    }

    /// Forms the inverse from solutions for unit vectors. Every stage waits for its solution, and a product with the
    /// inverse takes a third of the time from end to end that elimination takes.
    #[inline(always)]
    fn invert(&mut self) {
        for column in 0..SINGLE {
            let mut unit = [0.0; IMPLICIT + SINGLE];
            unit[IMPLICIT + column] = 1.0;
            self.eliminate(1, &mut unit);
            self.inverse[column].copy_from_slice(&unit[IMPLICIT..]);
        }
    }

    /// Replaces the stiff states of `r` by the solution of `(d I - A) u = r` for `n` units.
    #[inline(always)]
    pub(crate) fn solve<const N: usize>(&self, n: usize, r: &mut [f64; N]) {
        if n > 1 {
            return self.eliminate(n, r);
        }
        let mut u = [0.0; SINGLE];
        for column in KNOWN {
            for row in 0..SINGLE {
                u[row] += self.inverse[column][row] * r[IMPLICIT + column];
            }
        }
        r[IMPLICIT..IMPLICIT + SINGLE].copy_from_slice(&u);
    }

    #[inline(always)]
    fn eliminate<const N: usize>(&self, n: usize, r: &mut [f64; N]) {
        let wound = self.spring_over_d * r[TWIST];
        let mut speed = r[SPEED];
        let mut axle = r[AXLE] - self.per_axle_inertia * wound;
        let mut wheel = [0.0; 4];
        for u in 0..n {
            let unit = &self.unit[u];
            let force = unit.force_by_slip * r[WHEELS + 2 * u + 1];
            speed += force * self.per_mass;
            wheel[u] = unit.inertia_kgm2 * r[WHEELS + 2 * u] + unit.share * wound - unit.radius_m * force;
        }
        speed *= self.per_speed;
        axle *= self.per_axle;
        for u in 0..n {
            wheel[u] -= self.unit[u].speed_column * speed + self.unit[u].axle_column * axle;
        }
        for i in 1..n {
            for j in 0..i {
                wheel[i] -= self.wheels[i][j] * wheel[j];
            }
        }
        for i in (0..n).rev() {
            for j in i + 1..n {
                wheel[i] -= self.wheels[i][j] * wheel[j];
            }
            wheel[i] *= self.wheels[i][i];
        }
        let (mut by_speed, mut by_axle, mut output) = (0.0, 0.0, 0.0);
        for u in 0..n {
            by_speed += self.unit[u].speed_row * wheel[u];
            by_axle += self.unit[u].axle_row * wheel[u];
            output += self.unit[u].share * wheel[u];
        }
        speed -= self.per_speed * by_speed;
        axle -= self.per_axle * by_axle;
        r[SPEED] = speed;
        r[AXLE] = axle;
        r[TWIST] = (r[TWIST] + axle - output) * self.per_d;
        for u in 0..n {
            let unit = &self.unit[u];
            let slip = &mut r[WHEELS + 2 * u + 1];
            *slip = unit.slip_inverse * (*slip + unit.slip_by_wheel * wheel[u] - unit.slip_by_speed * speed);
            r[WHEELS + 2 * u] = wheel[u];
        }
    }
}

/// Adds the friction of the differentials; a locked one is a friction so large that both outputs move as one.
fn couple(wheels: &mut [[f64; 4]; 4], n: usize, terms: &StiffTerms, d: f64) {
    let rigid = 1e8 * d * terms.unit[0].inertia_kgm2;
    let strength = |i: usize| if terms.locked[i] { rigid } else { terms.friction[i] };
    for u in 0..n {
        for w in 0..n {
            let (one, other) = (&terms.unit[u], &terms.unit[w]);
            wheels[u][w] += strength(0) * one.between_axles * other.between_axles;
            if one.rear == other.rear {
                wheels[u][w] += strength(1 + usize::from(one.rear)) * one.between_sides * other.between_sides;
            }
        }
    }
}

/// LU without pivoting: with negative slopes left out, the matrix is that of masses on springs and dampers.
#[inline(always)]
fn factor(a: &mut [[f64; 4]; 4], n: usize) {
    for k in 0..n {
        let inverse = 1.0 / a[k][k];
        a[k][k] = inverse;
        for i in k + 1..n {
            let share = a[i][k] * inverse;
            a[i][k] = share;
            for j in k + 1..n {
                a[i][j] -= share * a[k][j];
            }
        }
    }
}
