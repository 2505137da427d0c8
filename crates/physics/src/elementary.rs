//! Arctangent and exponential for the inner loop.
//!
//! `libm` has them all and to the last bit, but as calls with branches, and one evaluation of the car waits for the tyre's
//! functions one after the other: how long each takes from argument to value decides how fast a run is. These are
//! inlined, short from end to end, made of `+ - * /` alone (so that every platform gives the same bits), and within
//! 1e-11 of `libm`, some six orders of magnitude under the error that a step is allowed.

use core::f64::consts::FRAC_PI_2;

/// Positive numbers cut into sixteen cells an octave by the leading bits of a double, and where they are used: from 1/32 to 64,
/// with one more cell about zero. Within a cell a function is its Taylor polynomial about the centre.
pub(crate) struct Cells;

/// Number of cells.
pub(crate) const CELLS: usize = 11 * 16 + 1;
/// Taylor coefficients about the centre of a cell.
pub(crate) type Series = [f64; 8];
/// The polynomial that is used in a cell, lowest power first; filled up so that a cell takes a line of cache.
#[derive(Debug, Clone, Copy)]
#[repr(align(64))]
pub(crate) struct Quintic([f64; 6]);

impl Cells {
    /// A double's bits, shifted by this, count sixteenths of octaves.
    const SHIFT: u32 = 48;
    /// That count at 1/32.
    const FIRST: u64 = (1.0_f64 / 32.0).to_bits() >> Self::SHIFT;

    /// Centre of a cell.
    pub(crate) const fn centre(cell: usize) -> f64 {
        if cell == 0 {
            return 0.0;
        }
        0.5 * (Self::upper(cell - 1) + Self::upper(cell))
    }

    /// Where a cell ends.
    const fn upper(cell: usize) -> f64 {
        f64::from_bits((Self::FIRST + cell as u64) << Self::SHIFT)
    }

    /// Half of a cell's width.
    const fn reach(cell: usize) -> f64 {
        Self::upper(cell) - Self::centre(cell)
    }

    /// A cell's series with its two highest powers shared out among the lower ones by the Chebyshev polynomials of their degree
    /// (C. Lanczos's economization): a thirtieth of the error that leaving them out would make.
    pub(crate) const fn economized(cell: usize, c: Series) -> Quintic {
        let r2 = Self::reach(cell) * Self::reach(cell);
        let (r4, r6) = (r2 * r2, r2 * r2 * r2);
        Quintic([
            c[0] + c[6] * r6 / 32.0,
            c[1] + c[7] * r6 * 7.0 / 64.0,
            c[2] - c[6] * r4 * 9.0 / 16.0,
            c[3] - c[7] * r4 * 7.0 / 8.0,
            c[4] + c[6] * r2 * 3.0 / 2.0,
            c[5] + c[7] * r2 * 7.0 / 4.0,
        ])
    }

    /// The cell of a number that is not negative and how far from its centre it is; nothing from 64 on.
    #[inline(always)]
    pub(crate) fn find(x: f64) -> Option<(usize, f64)> {
        let bits = x.to_bits();
        let cell = ((bits >> Self::SHIFT) + 1).saturating_sub(Self::FIRST) as usize;
        if cell >= CELLS {
            return None;
        }
        // The centre lies in the middle of what the leading bits leave open.
        let middle = (bits >> Self::SHIFT << Self::SHIFT) | 1 << (Self::SHIFT - 1);
        Some((cell, if cell == 0 { x } else { x - f64::from_bits(middle) }))
    }
}

/// Even and odd powers side by side: two lanes of one register, with the same operations and so the same bits everywhere.
#[derive(Clone, Copy)]
struct Lanes([f64; 2]);

impl Lanes {
    /// `self + high * x`, lane by lane.
    #[inline(always)]
    fn plus(self, high: Self, x: f64) -> Self {
        Self([self.0[0] + high.0[0] * x, self.0[1] + high.0[1] * x])
    }
}

impl Quintic {
    /// Its value, in parts that do not wait for each other.
    #[inline(always)]
    pub(crate) fn value(&self, t: f64) -> f64 {
        let c = &self.0;
        let t2 = t * t;
        ((c[0] + c[1] * t) + (c[2] + c[3] * t) * t2) + (c[4] + c[5] * t) * (t2 * t2)
    }

    /// Its derivative.
    #[inline(always)]
    pub(crate) fn slope(&self, t: f64) -> f64 {
        let c = &self.0;
        let t2 = t * t;
        ((c[1] + 2.0 * c[2] * t) + (3.0 * c[3] + 4.0 * c[4] * t) * t2) + 5.0 * c[5] * (t2 * t2)
    }
}

