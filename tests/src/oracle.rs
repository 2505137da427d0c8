//! Cases that are solved twice: by the simulator, and by `tests/oracle/solve.py` from the equations of `docs/model.md`.

use bitepoint_physics::air::{Air, PowerStandard};
use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Layout};
use bitepoint_physics::driver::{ClutchFeel, PartThrottle, ReleaseShape, Trim, WheelspinResponse};
use bitepoint_physics::engine::{LaunchLimiter, Limiter};
use bitepoint_physics::gearbox::Gearbox;
use bitepoint_physics::road::Slope;
use bitepoint_physics::tyre::Tyre;
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};
use serde_json::{Value, json};

use crate::cars::{self, RPM};

/// A start that both solvers run.
pub struct Case {
    /// Name.
    pub name: &'static str,
    /// The car.
    pub vehicle: Vehicle,
    /// The day.
    pub scenario: Scenario,
}

/// All cases. Between them they use every layout and differential, every shape of release, every answer to
/// wheelspin, pedals with feel and without, throttles that lead and that follow the bite, revs that die, tyres whose friction falls with sliding and
/// tyres whose friction stays, both limiters, both kinds of slope and of finish, both ways of shifting and every rating standard.
#[must_use]
pub fn cases() -> Vec<Case> {
    vec![
        front_wet(),
        rear_bog(),
        all_wheel_boost(),
        all_wheel_split(),
        solid_uphill_open(),
        solid_uphill_locked(),
        rear_ideal(),
        all_wheel_ideal(),
        all_wheel_feel(),
        rear_dying(),
    ]
}

/// Makes the friction of all tyres fall with sliding speed.
fn sliding_falls(vehicle: &mut Vehicle, s_per_m: f64) {
    vehicle.front_tyre.magic_formula.sliding_fall_s_per_m = s_per_m;
    vehicle.rear_tyre.magic_formula.sliding_fall_s_per_m = s_per_m;
}

/// Too many revs on a wet road, and a driver who trims the throttle late.
fn front_wet() -> Case {
    let mut vehicle = cars::front_drive();
    sliding_falls(&mut vehicle, 0.01);
    let mut scenario = cars::wet(4500.0);
    scenario.driver.wheelspin =
        WheelspinResponse::Trimmed(Trim { lag_s: 0.2, target_slip: 0.2, gain: 1.2, foot_per_s: 4.0 });
    scenario.driver.part_throttle = Some(PartThrottle { held: 0.6, until_mps: 9.0, open_s: 0.7 });
    scenario.driver.shift_reaction_s = 0.1;
    scenario.driver.shift_at_radps = vec![6600.0 * RPM, 6500.0 * RPM];
    scenario.air = Air { temperature_c: 12.0, pressure_pa: 98_000.0, relative_humidity: 0.9 };
    Case { name: "front-drive, wet, trimmed", vehicle, scenario }
}

/// A weak engine, few revs and a quick pedal: the engine bogs until the idle control picks it up. More grip under the
/// left wheels, a road that rises and falls, shifts without a lift.
fn rear_bog() -> Case {
    let mut vehicle = cars::rear_drive();
    vehicle.engine.full_load_nm =
        cars::curve(&[(800.0, 120.0), (2000.0, 165.0), (4400.0, 200.0), (6000.0, 190.0), (6800.0, 160.0)]);
    let mut scenario = cars::dry(2400.0);
    scenario.driver.release_s = 0.3;
    scenario.driver.throttle_ease_s = 0.1;
    scenario.driver.lifts_to_shift = false;
    scenario.surface.right_to_left_friction = 0.75;
    scenario.slope = Slope::Profile {
        height_m: Curve::new(&[(0.0, 3.0), (50.0, 3.2), (150.0, 4.4), (300.0, 4.9), (420.0, 3.1), (600.0, 1.0)])
            .expect("points of a check rise"),
        start_m: 20.0,
    };
    Case { name: "rear-drive, bog, limited slip", vehicle, scenario }
}

