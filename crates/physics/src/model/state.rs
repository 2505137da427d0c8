//! Indices into the state: sums first, then states outside of the stiff matrix, then those in it. Wheels come last, two
//! states each: speed and slip.

/// Work of the engine, J.
pub(crate) const ENGINE_WORK: usize = 0;
/// Lost to drag, J.
pub(crate) const AERO: usize = 1;
/// Lost to rolling resistance, J.
pub(crate) const ROLLING: usize = 2;
/// Lost in the tyres' slip, J.
pub(crate) const TYRE_SLIP: usize = 3;
/// Lost in the clutch, J.
pub(crate) const CLUTCH: usize = 4;
/// Lost in gears, damping and differentials, J.
pub(crate) const DRIVELINE: usize = 5;
/// Engine speed, rad/s.
pub(crate) const ENGINE: usize = 6;
/// Gearbox-input speed, rad/s.
pub(crate) const INPUT: usize = 7;
/// Distance, m.
pub(crate) const DISTANCE: usize = 8;
/// Load moved from front to rear axle, N.
pub(crate) const TRANSFER: usize = 9;
/// Its rate, N/s.
pub(crate) const TRANSFER_RATE: usize = 10;
/// Boost share.
pub(crate) const BOOST: usize = 11;
/// Throttle as the engine has it.
pub(crate) const THROTTLE: usize = 12;
/// Clutch face, °C.
pub(crate) const FACE: usize = 13;
/// Clutch mass, °C.
pub(crate) const MASS: usize = 14;
/// Clutch pedal, 0 pressed to 1 released.
pub(crate) const PEDAL: usize = 15;
/// Slip as the driver feels it.
pub(crate) const FELT_SLIP: usize = 16;
/// Engine speed as the driver feels it, rad/s.
pub(crate) const FELT_REVS: usize = 17;
/// Road speed, m/s.
pub(crate) const SPEED: usize = 18;
/// Final-drive output speed, rad/s.
pub(crate) const AXLE: usize = 19;
/// Wind-up between final drive and wheels, rad.
pub(crate) const TWIST: usize = 20;
/// Where states begin that are more than sums.
pub(crate) const EXPLICIT: usize = ENGINE;
/// Where the stiff matrix begins.
pub(crate) const IMPLICIT: usize = SPEED;
/// Where the wheels begin.
pub(crate) const WHEELS: usize = 21;
/// Length with one, two, three and four wheel units.
pub(crate) const LENGTH: [usize; 4] = [WHEELS + 2, WHEELS + 4, WHEELS + 6, WHEELS + 8];
