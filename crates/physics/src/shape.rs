//! The Magic Formula's outer function, sine of C times arctangent, as one table per run.

use std::sync::Arc;

use crate::elementary::{CELLS, Cells, Quintic, Series, atan};

/// `sin(C atan z)` for one C.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    c: f64,
    cells: Arc<[Quintic; CELLS]>,
}

impl Shape {
    pub(crate) fn new(c: f64) -> Self {
        Self {
            c,
            cells: Arc::new(core::array::from_fn(|cell| Cells::economized(cell, series(c, Cells::centre(cell))))),
        }
    }

    /// `sin(C atan z)`, within 1e-10.
    #[inline(always)]
    pub(crate) fn value(&self, z: f64) -> f64 {
        match Cells::find(z.abs()) {
            Some((cell, t)) => odd(self.cells[cell].value(t), z),
            None => libm::sin(self.c * libm::atan(z)),
        }
    }

    /// The same with its derivative.
    #[inline(always)]
    pub(crate) fn value_and_slope(&self, z: f64) -> (f64, f64) {
        match Cells::find(z.abs()) {
            Some((cell, t)) => {
                let cell = &self.cells[cell];
                (odd(cell.value(t), z), cell.slope(t))
            }
            None => {
                let (sine, cosine) = libm::sincos(self.c * libm::atan(z));
                (sine, self.c * cosine / (1.0 + z * z))
            }
        }
    }
}

/// Taylor coefficients about `centre` of s = sin(C atan z), with those of the cosine k:
/// (1 + z²) s' = C k and (1 + z²) k' = -C s.
fn series(c: f64, centre: f64) -> Series {
    const PER: [f64; 8] = [1.0, 1.0 / 2.0, 1.0 / 3.0, 1.0 / 4.0, 1.0 / 5.0, 1.0 / 6.0, 1.0 / 7.0, 1.0 / 8.0];
    let (sine, cosine) = libm::sincos(c * atan(centre));
    let (mut s, mut k) = ([0.0; 8], [0.0; 8]);
    (s[0], k[0]) = (sine, cosine);
    let per_square = 1.0 / (1.0 + centre * centre);
    for n in 0..7 {
        let of_lower = |f: &Series| {
            let before = if n > 0 { (n - 1) as f64 * f[n - 1] } else { 0.0 };
            2.0 * centre * n as f64 * f[n] + before
        };
        let (from_s, from_k) = (of_lower(&s), of_lower(&k));
        let per = per_square * PER[n];
        s[n + 1] = (c * k[n] - from_s) * per;
        k[n + 1] = (-c * s[n] - from_k) * per;
    }
    s
}

/// An odd function's value at `z` from its value at the size of `z`, which may itself be negative.
#[inline(always)]
fn odd(of_size: f64, z: f64) -> f64 {
    f64::from_bits(of_size.to_bits() ^ (z.to_bits() & (1 << 63)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_sine_of_the_scaled_arctangent_to_1e_10() {
        for c in [0.8, 1.1, 1.5, 1.9, 2.3] {
            let shape = Shape::new(c);
            for i in 0..100_000 {
                let size = 1e-6 * 1.0003_f64.powi(i % 70_000);
                let z = if i % 2 == 0 { size } else { -size };
                let error = shape.value(z) - libm::sin(c * libm::atan(z));
                assert!(error.abs() < 1e-10, "C {c}, z {z}: {error:e}");
                let (value, slope) = shape.value_and_slope(z);
                let exact = c * libm::cos(c * libm::atan(z)) / (1.0 + z * z);
                assert!(value == shape.value(z) && (slope - exact).abs() < 1e-7, "C {c}, z {z}: {slope} for {exact}");
            }
        }
    }
}
