//! Driven wheels as the model counts them.

use crate::elementary::smaller;
use crate::road::GRAVITY_MPS2;
use crate::tyre::OnSurface;
use crate::vehicle::{Scenario, Vehicle};

/// Driven wheels that always turn alike: a whole axle, or one side of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Unit {
    pub rear: bool,
    /// Tyres in it: two for an axle, one for a side.
    pub tyres: f64,
    /// Sign of the solid axle's torque reaction on its load: +1 left, -1 right, 0 for an axle.
    pub side: f64,
    /// Share of its axle's torque while differentials turn freely.
    pub axle_share: f64,
    pub radius_m: f64,
    pub inertia_kgm2: f64,
    /// One over the inertia, 1/(kg·m²).
    pub per_inertia: f64,
    /// One over the relaxation length of a tyre that does not slip, 1/m.
    pub per_resting_relaxation: f64,
    pub tyre: OnSurface,
    /// Slip of the peak at the static load, for the driver who holds slip there.
    pub peak_slip: f64,
    /// One over it.
    pub per_peak_slip: f64,
}

impl Unit {
    /// One over the relaxation length at a slip, 1/m. A carcass that is pulled by a sliding tread does not wind up without end: the length falls
    /// as the force's secant over slip does (H. B. Pacejka, Tyre and Vehicle Dynamics, chapter 7, from memory: relaxation length is slip
    /// stiffness over carcass stiffness), here with one over 1 + slip over that of the peak. Slips over [`MOST_SLIP`] count as that.
    #[inline(always)]
    pub(crate) fn per_relaxation(&self, slip: f64) -> f64 {
        self.per_resting_relaxation * (1.0 + smaller(slip.abs(), MOST_SLIP) * self.per_peak_slip)
    }
}

/// Slip from which the relaxation length falls no further. Under wheels that spin while the car stands, slip has no end: it would grow
/// exponentially and leave the range of numbers within a second.
const MOST_SLIP: f64 = 10.0;

/// The units of a car: sides apart on an axle whose sides differ.
pub(crate) fn units(vehicle: &Vehicle, scenario: &Scenario) -> Vec<Unit> {
    let surface = &scenario.surface;
    let sides_differ = surface.right_to_left_friction != 1.0;
    let weight_n = vehicle.chassis.mass_kg * GRAVITY_MPS2;
    let mut found = Vec::with_capacity(4);
    for rear in [false, true] {
        if !(if rear { vehicle.drives_rear() } else { vehicle.drives_front() }) {
            continue;
        }
        let tyre = if rear { &vehicle.rear_tyre } else { &vehicle.front_tyre };
        let share = vehicle.chassis.front_weight_share;
        let load_n = 0.5 * weight_n * if rear { 1.0 - share } else { share };
        let split = sides_differ || (rear && vehicle.driveline.solid_rear_axle.is_some());
        let sides: &[f64] = if split { &[1.0, -1.0] } else { &[0.0] };
        for &side in sides {
            // The mean of both sides is the surface's friction, so that a difference alone adds none.
            let right = surface.right_to_left_friction;
            let of_mean = if side > 0.0 {
                2.0 / (1.0 + right)
            } else if side < 0.0 {
                2.0 * right / (1.0 + right)
            } else {
                1.0
            };
            let friction_scale = surface.friction_scale * of_mean;
            let tyres = if split { 1.0 } else { 2.0 };
            let on_surface = OnSurface::new(&tyre.magic_formula, friction_scale, surface.slip_stiffness_scale);
            let peak_slip = on_surface.at(load_n).peak_slip().min(1.0);
            found.push(Unit {
                rear,
                tyres,
                side,
                axle_share: 0.5 * tyres,
                radius_m: tyre.rolling_radius_m,
                inertia_kgm2: tyres * tyre.wheel_inertia_kgm2,
                per_inertia: 1.0 / (tyres * tyre.wheel_inertia_kgm2),
                per_resting_relaxation: 1.0 / tyre.relaxation_length_m,
                tyre: on_surface,
                peak_slip,
                per_peak_slip: 1.0 / peak_slip,
            });
        }
    }
    found
}