/// The throttle floored against a launch limiter before the clutch bites; the pedal lets the engine down to the kept revs by feel.
fn all_wheel_boost() -> Case {
    let mut vehicle = cars::all_wheel_drive();
    vehicle.engine.launch_limiter = Some(LaunchLimiter {
        limiter: Limiter { cut_radps: 5200.0 * RPM, resume_radps: 5050.0 * RPM },
        until_mps: 4.0,
    });
    vehicle.engine.rated_to = PowerStandard::Din70020;
    let mut scenario = cars::dry(4800.0);
    scenario.driver.release_s = 1.8;
    scenario.driver.release_shape = ReleaseShape::QuickToBite;
    scenario.driver.throttle_lead_s = 0.6;
    scenario.driver.throttle_ease_s = 0.2;
    scenario.driver.kept_radps = 3600.0 * RPM;
    scenario.driver.clutch_feel = Some(ClutchFeel { lag_s: 0.1, damping_ratio: 0.8, foot_per_s: 5.0 });
    scenario.headwind_mps = 4.0;
    Case { name: "all-wheel drive, turbocharged, boost built before the bite", vehicle, scenario }
}

/// Four wheels of their own: less grip on the right, axles locked together, limited slip in front. The finish is a speed.
fn all_wheel_split() -> Case {
    let mut vehicle = cars::all_wheel_drive();
    vehicle.driveline.layout = Layout::All { front_share: 0.5, centre: Differential::Locked };
    vehicle.driveline.front_differential = Differential::LimitedSlip { preload_nm: 40.0, bias_ratio: 1.8 };
    vehicle.engine.rated_to = PowerStandard::Uncorrected;
    sliding_falls(&mut vehicle, 0.01);
    let mut scenario = cars::wet(5000.0);
    scenario.driver.release_s = 1.6;
    scenario.surface.right_to_left_friction = 0.6;
    scenario.surface.rolling_resistance_scale = 1.3;
    scenario.finish = Finish::Speed { speed_mps: 45.0 };
    Case { name: "all-wheel drive, axles locked together, split friction", vehicle, scenario }
}

/// The throttle follows the bite, and a nervous foot keeps the revs: boost has to build while the clutch slips. Slow shifts.
fn all_wheel_feel() -> Case {
    let mut vehicle = cars::all_wheel_drive();
    sliding_falls(&mut vehicle, 0.006);
    let mut scenario = cars::dry(4200.0);
    scenario.driver.release_s = 0.4;
    scenario.driver.throttle_lead_s = -0.15;
    scenario.driver.throttle_ease_s = 0.2;
    scenario.driver.kept_radps = 3300.0 * RPM;
    scenario.driver.clutch_feel = Some(ClutchFeel { lag_s: 0.12, damping_ratio: 0.5, foot_per_s: 4.0 });
    scenario.driver.wheelspin =
        WheelspinResponse::Trimmed(Trim { lag_s: 0.18, target_slip: 0.1, gain: 1.5, foot_per_s: 5.0 });
    scenario.driver.shift_time_factor = 1.3;
    scenario.driver.shift_reaction_s = 0.12;
    Case { name: "all-wheel drive, turbocharged, kept by feel, throttle after the bite", vehicle, scenario }
}

/// A light flywheel on a road like ice: trimming the throttle would kill the engine, so that the driver gives some back.
fn rear_dying() -> Case {
    let mut vehicle = cars::rear_drive();
    vehicle.engine.inertia_kgm2 = 0.12;
    sliding_falls(&mut vehicle, 0.012);
    let mut scenario = cars::dry(2600.0);
    scenario.surface.friction_scale = 0.25;
    scenario.driver.release_s = 0.5;
    scenario.driver.kept_radps = 2500.0 * RPM;
    scenario.driver.clutch_feel = Some(ClutchFeel { lag_s: 0.15, damping_ratio: 0.7, foot_per_s: 6.0 });
    scenario.driver.wheelspin =
        WheelspinResponse::Trimmed(Trim { lag_s: 0.25, target_slip: 0.1, gain: 2.5, foot_per_s: 6.0 });
    scenario.driver.shift_time_factor = 0.8;
    scenario.finish = Finish::Speed { speed_mps: 14.0 };
    Case { name: "rear-drive, ice, revs that die", vehicle, scenario }
}