static ARCTANGENT: [Quintic; CELLS] = {
    let mut table = [Quintic([0.0; 6]); CELLS];
    let mut cell = 0;
    while cell < CELLS {
        let c = Cells::centre(cell);
        let angle = if c > 1.0 { FRAC_PI_2 - euler(1.0 / c) } else { euler(c) };
        let mut taylor = [angle, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        // Coefficients of 1/(1 + x²) about c follow from its product with 1 + x² being one.
        let square = 1.0 + c * c;
        let (mut last, mut before) = (1.0 / square, 0.0);
        let mut n = 1;
        while n < 8 {
            taylor[n] = last / n as f64;
            let next = -(2.0 * c * last + before) / square;
            before = last;
            last = next;
            n += 1;
        }
        table[cell] = Cells::economized(cell, taylor);
        cell += 1;
    }
    table
};

/// Arctangent by Euler's series in x²/(1 + x²), here at most a half.
const fn euler(x: f64) -> f64 {
    let y = x * x / (1.0 + x * x);
    let mut term = x / (1.0 + x * x);
    let mut sum = 0.0;
    let mut n = 0.0;
    while n < 60.0 {
        sum += term;
        n += 1.0;
        term *= y * 2.0 * n / (2.0 * n + 1.0);
    }
    sum
}

/// Arctangent, within 1e-11.
#[inline(always)]
pub(crate) fn atan(x: f64) -> f64 {
    match Cells::find(x.abs()) {
        Some((cell, t)) => ARCTANGENT[cell].value(t).copysign(x),
        None => libm::atan(x),
    }
}

/// The larger of two numbers, neither of which may be NaN: one instruction where `f64::max` takes five.
#[inline(always)]
pub(crate) fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The smaller of two numbers, neither of which may be NaN.
#[inline(always)]
pub(crate) fn smaller(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// One over the cube root of a normal positive number, within 2e-5 of its value: a third of the exponent (with the digits below it,
/// read as a logarithm), then two of Newton's steps, without a division or root to wait for.
#[inline(always)]
pub(crate) fn per_cube_root(x: f64) -> f64 {
    // Four thirds of the bits of 1, less what makes the first guess err alike to both sides, by 3.5 %.
    const START: u64 = 0x553e_ec00_0000_0000;
    let mut root = f64::from_bits(START - x.to_bits() / 3);
    for _ in 0..2 {
        root *= (4.0 - x * (root * root * root)) * (1.0 / 3.0);
    }
    root
}

/// Exponential, within 1e-12 of its value; beyond a half either way `libm` is asked.
#[inline(always)]
pub(crate) fn exp(x: f64) -> f64 {
    if x.abs() > 0.5 {
        return libm::exp(x);
    }
    const C: [f64; 12] = {
        let mut c = [1.0; 12];
        let mut n = 1;
        while n < 12 {
            c[n] = c[n - 1] / n as f64;
            n += 1;
        }
        c
    };
    let x2 = x * x;
    let x4 = x2 * x2;
    let pair = |n: usize| Lanes([C[n], C[n + 1]]);
    let low = pair(0).plus(pair(2), x2);
    let middle = pair(4).plus(pair(6), x2);
    let high = pair(8).plus(pair(10), x2);
    let Lanes([even, odd]) = low.plus(middle.plus(high, x4), x4);
    even + odd * x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Largest of `difference` over both signs of numbers from 1e-9 to `to`, evenly in their logarithm, and zero.
    fn worst(to: f64, difference: impl Fn(f64) -> f64) -> f64 {
        let count = 200_000;
        (0..=count)
            .map(|i| 1e-9 * (to / 1e-9).powf(f64::from(i) / f64::from(count)))
            .flat_map(|x| [x, -x])
            .chain([0.0])
            .map(|x| difference(x).abs())
            .fold(0.0, f64::max)
    }

    #[test]
    fn the_arctangent_is_that_of_libm_to_1e_11() {
        let error = worst(1e12, |x| atan(x) - libm::atan(x));
        assert!(error < 1e-11, "{error:e}");
        assert!(atan(f64::NAN).is_nan());
    }

    #[test]
    fn every_number_lies_in_the_cell_whose_centre_is_next_to_it() {
        for i in 1..10_000 {
            let x = 63.9 * f64::from(i) / 10_000.0;
            let (cell, t) = Cells::find(x).expect("under 64");
            assert!((Cells::centre(cell) + t - x).abs() < 1e-13, "{x}");
            assert!(t.abs() <= (x / 31.0).max(1.0 / 32.0), "{x}: {t}");
        }
        assert_eq!(Cells::find(64.0), None);
    }

    #[test]
    fn one_over_the_cube_root_is_within_2e_5() {
        for i in -4000..4000 {
            let x = libm::exp(0.01 * f64::from(i));
            let error = per_cube_root(x) * libm::cbrt(x) - 1.0;
            assert!(error.abs() < 2e-5, "{x}: {error:e}");
        }
    }

    #[test]
    fn the_exponential_is_that_of_libm_to_1e_12_of_its_value() {
        let error = worst(5.0, |x| exp(x) / libm::exp(x) - 1.0);
        assert!(error < 1e-12, "{error:e}");
    }
}
