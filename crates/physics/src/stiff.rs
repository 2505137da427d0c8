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

/// Stiff states with a single unit: road speed, final drive, wind-up, wheel, slip.
const SINGLE: usize = 5;
/// The order in which they become known in a stage: wheel and road speed last, since they wait for the tyres.
const KNOWN: [usize; SINGLE] = [1, 2, 4, 3, 0];
/// The most stiff states there are: road speed, final drive, wind-up, and the speed and slip of four units of wheels.
const MOST: usize = 11;

/// The factored matrix. Only as much of each array is in use as there are wheel units.
///
/// What is left after slips and wind-up are eliminated is an arrow: wheels with each other, and road speed and final drive with every wheel but
/// not with one another. The two are eliminated next, which leaves the wheels alone. Every stage waits for its solution; so each wheel is a
/// product of all right-hand sides with a row that is made beforehand, and the other states follow from the wheels.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Block {
    /// What each right-hand side, in the order of the state, adds to each wheel.
    wheels_by: [[f64; 4]; MOST],
    /// What right-hand sides and wheels add to road speed and slips.
    unit: [BlockUnit; 4],
    speed_by_speed: f64,
    /// What right-hand sides and the wheels' mean speed add to the final drive.
    axle_by_axle: f64,
    axle_by_twist: f64,
    axle_by_output: f64,
    per_d: f64,
    /// Columns of the inverse, for a single unit: a fiftieth quicker. For two it was measured to be as much slower.
    inverse: [[f64; SINGLE]; SINGLE],
}

#[derive(Debug, Clone, Copy, Default)]
struct BlockUnit {
    share: f64,
    speed_by_slip: f64,
    speed_by_wheel: f64,
    slip_by_slip: f64,
    slip_by_wheel: f64,
    slip_by_speed: f64,
}

