//! The ideal answer to wheelspin: what the tyres can carry and no more.

use super::Model;
use super::state::{AXLE, SPEED, WHEELS};
use crate::driver::WheelspinResponse;
use crate::mode::{Coupling, Mesh};

/// Slip over that of the peak at which the wheels get just what the tyres carry at the peak. At the peak itself the curve is level
/// and damps nothing; here it still rises, and carries all but half a percent.
const HELD_SLIP: f64 = 0.9;
/// Share of that torque that is taken away for a slip greater by that of the peak, and given for one less by it. The more of it, the
/// closer slip is held where one wheel of an open axle carries less; half as much again was measured to cost up to a third more evaluations.
const GAIN: f64 = 0.35;
/// How far ahead slip is looked at, s: enough to damp the swing of wheels, shafts and clutch against each other. With 30 ms runs were
/// measured to take up to 60 % more evaluations, with 5 ms and half as much gain again twice as many.
const LEAD_S: f64 = 0.016;

impl<const N: usize> Model<'_, N> {
    /// Most torque that an ideal driver lets the clutch pass, which could carry `pedal_nm`, and most that they ask of the engine,
    /// N·m, under the `loads_n` of front and rear axle; without limit for other drivers and between gears.
    #[inline]
    pub(super) fn let_through_nm(&self, y: &[f64; N], pedal_nm: f64, loads_n: [f64; 2]) -> [f64; 2] {
        let answers = self.scenario.driver.wheelspin == WheelspinResponse::Ideal && self.mode.mesh == Mesh::Engaged;
        if !answers {
            return [f64::INFINITY; 2];
        }
        let [slipping_nm, locked_nm] = self.carried_nm(y, loads_n);
        if self.mode.coupling != Coupling::Slipping(1.0) {
            return [f64::INFINITY, locked_nm];
        }
        let passed_nm = slipping_nm.max(0.0);
        // The engine keeps its speed until the input has it too. Where the pedal has little to spare it gets more, so that a
        // clutch that lets go for want of clamp is not at once found turning the other way.
        [passed_nm, slipping_nm.max(locked_nm - (pedal_nm - passed_nm).max(0.0))]
    }

    /// Torque at the gearbox input that holds the tyres near their peaks, N·m: their forces there, what all that turns takes up while
    /// these forces accelerate the car, and some for the slip that is missing. Without the engine's own inertia, and with it.
    #[inline(never)]
    fn carried_nm(&self, y: &[f64; N], loads_n: [f64; 2]) -> [f64; 2] {
        let speed = y[SPEED];
        // Looked at where the torque acts, before the shafts: beyond them the answer would come too late to damp their swing.
        let twist_rate = y[AXLE] - self.output_speed(y);
        let (mut peak_n, mut peak_nm, mut relative_slip) = (0.0, 0.0, f64::NEG_INFINITY);
        let mut wheels_kgm2 = 0.0;
        for (u, unit) in self.units[..Self::UNITS].iter().enumerate() {
            let (wheel, slip) = (y[WHEELS + 2 * u] + twist_rate, y[WHEELS + 2 * u + 1]);
            let slip_rate = (unit.radius_m * wheel - speed - speed.abs() * slip) * unit.per_relaxation(slip);
            relative_slip = relative_slip.max((slip + LEAD_S * slip_rate) / unit.peak_slip);
            let force_n = unit.tyres * unit.tyre.at(0.5 * loads_n[usize::from(unit.rear)]).d_n;
            peak_n += force_n;
            peak_nm += unit.radius_m * force_n;
            wheels_kgm2 += unit.inertia_kgm2;
        }
        let radps2 = peak_n * self.constants.per_rolling_mass * (peak_n / peak_nm);
        let share = 1.0 + GAIN * (HELD_SLIP - relative_slip);
        let gear = &self.constants.gears[self.mode.gear];
        gear.per_axle_inertia.map(|[_, per_inertia]| {
            let at_peak_nm = peak_nm + (wheels_kgm2 + 1.0 / per_inertia) * radps2;
            at_peak_nm / (gear.passed[1] * gear.ratio) * share
        })
    }
}
