//! Two inertias on a spring.

/// Natural frequency `√(k (J1 + J2)/(J1 J2))`, rad/s. Any text on vibration, for two free inertias and a torsion spring.
#[must_use]
pub fn natural_radps(stiffness_nm_per_rad: f64, one_kgm2: f64, other_kgm2: f64) -> f64 {
    (stiffness_nm_per_rad * (one_kgm2 + other_kgm2) / (one_kgm2 * other_kgm2)).sqrt()
}

/// Torque in the spring at rest relative to the moving whole when `torque_nm` drives the first inertia, N·m:
/// `T J2/(J1 + J2)`. A step of torque on the undamped system swings to twice this.
#[must_use]
pub fn steady_nm(torque_nm: f64, driven_kgm2: f64, other_kgm2: f64) -> f64 {
    torque_nm * other_kgm2 / (driven_kgm2 + other_kgm2)
}