impl Block {
    /// Factors `d I - A` for `n` units, given one over `d`.
    #[inline(always)]
    pub(crate) fn factor(&mut self, n: usize, terms: &StiffTerms, held: bool, per_d: f64) {
        // Held, the car does not feel its tyres.
        let per_mass = if held { 0.0 } else { terms.per_mass };
        let d = 1.0 / per_d;
        let spring_over_d = terms.shaft_stiffness * per_d;
        let twist = spring_over_d + terms.shaft_damping;
        let per_axle = 1.0 / (d + terms.per_axle_inertia * twist);
        let road = terms.speed_mps.max(0.0);
        // Tyre force by slip's right-hand side, and by the speeds of wheel and road.
        let (mut by_slip, mut by_wheel, mut by_speed) = ([0.0; 4], [0.0; 4], [0.0; 4]);
        let mut speed_diagonal = d;
        for u in 0..n {
            let t = &terms.unit[u];
            // Past its peak the tyre's slope is negative: a true instability, which is left to the explicit part.
            let slope = t.force_slope_n.max(0.0);
            let carcass = CARCASS_DAMPING_S * t.per_relaxation;
            let slip_inverse = 1.0 / (d + road * t.per_relaxation);
            let slip_share = (1.0 - carcass * road) * slip_inverse;
            let gain = slip_share * t.per_relaxation + carcass;
            by_slip[u] = slope * slip_share;
            by_wheel[u] = slope * t.radius_m * gain;
            by_speed[u] = slope * (1.0 + t.slip) * gain;
            speed_diagonal += by_speed[u] * per_mass;
            let unit = &mut self.unit[u];
            unit.share = t.share;
            unit.slip_by_slip = slip_inverse;
            unit.slip_by_wheel = slip_inverse * (t.radius_m * t.per_relaxation);
            unit.slip_by_speed = -slip_inverse * ((1.0 + t.slip) * t.per_relaxation);
        }
        // The wheels alone, times road speed's diagonal, so that their inverse need not wait for one over that.
        let rigidity = twist * d * per_axle;
        let mut wheels = [[0.0; 4]; 4];
        for u in 0..n {
            let row = &terms.unit[u];
            for w in 0..n {
                wheels[u][w] = rigidity * (row.share * terms.unit[w].share);
            }
            wheels[u][u] += d * row.inertia_kgm2 + row.radius_m * by_wheel[u];
        }
        if n > 1 {
            couple(&mut wheels, n, terms, d);
        }
        for u in 0..n {
            let through_road = terms.unit[u].radius_m * by_speed[u] * per_mass;
            for w in 0..n {
                wheels[u][w] = wheels[u][w] * speed_diagonal - through_road * by_wheel[w];
            }
        }
        invert(&mut wheels, n);
        self.per_d = per_d;
        self.speed_by_speed = 1.0 / speed_diagonal;
        self.axle_by_axle = per_axle;
        self.axle_by_twist = -per_axle * terms.per_axle_inertia * spring_over_d;
        self.axle_by_output = per_axle * terms.per_axle_inertia * twist;
        let speed_by_force = per_mass * self.speed_by_speed;
        for u in 0..n {
            self.unit[u].speed_by_slip = speed_by_force * by_slip[u];
            self.unit[u].speed_by_wheel = speed_by_force * by_wheel[u];
        }
        // A force of the road or a torque of the shafts reaches a wheel through every other.
        for u in 0..n {
            let (mut by_road, mut by_shafts) = (0.0, 0.0);
            for w in 0..n {
                let unit = &terms.unit[w];
                by_road += wheels[u][w] * (unit.radius_m * by_speed[w]);
                by_shafts += wheels[u][w] * (speed_diagonal * unit.share);
            }
            self.wheels_by[0][u] = by_road;
            self.wheels_by[1][u] = by_shafts * (twist * per_axle);
            self.wheels_by[2][u] = by_shafts * (terms.shaft_stiffness * per_axle);
            for w in 0..n {
                let unit = &terms.unit[w];
                self.wheels_by[3 + 2 * w][u] = wheels[u][w] * (speed_diagonal * unit.inertia_kgm2);
                self.wheels_by[4 + 2 * w][u] =
                    by_road * (per_mass * by_slip[w]) - wheels[u][w] * (speed_diagonal * unit.radius_m * by_slip[w]);
            }
        }
        if n == 1 {
            self.form_inverse();
        }
    }

    /// Forms the inverse for a single unit: what [`Block::follow`] makes of unit vectors, without its products with their zeros (a fiftieth of
    /// the speed).
    #[inline(always)]
    fn form_inverse(&mut self) {
        let unit = &self.unit[0];
        let own_speed = [self.speed_by_speed, 0.0, 0.0, 0.0, unit.speed_by_slip];
        let own_axle = [0.0, self.axle_by_axle, self.axle_by_twist, 0.0, 0.0];
        let own_twist = [0.0, 0.0, 1.0, 0.0, 0.0];
        let own_slip = [0.0, 0.0, 0.0, 0.0, unit.slip_by_slip];
        for k in 0..SINGLE {
            let wheel = self.wheels_by[k][0];
            let output = unit.share * wheel;
            let speed = own_speed[k] + unit.speed_by_wheel * wheel;
            let axle = own_axle[k] + self.axle_by_output * output;
            let twist = (own_twist[k] + axle - output) * self.per_d;
            let slip = own_slip[k] + unit.slip_by_wheel * wheel + unit.slip_by_speed * speed;
            self.inverse[k] = [speed, axle, twist, wheel, slip];
        }
    }

    /// Replaces the stiff states of `r` by the solution of `(d I - A) u = r` for `n` units.
    #[inline(always)]
    pub(crate) fn solve<const N: usize>(&self, n: usize, r: &mut [f64; N]) {
        if n == 1 {
            let mut u = [0.0; SINGLE];
            for column in KNOWN {
                for row in 0..SINGLE {
                    u[row] += self.inverse[column][row] * r[IMPLICIT + column];
                }
            }
            r[IMPLICIT..IMPLICIT + SINGLE].copy_from_slice(&u);
            return;
        }
        // Wheels and road speed come last: their right-hand sides wait for the tyres.
        let mut wheel = [0.0; 4];
        for u in 0..n {
            wheel[u] = self.wheels_by[1][u] * r[AXLE] + self.wheels_by[2][u] * r[TWIST];
        }
        for offset in [1, 0] {
            for w in 0..n {
                for u in 0..n {
                    wheel[u] += self.wheels_by[3 + 2 * w + offset][u] * r[WHEELS + 2 * w + offset];
                }
            }
        }
        for u in 0..n {
            wheel[u] += self.wheels_by[0][u] * r[SPEED];
        }
        self.follow(n, &wheel, r);
    }

