//! What no driver can beat, and where a run's time over that goes.

use serde::Serialize;

/// Two bounds on the time to one mark, and the time lost against the first of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Standing {
    /// Name of the gate.
    pub gate: &'static str,
    /// The run's time from first movement, s.
    pub run_s: f64,
    /// Perfect slip, peak power at every speed, no shifts, s.
    pub traction_and_power_s: f64,
    /// The same with this gearbox's shifts, s.
    pub with_shifts_s: f64,
    /// Time lost to each cause against the first bound, s, in the order of `Limit::ALL`; adds up to the difference.
    pub lost_s: [f64; 8],
}