fn solid_uphill_open() -> Case {
    let mut vehicle = cars::solid_axle();
    vehicle.engine.rated_to = PowerStandard::Iso1585;
    let mut scenario = cars::dry(4500.0);
    scenario.driver.release_s = 0.9;
    scenario.driver.release_shape = ReleaseShape::QuickToBite;
    scenario.slope = Slope::Constant { rise_per_run: 0.06 };
    Case { name: "solid axle, open, uphill", vehicle, scenario }
}

fn solid_uphill_locked() -> Case {
    let mut case = solid_uphill_open();
    case.name = "solid axle, locked, uphill";
    case.vehicle.driveline.rear_differential = Differential::Locked;
    case
}

/// The answer to wheelspin that nobody has, downhill with a tail wind, shifted after the limiter has cut.
fn rear_ideal() -> Case {
    let mut vehicle = cars::rear_drive();
    sliding_falls(&mut vehicle, 0.008);
    let mut scenario = cars::wet(4000.0);
    scenario.driver.wheelspin = WheelspinResponse::Ideal;
    scenario.driver.shift_at_radps = vec![6700.0 * RPM, 7200.0 * RPM];
    scenario.slope = Slope::Constant { rise_per_run: -0.01 };
    scenario.headwind_mps = -5.0;
    scenario.air = Air { temperature_c: 31.0, pressure_pa: 95_000.0, relative_humidity: 0.6 };
    Case { name: "rear-drive, wet, slip held at the peak", vehicle, scenario }
}

/// The same answer for four wheels of their own, two of which have less grip, with a limited slip between the axles.
fn all_wheel_ideal() -> Case {
    let mut case = all_wheel_split();
    case.name = "all-wheel drive, split friction, slip held at the peak";
    case.vehicle.driveline.layout =
        Layout::All { front_share: 0.4, centre: Differential::LimitedSlip { preload_nm: 60.0, bias_ratio: 2.0 } };
    case.scenario.driver.wheelspin = WheelspinResponse::Ideal;
    case
}

/// The cases in the form that the other solver reads: the fields' own names, SI.
#[must_use]
pub fn cases_json() -> String {
    let all: Vec<Value> = cases()
        .iter()
        .map(|case| json!({"name": case.name, "vehicle": vehicle(&case.vehicle), "scenario": scenario(&case.scenario)}))
        .collect();
    let mut text = serde_json::to_string_pretty(&all).expect("plain values");
    text.push('\n');
    text
}

