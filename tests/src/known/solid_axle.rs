//! Traction limit of a solid rear axle that hangs on the propshaft's torque reaction.
//!
//! T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 2, worked example (inputs from memory, results
//! recomputed): open differential 1201 lb and 0.304 g, locked 1304 lb and 0.330 g.

/// Newtons per pound-force (exact by definition).
pub const LBF_N: f64 = 4.448_221_615_260_5;
/// Kilograms per pound (exact by definition).
pub const LB_KG: f64 = 0.453_592_37;
/// Metres per inch (exact by definition).
pub const INCH_M: f64 = 0.0254;

/// Weight of the car, lb.
pub const WEIGHT_LB: f64 = 3950.0;
/// Weight on the rear axle, lb.
pub const REAR_LB: f64 = 1850.0;
/// Height of the centre of gravity, in.
pub const HEIGHT_IN: f64 = 21.0;
/// Wheelbase, in.
pub const WHEELBASE_IN: f64 = 108.0;
/// Friction.
pub const FRICTION: f64 = 0.62;
/// Track, in.
pub const TRACK_IN: f64 = 59.0;
/// Final drive.
pub const FINAL_DRIVE: f64 = 2.90;
/// Wheel radius, in.
pub const RADIUS_IN: f64 = 13.0;
/// Roll stiffness of the front axle, ft·lb/deg.
pub const FRONT_ROLL: f64 = 1150.0;
/// Roll stiffness of the rear axle, ft·lb/deg.
pub const REAR_ROLL: f64 = 280.0;

/// Largest driving force with an open differential, lbf.
pub const OPEN_LBF: f64 = 1201.0;
/// The same with a locked one, lbf.
pub const LOCKED_LBF: f64 = 1304.0;
/// Acceleration with an open differential, over gravity.
pub const OPEN_G: f64 = 0.304;
/// The same with a locked one.
pub const LOCKED_G: f64 = 0.330;

/// Largest driving force, lbf: `μ W b/L / (1 - μ h/L + 2 μ r Kf/(Nf t K))`, without the last term when the differential is
/// locked.
///
/// The last term from first principles: the propshaft's torque `F r/Nf` rolls the axle; the rear springs return their share of it,
/// so that the lighter wheel loses `F r/(Nf t) · Kf/K`, and both wheels then push with `μ` times the lighter one's load.
#[must_use]
pub fn traction_limit_lbf(locked: bool) -> f64 {
    let slope = FRICTION * HEIGHT_IN / WHEELBASE_IN;
    let reaction = 2.0 * FRICTION * RADIUS_IN / (FINAL_DRIVE * TRACK_IN) * FRONT_ROLL / (FRONT_ROLL + REAR_ROLL);
    FRICTION * REAR_LB / (1.0 - slope + if locked { 0.0 } else { reaction })
}