    /// The other states, from right-hand sides and wheels.
    #[inline(always)]
    fn follow<const N: usize>(&self, n: usize, wheel: &[f64; 4], r: &mut [f64; N]) {
        let mut speed = self.speed_by_speed * r[SPEED];
        let mut output = 0.0;
        for u in 0..n {
            let unit = &self.unit[u];
            speed += unit.speed_by_slip * r[WHEELS + 2 * u + 1];
            output += unit.share * wheel[u];
        }
        for u in 0..n {
            speed += self.unit[u].speed_by_wheel * wheel[u];
        }
        let axle = (self.axle_by_axle * r[AXLE] + self.axle_by_twist * r[TWIST]) + self.axle_by_output * output;
        let mut found = [0.0; MOST];
        found[0] = speed;
        found[1] = axle;
        found[2] = (r[TWIST] + axle - output) * self.per_d;
        for u in 0..n {
            let unit = &self.unit[u];
            let slip = r[WHEELS + 2 * u + 1];
            found[3 + 2 * u] = wheel[u];
            found[4 + 2 * u] = (unit.slip_by_slip * slip + unit.slip_by_wheel * wheel[u]) + unit.slip_by_speed * speed;
        }
        r[SPEED..SPEED + 3 + 2 * n].copy_from_slice(&found[..3 + 2 * n]);
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

/// Makes the leading `n` rows and columns their inverse, without pivoting: with negative slopes left out, the matrix is that of masses on
/// springs and dampers.
#[inline(always)]
fn invert(a: &mut [[f64; 4]; 4], n: usize) {
    if n == 2 {
        let per = 1.0 / (a[0][0] * a[1][1] - a[0][1] * a[1][0]);
        (a[0][0], a[1][1]) = (a[1][1] * per, a[0][0] * per);
        (a[0][1], a[1][0]) = (-a[0][1] * per, -a[1][0] * per);
        return;
    }
    for k in 0..n {
        let per = 1.0 / a[k][k];
        a[k][k] = 1.0;
        for j in 0..n {
            a[k][j] *= per;
        }
        for i in 0..n {
            if i != k {
                let share = a[i][k];
                a[i][k] = 0.0;
                for j in 0..n {
                    a[i][j] -= share * a[k][j];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{DMatrix, DVector};

    use super::*;
    use crate::model::state::IMPLICIT;

    const N: usize = IMPLICIT + MOST;

    /// Terms of `n` units, drawn from a plain sequence; the last differential of the car is locked on demand.
    fn terms(n: usize, locked: bool, draw: &mut impl FnMut(f64, f64) -> f64) -> StiffTerms {
        let unit = core::array::from_fn(|u| UnitTerms {
            share: 1.0 / n as f64,
            between_axles: if u < n / 2 { -1.0 } else { 1.0 },
            between_sides: if u % 2 == 0 { -1.0 } else { 1.0 },
            rear: u >= n / 2,
            radius_m: draw(0.25, 0.4),
            inertia_kgm2: draw(0.5, 3.0),
            per_relaxation: draw(2.0, 10.0),
            force_slope_n: draw(0.0, 2e5),
            slip: draw(-0.1, 0.5),
        });
        StiffTerms {
            unit,
            per_mass: 1.0 / draw(600.0, 2500.0),
            speed_mps: draw(0.0, 60.0),
            shaft_stiffness: draw(1e3, 3e4),
            shaft_damping: draw(0.0, 100.0),
            per_axle_inertia: 1.0 / draw(0.01, 20.0),
            friction: [draw(0.0, 5e3), draw(0.0, 5e3), draw(0.0, 5e3)],
            locked: [locked, false, false],
        }
    }

    /// `d I - A` written out: every derivative of every rate.
    fn whole(n: usize, t: &StiffTerms, held: bool, d: f64) -> DMatrix<f64> {
        let mut a = DMatrix::zeros(3 + 2 * n, 3 + 2 * n);
        let (speed, axle, twist) = (0, 1, 2);
        a[(axle, twist)] = -t.shaft_stiffness * t.per_axle_inertia;
        a[(axle, axle)] = -t.shaft_damping * t.per_axle_inertia;
        a[(twist, axle)] = 1.0;
        for u in 0..n {
            let unit = &t.unit[u];
            let (wheel, slip) = (3 + 2 * u, 4 + 2 * u);
            let of_slip_rate = [
                (wheel, unit.radius_m * unit.per_relaxation),
                (speed, -(1.0 + unit.slip) * unit.per_relaxation),
                (slip, -t.speed_mps * unit.per_relaxation),
            ];
            let slope = unit.force_slope_n;
            for (of, value) in of_slip_rate {
                a[(slip, of)] += value;
                let force = slope * (CARCASS_DAMPING_S * value + if of == slip { 1.0 } else { 0.0 });
                a[(speed, of)] += if held { 0.0 } else { force * t.per_mass };
                a[(wheel, of)] -= unit.radius_m * force / unit.inertia_kgm2;
            }
            a[(axle, wheel)] += t.shaft_damping * unit.share * t.per_axle_inertia;
            a[(twist, wheel)] = -unit.share;
            a[(wheel, twist)] += unit.share * t.shaft_stiffness / unit.inertia_kgm2;
            a[(wheel, axle)] += unit.share * t.shaft_damping / unit.inertia_kgm2;
            for w in 0..n {
                let other = &t.unit[w];
                let mut resistance = unit.share * t.shaft_damping * other.share;
                if n > 1 {
                    let centre = if t.locked[0] { 1e8 * d * t.unit[0].inertia_kgm2 } else { t.friction[0] };
                    resistance += centre * unit.between_axles * other.between_axles;
                    if unit.rear == other.rear {
                        let axle = t.friction[1 + usize::from(unit.rear)];
                        resistance += axle * unit.between_sides * other.between_sides;
                    }
                }
                a[(wheel, 3 + 2 * w)] -= resistance / unit.inertia_kgm2;
            }
        }
        DMatrix::identity(3 + 2 * n, 3 + 2 * n) * d - a
    }

    #[test]
    fn its_solution_is_that_of_the_whole_matrix() {
        let mut state = 1_u64;
        let mut draw = |low: f64, high: f64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            low + (high - low) * (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        for case in 0..400 {
            let (n, locked, held) = (1 + case % 4, case % 3 == 0, case % 7 == 0);
            let terms = terms(n, locked, &mut draw);
            let d = draw(20.0, 2e4);
            let mut block = Block::default();
            block.factor(n, &terms, held, 1.0 / d);
            let mut r = [0.0; N];
            for value in &mut r[IMPLICIT..] {
                *value = draw(-1.0, 1.0);
            }
            let size = 3 + 2 * n;
            let given = DVector::from_column_slice(&r[IMPLICIT..IMPLICIT + size]);
            block.solve(n, &mut r);
            let found = DVector::from_column_slice(&r[IMPLICIT..IMPLICIT + size]);
            let exact = whole(n, &terms, held, d).lu().solve(&given).expect("it is regular");
            // A lock is worth eight digits, of the matrix and of the one it is held against.
            let most = if locked && n > 1 { 1e-6 } else { 1e-11 };
            let error = (&found - &exact).amax() / exact.amax();
            assert!(error < most, "{n} units, locked {locked}, held {held}: {error:e}\n{found}{exact}");
        }
    }
}