fn vehicle(car: &Vehicle) -> Value {
    let engine = &car.engine;
    let limiter = |l: &Limiter| json!({"cut_radps": l.cut_radps, "resume_radps": l.resume_radps});
    let chassis = &car.chassis;
    json!({
        "engine": {
            "full_load_nm": engine.full_load_nm.points(),
            "motoring": {
                "constant_nm": engine.motoring.constant_nm,
                "linear_nm_s": engine.motoring.linear_nm_s,
                "quadratic_nm_s2": engine.motoring.quadratic_nm_s2,
            },
            "boost": engine.boost.as_ref().map(|b| json!({
                "off_boost_nm": b.off_boost_nm.points(),
                "time_constant_s": b.time_constant_s,
                "reference_radps": b.reference_radps,
            })),
            "inertia_kgm2": engine.inertia_kgm2,
            "idle_radps": engine.idle_radps,
            "stall_radps": engine.stall_radps,
            "limiter": limiter(&engine.limiter),
            "launch_limiter": engine.launch_limiter.as_ref().map(|l| json!({
                "limiter": limiter(&l.limiter),
                "until_mps": l.until_mps,
            })),
            "throttle_lag_s": engine.throttle_lag_s,
            "rated_to": match engine.rated_to {
                PowerStandard::SaeJ1349 => "sae_j1349",
                PowerStandard::Iso1585 => "iso_1585",
                PowerStandard::Din70020 => "din_70020",
                PowerStandard::Uncorrected => "uncorrected",
            },
            "air_correction_share": engine.air_correction_share,
        },
        "clutch": clutch(&car.clutch),
        "gearbox": gearbox(&car.gearbox),
        "driveline": {
            "layout": match &car.driveline.layout {
                Layout::Front => json!({"driven": "front"}),
                Layout::Rear => json!({"driven": "rear"}),
                Layout::All { front_share, centre } => {
                    json!({"driven": "all", "front_share": front_share, "centre": differential(centre)})
                }
            },
            "stiffness_nm_per_rad": car.driveline.stiffness_nm_per_rad,
            "damping_nm_s_per_rad": car.driveline.damping_nm_s_per_rad,
            "lash_rad": car.driveline.lash_rad,
            "front_differential": differential(&car.driveline.front_differential),
            "rear_differential": differential(&car.driveline.rear_differential),
            "solid_rear_axle": car.driveline.solid_rear_axle.map(|a| json!({
                "track_m": a.track_m,
                "front_roll_stiffness_share": a.front_roll_stiffness_share,
            })),
        },
        "front_tyre": tyre(&car.front_tyre),
        "rear_tyre": tyre(&car.rear_tyre),
        "chassis": {
            "mass_kg": chassis.mass_kg,
            "wheelbase_m": chassis.wheelbase_m,
            "cg_height_m": chassis.cg_height_m,
            "front_weight_share": chassis.front_weight_share,
            "drag_area_m2": chassis.drag_area_m2,
            "front_lift_area_m2": chassis.front_lift_area_m2,
            "rear_lift_area_m2": chassis.rear_lift_area_m2,
            "pitch_frequency_hz": chassis.pitch_frequency_hz,
            "pitch_damping_ratio": chassis.pitch_damping_ratio,
        },
    })
}

fn clutch(c: &Clutch) -> Value {
    json!({
        "friction_coefficient": c.friction_coefficient,
        "effective_radius_m": c.effective_radius_m,
        "faces": c.faces,
        "clamp_n": c.clamp_n,
        "bite_point": c.bite_point,
        "working_band": c.working_band,
        "fade_start_c": c.fade_start_c,
        "fade_span_k": c.fade_span_k,
        "fade_floor": c.fade_floor,
        "face_capacity_j_per_k": c.face_capacity_j_per_k,
        "mass_capacity_j_per_k": c.mass_capacity_j_per_k,
        "face_to_mass_w_per_k": c.face_to_mass_w_per_k,
        "mass_to_air_w_per_k": c.mass_to_air_w_per_k,
    })
}

fn gearbox(g: &Gearbox) -> Value {
    let gears: Vec<Value> = g
        .gears
        .iter()
        .map(|g| json!({"ratio": g.ratio, "efficiency": g.efficiency, "inertia_kgm2": g.inertia_kgm2}))
        .collect();
    json!({
        "gears": gears,
        "input_inertia_kgm2": g.input_inertia_kgm2,
        "final_drive": {
            "ratio": g.final_drive.ratio,
            "efficiency": g.final_drive.efficiency,
            "inertia_kgm2": g.final_drive.inertia_kgm2,
        },
        "shift": {
            "clutch_out_s": g.shift.clutch_out_s,
            "change_s": g.shift.change_s,
            "clutch_in_s": g.shift.clutch_in_s,
        },
    })
}

