//! A published tyre.
//!
//! H. B. Pacejka, Tyre and Vehicle Dynamics, table A3.1: 205/60R15 91V at 2.2 bar. Coefficients found in stored public text
//! that cites the table; forces recomputed, with the shifts set to zero.

use bitepoint_physics::tyre::MagicFormula;

/// The coefficients of the table.
pub const TABLE_A3_1: MagicFormula = MagicFormula {
    nominal_load_n: 4000.0,
    pcx1: 1.685,
    pdx1: 1.210,
    pdx2: -0.037,
    pex1: 0.344,
    pex2: 0.095,
    pex3: -0.020,
    pkx1: 21.51,
    pkx2: -0.163,
    pkx3: 0.245,
    sliding_fall_s_per_m: 0.0,
};

/// One load of the tyre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Load, N.
    pub load_n: f64,
    /// Slip stiffness, N per unit slip.
    pub stiffness_n: f64,
    /// Force (N) at the slips of [`SLIPS`].
    pub force_n: [f64; 6],
    /// Slip of the peak.
    pub peak_slip: f64,
    /// Force at the peak, N.
    pub peak_n: f64,
}

/// Slips at which [`ROWS`] gives forces.
pub const SLIPS: [f64; 6] = [0.02, 0.05, 0.10, 0.20, 0.50, 1.0];

/// Forces at three loads, recomputed from the coefficients.
pub const ROWS: [Row; 3] = [
    Row {
        load_n: 2000.0,
        stiffness_n: 38_204.3,
        force_n: [741.4, 1613.8, 2296.6, 2431.4, 1989.5, 1647.8],
        peak_slip: 0.1623,
        peak_n: 2457.0,
    },
    Row {
        load_n: 4000.0,
        stiffness_n: 86_040.0,
        force_n: [1653.7, 3467.6, 4662.3, 4733.3, 3833.0, 3192.4],
        peak_slip: 0.1453,
        peak_n: 4840.0,
    },
    Row {
        load_n: 6000.0,
        stiffness_n: 145_326.3,
        force_n: [2758.6, 5534.6, 7029.9, 6885.3, 5531.3, 4632.5],
        peak_slip: 0.1297,
        peak_n: 7149.0,
    },
];
