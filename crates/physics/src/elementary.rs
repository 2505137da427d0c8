//! Arctangent and exponential for the inner loop.
//!
//! `libm` has them all and to the last bit, but as calls with branches, and one evaluation of the car waits for the tyre's
//! functions one after the other: how long each takes from argument to value decides how fast a run is. These are
//! inlined, short from end to end, made of `+ - * /` alone (so that every platform gives the same bits), and within
//! 1e-12 of `libm`, some seven orders of magnitude under the error that a step is allowed.

use core::f64::consts::FRAC_PI_2;

/// Positive numbers cut into sixteen cells an octave by the leading bits of a double, and where they are used: from 1/32 to 64,
/// with one more cell about zero. Within a cell a function is its Taylor polynomial about the centre.
pub(crate) struct Cells;

/// Number of cells.
pub(crate) const CELLS: usize = 11 * 16 + 1;
/// Taylor coefficients of a cell.
pub(crate) type Series = [f64; 8];

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
        let lower = f64::from_bits((Self::FIRST + cell as u64 - 1) << Self::SHIFT);
        let upper = f64::from_bits((Self::FIRST + cell as u64) << Self::SHIFT);
        0.5 * (lower + upper)
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

/// A cell's polynomial, in pairs so that its parts do not wait for each other.
#[inline(always)]
pub(crate) fn polynomial(c: &Series, t: f64) -> f64 {
    let t2 = t * t;
    let low = (c[0] + c[1] * t) + (c[2] + c[3] * t) * t2;
    let high = (c[4] + c[5] * t) + (c[6] + c[7] * t) * t2;
    low + high * (t2 * t2)
}

/// Its derivative.
#[inline(always)]
pub(crate) fn derivative(c: &Series, t: f64) -> f64 {
    let t2 = t * t;
    let low = (c[1] + 2.0 * c[2] * t) + (3.0 * c[3] + 4.0 * c[4] * t) * t2;
    let high = (5.0 * c[5] + 6.0 * c[6] * t) + 7.0 * c[7] * t2;
    low + high * (t2 * t2)
}

static ARCTANGENT: [Series; CELLS] = {
    let mut table = [[0.0; 8]; CELLS];
    let mut cell = 0;
    while cell < CELLS {
        let c = Cells::centre(cell);
        let angle = if c > 1.0 { FRAC_PI_2 - euler(1.0 / c) } else { euler(c) };
        table[cell][0] = angle;
        // Coefficients of 1/(1 + x²) about c follow from its product with 1 + x² being one.
        let square = 1.0 + c * c;
        let (mut last, mut before) = (1.0 / square, 0.0);
        let mut n = 1;
        while n < 8 {
            table[cell][n] = last / n as f64;
            let next = -(2.0 * c * last + before) / square;
            before = last;
            last = next;
            n += 1;
        }
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

/// Arctangent, within 1e-12.
#[inline(always)]
pub(crate) fn atan(x: f64) -> f64 {
    match Cells::find(x.abs()) {
        Some((cell, t)) => polynomial(&ARCTANGENT[cell], t).copysign(x),
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
    let low = (C[0] + C[1] * x) + (C[2] + C[3] * x) * x2;
    let middle = (C[4] + C[5] * x) + (C[6] + C[7] * x) * x2;
    let high = (C[8] + C[9] * x) + (C[10] + C[11] * x) * x2;
    (low + middle * x4) + high * (x4 * x4)
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
    fn the_arctangent_is_that_of_libm_to_1e_12() {
        let error = worst(1e12, |x| atan(x) - libm::atan(x));
        assert!(error < 1e-12, "{error:e}");
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