fn differential(d: &Differential) -> Value {
    match d {
        Differential::Open => json!({"kind": "open"}),
        Differential::LimitedSlip { preload_nm, bias_ratio } => {
            json!({"kind": "limited_slip", "preload_nm": preload_nm, "bias_ratio": bias_ratio})
        }
        Differential::Locked => json!({"kind": "locked"}),
    }
}

fn tyre(t: &Tyre) -> Value {
    let m = &t.magic_formula;
    json!({
        "rolling_radius_m": t.rolling_radius_m,
        "wheel_inertia_kgm2": t.wheel_inertia_kgm2,
        "magic_formula": {
            "nominal_load_n": m.nominal_load_n,
            "pcx1": m.pcx1,
            "pdx1": m.pdx1,
            "pdx2": m.pdx2,
            "pex1": m.pex1,
            "pex2": m.pex2,
            "pex3": m.pex3,
            "pkx1": m.pkx1,
            "pkx2": m.pkx2,
            "pkx3": m.pkx3,
            "sliding_fall_s_per_m": m.sliding_fall_s_per_m,
        },
        "relaxation_length_m": t.relaxation_length_m,
        "rolling_constant": t.rolling_constant,
        "rolling_quadratic_s2_per_m2": t.rolling_quadratic_s2_per_m2,
    })
}

fn scenario(s: &Scenario) -> Value {
    let driver = &s.driver;
    json!({
        "slope": match &s.slope {
            Slope::Constant { rise_per_run } => json!({"rise_per_run": rise_per_run}),
            Slope::Profile { height_m, start_m } => json!({"height_m": height_m.points(), "start_m": start_m}),
        },
        "surface": {
            "friction_scale": s.surface.friction_scale,
            "slip_stiffness_scale": s.surface.slip_stiffness_scale,
            "rolling_resistance_scale": s.surface.rolling_resistance_scale,
            "right_to_left_friction": s.surface.right_to_left_friction,
        },
        "air": {
            "temperature_c": s.air.temperature_c,
            "pressure_pa": s.air.pressure_pa,
            "relative_humidity": s.air.relative_humidity,
        },
        "headwind_mps": s.headwind_mps,
        "clutch_start_c": s.clutch_start_c,
        "driver": {
            "held_radps": driver.held_radps,
            "kept_radps": driver.kept_radps,
            "release_s": driver.release_s,
            "release_shape": match driver.release_shape {
                ReleaseShape::Straight => "straight",
                ReleaseShape::QuickToBite => "quick_to_bite",
            },
            "throttle_ease_s": driver.throttle_ease_s,
            "part_throttle": driver.part_throttle.map(|part| {
                json!({"held": part.held, "until_mps": part.until_mps, "open_s": part.open_s})
            }),
            "throttle_lead_s": driver.throttle_lead_s,
            "wheelspin": match driver.wheelspin {
                WheelspinResponse::None => json!({"response": "none"}),
                WheelspinResponse::Trimmed(trim) => json!({
                    "response": "trimmed",
                    "lag_s": trim.lag_s,
                    "target_slip": trim.target_slip,
                    "gain": trim.gain,
                    "foot_per_s": trim.foot_per_s,
                }),
                WheelspinResponse::Ideal => json!({"response": "ideal"}),
            },
            "clutch_feel": driver.clutch_feel.map(|feel| json!({
                "lag_s": feel.lag_s,
                "damping_ratio": feel.damping_ratio,
                "foot_per_s": feel.foot_per_s,
            })),
            "shift_at_radps": driver.shift_at_radps,
            "shift_reaction_s": driver.shift_reaction_s,
            "shift_time_factor": driver.shift_time_factor,
            "lifts_to_shift": driver.lifts_to_shift,
        },
        "rollout_m": s.rollout_m,
        "finish": match s.finish {
            Finish::Distance { distance_m } => json!({"distance_m": distance_m}),
            Finish::Speed { speed_mps } => json!({"speed_mps": speed_mps}),
        },
        "time_limit_s": s.time_limit_s,
    })
}
