//! The last door before the solver: values that no car can have.

use crate::driver::{ClutchFeel, PartThrottle, Trim, WheelspinResponse};
use crate::simulate::RunError;
use crate::vehicle::{Finish, Scenario, Vehicle};

/// Refuses what the equations can't be evaluated with. Files are checked with more care, and with line numbers, in `inputs`.
///
/// # Errors
/// The first value that no car can have.
pub(crate) fn check(vehicle: &Vehicle, scenario: &Scenario) -> Result<(), RunError> {
    let (engine, clutch, gearbox) = (&vehicle.engine, &vehicle.clutch, &vehicle.gearbox);
    let (driveline, chassis, driver) = (&vehicle.driveline, &vehicle.chassis, &scenario.driver);
    let steady = Trim { lag_s: 1.0, target_slip: 0.0, gain: 0.0, foot_per_s: 1.0 };
    let trim = if let WheelspinResponse::Trimmed(trim) = driver.wheelspin { trim } else { steady };
    let feel = driver.clutch_feel.unwrap_or(ClutchFeel { lag_s: 1.0, damping_ratio: 1.0, foot_per_s: 1.0 });
    let positive = [
        ("engine inertia", engine.inertia_kgm2),
        ("throttle lag", engine.throttle_lag_s),
        ("idle speed", engine.idle_radps),
        ("number of gears", gearbox.gears.len() as f64),
        ("gearbox-input inertia", gearbox.input_inertia_kgm2),
        ("final-drive ratio", gearbox.final_drive.ratio),
        ("final-drive efficiency", gearbox.final_drive.efficiency),
        ("final-drive inertia", gearbox.final_drive.inertia_kgm2),
        ("time to disengage the clutch in a shift", gearbox.shift.clutch_out_s),
        ("time to change gear", gearbox.shift.change_s),
        ("time to engage the clutch in a shift", gearbox.shift.clutch_in_s),
        ("clutch working band", clutch.working_band),
        ("clutch fade span", clutch.fade_span_k),
        ("heat capacity of the clutch face", clutch.face_capacity_j_per_k),
        ("heat capacity of the clutch mass", clutch.mass_capacity_j_per_k),
        ("driveline stiffness", driveline.stiffness_nm_per_rad),
        ("front rolling radius", vehicle.front_tyre.rolling_radius_m),
        ("rear rolling radius", vehicle.rear_tyre.rolling_radius_m),
        ("front wheel inertia", vehicle.front_tyre.wheel_inertia_kgm2),
        ("rear wheel inertia", vehicle.rear_tyre.wheel_inertia_kgm2),
        ("front relaxation length", vehicle.front_tyre.relaxation_length_m),
        ("rear relaxation length", vehicle.rear_tyre.relaxation_length_m),
        ("front tyre nominal load", vehicle.front_tyre.magic_formula.nominal_load_n),
        ("rear tyre nominal load", vehicle.rear_tyre.magic_formula.nominal_load_n),
        ("front tyre friction", vehicle.front_tyre.magic_formula.pdx1),
        ("rear tyre friction", vehicle.rear_tyre.magic_formula.pdx1),
        ("mass", chassis.mass_kg),
        ("wheelbase", chassis.wheelbase_m),
        ("pitch frequency", chassis.pitch_frequency_hz),
        ("friction of the surface", scenario.surface.friction_scale),
        ("slip stiffness of the surface", scenario.surface.slip_stiffness_scale),
        ("right-to-left friction", scenario.surface.right_to_left_friction),
        ("air pressure", scenario.air.pressure_pa),
        ("absolute temperature", scenario.air.temperature_c + crate::air::ZERO_CELSIUS_K),
        ("held revs", driver.held_radps),
        ("revs kept while the clutch slips", driver.kept_radps),
        ("lag of felt slip", trim.lag_s),
        ("fastest movement of the foot", trim.foot_per_s),
        ("lag of felt revs", feel.lag_s),
        ("steadiness of the pedal", feel.damping_ratio),
        ("fastest movement of the pedal", feel.foot_per_s),
        ("shift-time factor", driver.shift_time_factor),
        ("clutch release time", driver.release_s),
        ("time limit", scenario.time_limit_s),
        (
            "finish",
            match scenario.finish {
                Finish::Distance { distance_m } => distance_m,
                Finish::Speed { speed_mps } => speed_mps,
            },
        ),
    ];
    let part_throttle = driver.part_throttle.unwrap_or(PartThrottle { held: 1.0, until_mps: 0.0, open_s: 0.0 });
    let not_negative = [
        ("driveline damping", driveline.damping_nm_s_per_rad),
        ("driveline lash", driveline.lash_rad),
        ("throttle ease", driver.throttle_ease_s),
        ("part throttle", part_throttle.held),
        ("speed at which the part throttle ends", part_throttle.until_mps),
        ("time from part throttle to wide open", part_throttle.open_s),
        ("shift reaction", driver.shift_reaction_s),
        ("rollout", scenario.rollout_m),
        ("target slip", trim.target_slip),
        ("throttle taken back for slip", trim.gain),
        ("fall of friction with sliding speed, front", vehicle.front_tyre.magic_formula.sliding_fall_s_per_m),
        ("fall of friction with sliding speed, rear", vehicle.rear_tyre.magic_formula.sliding_fall_s_per_m),
        ("clutch clamp", clutch.clamp_n),
        ("drag area", chassis.drag_area_m2),
        ("centre-of-gravity height", chassis.cg_height_m),
    ];
    for (what, value) in positive {
        if !(value > 0.0 && value.is_finite()) {
            return Err(RunError::Impossible { what, value });
        }
    }
    for (what, value) in not_negative {
        if !(value >= 0.0 && value.is_finite()) {
            return Err(RunError::Impossible { what, value });
        }
    }
    for gear in &gearbox.gears {
        for (what, value) in [("gear ratio", gear.ratio), ("gear efficiency", gear.efficiency)] {
            if !(value > 0.0 && value.is_finite()) {
                return Err(RunError::Impossible { what, value });
            }
        }
    }
    let rest = [
        ("headwind", scenario.headwind_mps),
        ("throttle lead", driver.throttle_lead_s),
        ("clutch start temperature", scenario.clutch_start_c),
        ("relative humidity", scenario.air.relative_humidity),
        ("front weight share", chassis.front_weight_share),
        ("slope", scenario.slope.sine(0.0)),
    ];
    for (what, value) in rest {
        if !value.is_finite() {
            return Err(RunError::Impossible { what, value });
        }
    }
    Ok(())
}
