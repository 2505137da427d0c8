//! Arctangent, sine, cosine and exponential for the inner loop.
//!
//! `libm` has them all and to the last bit, but as calls with branches, and in a run nearly half of the time went
//! there. These are inlined, made of `+ - * /` alone (so that every platform gives the same bits), and within
//! 1e-13 of `libm`, some eight orders of magnitude under the error that a step is allowed.

use core::f64::consts::{FRAC_PI_2, PI};

/// Cells of the arctangent: four to an octave from 1/16 to 16, one below, one beyond.
const CELLS: usize = 34;
/// A double's bits, shifted by this, count quarter octaves.
const QUARTER_OCTAVE_SHIFT: u32 = 50;
/// That count at 1/16.
const FIRST_QUARTER_OCTAVE: i64 = ((1.0_f64 / 16.0).to_bits() >> QUARTER_OCTAVE_SHIFT) as i64;

/// Centre of each cell and its arctangent.
const CENTRES: [(f64, f64); CELLS] = centres();

const fn centres() -> [(f64, f64); CELLS] {
    let mut table = [(0.0, 0.0); CELLS];
    let mut cell = 1;
    while cell < CELLS - 1 {
        let lower = f64::from_bits(((FIRST_QUARTER_OCTAVE + cell as i64 - 1) as u64) << QUARTER_OCTAVE_SHIFT);
        let upper = f64::from_bits(((FIRST_QUARTER_OCTAVE + cell as i64) as u64) << QUARTER_OCTAVE_SHIFT);
        let centre = 0.5 * (lower + upper);
        let angle = if centre > 1.0 { FRAC_PI_2 - euler(1.0 / centre) } else { euler(centre) };
        table[cell] = (centre, angle);
        cell += 1;
    }
    // So large that only -1/x is left of the quotient below.
    table[CELLS - 1] = (1e100, FRAC_PI_2);
    table
}

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

/// Arctangent, within 1e-14, of a number up to 1e100.
#[inline(always)]
pub(crate) fn atan(x: f64) -> f64 {
    let size = x.abs();
    let quarter_octave = (size.to_bits() >> QUARTER_OCTAVE_SHIFT) as i64;
    let cell = (quarter_octave - FIRST_QUARTER_OCTAVE + 1).clamp(0, CELLS as i64 - 1) as usize;
    let (centre, angle) = CENTRES[cell];
    // The rest is at most 1/16: five terms of the series are enough.
    let t = (size - centre) / (1.0 + centre * size);
    let t2 = t * t;
    let tail = (1.0 / 5.0 - t2 * (1.0 / 7.0)) + t2 * t2 * (1.0 / 9.0);
    (angle + (t + t * t2 * (t2 * tail - 1.0 / 3.0))).copysign(x)
}

/// One over the factorial.
const fn inverse_factorial(n: u32) -> f64 {
    let mut product = 1.0;
    let mut i = 2;
    while i <= n {
        product *= i as f64;
        i += 1;
    }
    1.0 / product
}

/// Terms of cosine's and sine's series, without the signs of the odd ones.
const EVEN: [f64; 10] = {
    let mut c = [0.0; 10];
    let mut i = 0;
    while i < 10 {
        c[i] = if i % 2 == 0 { 1.0 } else { -1.0 } * inverse_factorial(2 * i as u32);
        i += 1;
    }
    c
};
const ODD: [f64; 10] = {
    let mut c = [0.0; 10];
    let mut i = 0;
    while i < 10 {
        c[i] = if i % 2 == 0 { 1.0 } else { -1.0 } * inverse_factorial(2 * i as u32 + 1);
        i += 1;
    }
    c
};

/// A polynomial of ten terms, in pairs so that its parts do not wait for each other.
#[inline(always)]
fn ten_terms(c: &[f64; 10], x: f64) -> f64 {
    let x2 = x * x;
    let x4 = x2 * x2;
    let low = (c[0] + c[1] * x) + (c[2] + c[3] * x) * x2;
    let middle = (c[4] + c[5] * x) + (c[6] + c[7] * x) * x2;
    (low + middle * x4) + (c[8] + c[9] * x) * (x4 * x4)
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

/// Sine, within 1e-14, of an angle up to a half turn either way; beyond that `libm` is asked.
#[inline(always)]
pub(crate) fn sin(angle: f64) -> f64 {
    let size = angle.abs();
    if size > PI {
        return libm::sin(angle);
    }
    let from_quarter = size - FRAC_PI_2;
    ten_terms(&EVEN, from_quarter * from_quarter).copysign(angle)
}

/// Cosine, within 1e-14, of an angle up to a half turn either way; beyond that `libm` is asked.
#[inline(always)]
pub(crate) fn cos(angle: f64) -> f64 {
    let size = angle.abs();
    if size > PI {
        return libm::cos(angle);
    }
    let from_quarter = size - FRAC_PI_2;
    -from_quarter * ten_terms(&ODD, from_quarter * from_quarter)
}

/// Exponential, within 1e-13 of its value; beyond one either way `libm` is asked.
#[inline(always)]
pub(crate) fn exp(x: f64) -> f64 {
    if x.abs() > 1.0 {
        return libm::exp(x);
    }
    // e^x = (e^(x/8))^8, the latter by nine terms of its series after the first.
    let y = 0.125 * x;
    let y2 = y * y;
    let low = (1.0 + y) + y2 * (0.5 + y * (1.0 / 6.0));
    let high = (1.0 / 24.0 + y * (1.0 / 120.0)) + y2 * (1.0 / 720.0 + y * (1.0 / 5040.0));
    let eighth = low + y2 * y2 * (high + y2 * y2 * (1.0 / 40_320.0 + y * (1.0 / 362_880.0)));
    let quarter = eighth * eighth;
    let half = quarter * quarter;
    half * half
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
    fn the_arctangent_is_that_of_libm_to_1e_14() {
        let error = worst(1e12, |x| atan(x) - libm::atan(x));
        assert!(error < 1e-14, "{error:e}");
        assert_eq!(atan(1e60), FRAC_PI_2);
        assert!(atan(f64::NAN).is_nan());
    }

    #[test]
    fn sine_and_cosine_are_those_of_libm_to_1e_14() {
        for to in [PI, 10.0] {
            let sine = worst(to, |x| sin(x) - libm::sin(x));
            let cosine = worst(to, |x| cos(x) - libm::cos(x));
            assert!(sine < 1e-14 && cosine < 1e-14, "{sine:e} and {cosine:e}");
        }
    }

    #[test]
    fn the_exponential_is_that_of_libm_to_1e_13_of_its_value() {
        let error = worst(5.0, |x| exp(x) / libm::exp(x) - 1.0);
        assert!(error < 1e-13, "{error:e}");
    }
}
