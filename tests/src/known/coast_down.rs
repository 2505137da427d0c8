//! A car that rolls out under F0 + F2 v².

/// Speed after `time_s` of a car of effective mass `mass_kg` that began at `start_mps`, m/s.
///
/// m dv/dt = -(F0 + F2 v²) has the solution v = √(F0/F2) tan(arctan(v0 √(F2/F0)) - t √(F0 F2) / m); elementary.
#[must_use]
pub fn speed_mps(start_mps: f64, time_s: f64, f0_n: f64, f2_ns2_per_m2: f64, mass_kg: f64) -> f64 {
    let root = (f0_n / f2_ns2_per_m2).sqrt();
    root * ((start_mps / root).atan() - time_s * (f0_n * f2_ns2_per_m2).sqrt() / mass_kg).tan()
}
