//! How differentials divide the shafts' torque between axles and sides.

use super::Model;
use super::state::WHEELS;

/// The shafts' torque, divided. Arrays over axles are of the front and the rear one.
pub(super) struct Divided {
    /// Torque on each axle, N·m.
    pub axle_nm: [f64; 2],
    /// Torque that friction moves from the right wheel to the left one, N·m.
    pub across_nm: [f64; 2],
    /// Its change with the difference of speeds: centre, front, rear, N·m·s/rad.
    pub friction: [f64; 3],
    /// Lost to it, W.
    pub loss_w: f64,
}

impl<const N: usize> Model<'_, N> {
    /// Divides `shaft_nm`, the torque of all half-shafts together.
    #[inline(always)]
    pub(super) fn divide(&self, y: &[f64; N], shaft_nm: f64) -> Divided {
        let limited = &self.constants.friction;
        let mut axle_nm = [self.front_share * shaft_nm, self.rear_share * shaft_nm];
        let (mut across_nm, mut friction, mut loss_w) = ([0.0; 2], [0.0; 3], 0.0);
        if let (true, Some(centre)) = (Self::UNITS > 1 && self.all_driven, &limited[0]) {
            let mut difference = 0.0;
            for u in 0..Self::UNITS {
                difference += self.stiff.unit[u].between_axles * y[WHEELS + 2 * u];
            }
            let (torque, slope) = centre.torque_and_slope(shaft_nm, difference);
            axle_nm[0] += torque;
            axle_nm[1] -= torque;
            loss_w += torque * difference;
            friction[0] = slope;
        }
        if Self::UNITS > 1 {
            for axle in 0..2 {
                if let (Some(left), Some(differential)) = (self.pairs[axle], &limited[1 + axle]) {
                    let difference = y[WHEELS + 2 * (left + 1)] - y[WHEELS + 2 * left];
                    let (torque, slope) = differential.torque_and_slope(axle_nm[axle], difference);
                    across_nm[axle] = torque;
                    loss_w += torque * difference;
                    friction[1 + axle] = slope;
                }
            }
        }
        Divided { axle_nm, across_nm, friction, loss_w }
    }
}
