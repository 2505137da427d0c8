//! Random but plausible vehicles, scenarios and drivers: what a reader of files would let pass, spread widely.

use bitepoint_physics::air::{Air, PowerStandard};
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Layout, SolidAxle};
use bitepoint_physics::driver::{ClutchFeel, PartThrottle, ReleaseShape, Trim, WheelspinResponse};
use bitepoint_physics::engine::{Boost, LaunchLimiter, Limiter};
use bitepoint_physics::gearbox::{FinalDrive, Gear};
use bitepoint_physics::road::Slope;
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};
use proptest::prelude::*;

use crate::cars::{self, RPM};

/// A car and a run of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The car.
    pub vehicle: Vehicle,
    /// The run.
    pub scenario: Scenario,
}

fn differential() -> impl Strategy<Value = Differential> {
    prop_oneof![
        Just(Differential::Open),
        (0.0..150.0, 1.0..4.0)
            .prop_map(|(preload_nm, bias_ratio)| Differential::LimitedSlip { preload_nm, bias_ratio }),
        Just(Differential::Locked),
    ]
}

fn layout() -> impl Strategy<Value = Layout> {
    prop_oneof![
        Just(Layout::Front),
        Just(Layout::Rear),
        (0.2..0.8, differential()).prop_map(|(front_share, centre)| Layout::All { front_share, centre }),
    ]
}

fn wheelspin() -> impl Strategy<Value = WheelspinResponse> {
    prop_oneof![
        Just(WheelspinResponse::None),
        Just(WheelspinResponse::Ideal),
        (0.1..0.4, 0.08..0.4, 0.5..3.0, 3.0..8.0).prop_map(|(lag_s, target_slip, gain, foot_per_s)| {
            WheelspinResponse::Trimmed(Trim { lag_s, target_slip, gain, foot_per_s })
        }),
    ]
}

fn clutch_feel() -> impl Strategy<Value = Option<ClutchFeel>> {
    let feel = (0.05..0.25, 0.4..1.2, 3.0..8.0);
    proptest::option::of(feel.prop_map(|(lag_s, damping_ratio, foot_per_s)| ClutchFeel {
        lag_s,
        damping_ratio,
        foot_per_s,
    }))
}

fn part_throttle() -> impl Strategy<Value = Option<PartThrottle>> {
    let part = (0.1..1.0, 0.0..30.0, 0.0..2.0);
    proptest::option::of(part.prop_map(|(held, until_mps, open_s)| PartThrottle { held, until_mps, open_s }))
}

/// Engine of a displacement's worth of torque, turbocharged in one case of three.
fn engine_into(vehicle: Vehicle) -> impl Strategy<Value = Vehicle> {
    let shape = (90.0..600.0, 0.5..0.9, 0.65..0.95, 5500.0..8500.0);
    let boost = proptest::option::weighted(0.33, (0.4..0.8, 0.15..1.0, 2500.0..4500.0));
    (shape, boost, 0.6..1.6, 0.02..0.12, any::<bool>()).prop_map(
        move |((peak_nm, low, high, limit_rpm), boost, inertia, throttle_lag_s, launch)| {
            let mut vehicle = vehicle.clone();
            let engine = &mut vehicle.engine;
            let at = |share: f64| share * limit_rpm;
            engine.full_load_nm = cars::curve(&[
                (800.0, low * 0.8 * peak_nm),
                (at(0.3), f64::max(low, 0.8) * peak_nm),
                (at(0.6), peak_nm),
                (at(0.85), 0.5 * (1.0 + high) * peak_nm),
                (limit_rpm, high * peak_nm),
            ]);
            engine.boost = boost.map(|(off, time_constant_s, reference_rpm)| Boost {
                off_boost_nm: scaled(&engine.full_load_nm, off),
                time_constant_s,
                reference_radps: reference_rpm * RPM,
            });
            engine.inertia_kgm2 = inertia * (0.08 + 0.0004 * peak_nm);
            engine.motoring.constant_nm = 0.05 * peak_nm;
            engine.limiter = Limiter { cut_radps: limit_rpm * RPM, resume_radps: (limit_rpm - 120.0) * RPM };
            engine.launch_limiter = launch.then(|| LaunchLimiter {
                limiter: Limiter { cut_radps: at(0.65) * RPM, resume_radps: (at(0.65) - 100.0) * RPM },
                until_mps: 3.0,
            });
            engine.throttle_lag_s = throttle_lag_s;
            engine.rated_to = PowerStandard::SaeJ1349;
            engine.air_correction_share = if engine.boost.is_some() { 0.4 } else { 1.0 };
            vehicle.clutch.clamp_n = 1.6 * peak_nm / 0.06;
            vehicle
        },
    )
}

fn scaled(curve: &Curve, share: f64) -> Curve {
    let points: Vec<_> = curve.points().into_iter().map(|(x, y)| (x, share * y)).collect();
    Curve::new(&points).expect("scaling keeps the points rising")
}

/// Gears, driveline, tyres and body.
fn chassis_into(vehicle: Vehicle) -> impl Strategy<Value = Vehicle> {
    let gears = (2.8..4.2, 1.35..1.75, 4_usize..7, 3.0..4.6, 0.92..1.0);
    let drive = (layout(), differential(), differential(), any::<bool>(), 5000.0..20_000.0, 30.0..200.0, 0.0..0.06);
    let tyre = (0.8..1.4, 0.28..0.35, 0.6..1.6, 0.15..0.6, 12.0..30.0, 0.0..0.01);
    let body = (700.0..2400.0, 2.2..3.1, 0.42..0.68, 0.40..0.66, 0.45..1.0, -0.3..0.3, 1.0..2.5, 0.15..0.6);
    (gears, drive, tyre, body).prop_map(move |(gears, drive, tyre, body)| {
        let mut v = vehicle.clone();
        let (first, step, count, final_ratio, efficiency) = gears;
        v.gearbox.gears = (0..count)
            .map(|i| Gear { ratio: first / f64::powi(step, i as i32), efficiency, inertia_kgm2: 0.003 })
            .collect();
        v.gearbox.final_drive = FinalDrive { ratio: final_ratio, efficiency, inertia_kgm2: 0.25 };
        let (layout, front, rear, solid, stiffness, damping, lash) = drive;
        v.driveline.layout = layout;
        v.driveline.front_differential = front;
        v.driveline.rear_differential = rear;
        let solid_rear = solid && layout != Layout::Front;
        v.driveline.solid_rear_axle =
            solid_rear.then_some(SolidAxle { track_m: 1.5, front_roll_stiffness_share: 0.75 });
        v.driveline.stiffness_nm_per_rad = stiffness;
        v.driveline.damping_nm_s_per_rad = damping;
        v.driveline.lash_rad = lash;
        let (friction, radius_m, inertia, relaxation_m, stiffness, sliding_fall) = tyre;
        for t in [&mut v.front_tyre, &mut v.rear_tyre] {
            t.magic_formula.pdx1 = friction;
            t.magic_formula.pkx1 = stiffness;
            t.magic_formula.sliding_fall_s_per_m = sliding_fall;
            t.rolling_radius_m = radius_m;
            t.wheel_inertia_kgm2 = inertia;
            t.relaxation_length_m = relaxation_m;
        }
        let c = &mut v.chassis;
        let lift: f64;
        (
            c.mass_kg,
            c.wheelbase_m,
            c.cg_height_m,
            c.front_weight_share,
            c.drag_area_m2,
            lift,
            c.pitch_frequency_hz,
            c.pitch_damping_ratio,
        ) = body;
        (c.front_lift_area_m2, c.rear_lift_area_m2) = (lift, -lift);
        v
    })
}

/// A car.
pub fn vehicle() -> impl Strategy<Value = Vehicle> {
    chassis_into(cars::rear_drive()).prop_flat_map(engine_into)
}

fn slope() -> impl Strategy<Value = Slope> {
    let rises = prop::collection::vec(-0.5..0.5, 12);
    prop_oneof![
        2 => Just(Slope::Constant { rise_per_run: 0.0 }),
        2 => (-0.05..0.1).prop_map(|rise_per_run| Slope::Constant { rise_per_run }),
        1 => rises.prop_map(|heights: Vec<f64>| {
            let points: Vec<_> = heights.iter().enumerate().map(|(i, &h)| (40.0 * i as f64, h)).collect();
            Slope::Profile { height_m: Curve::new(&points).expect("distances rise"), start_m: 10.0 }
        }),
    ]
}

/// A car and a run of it to a quarter mile.
pub fn case() -> impl Strategy<Value = Case> {
    let shapes = prop_oneof![Just(ReleaseShape::Straight), Just(ReleaseShape::QuickToBite)];
    let start =
        (0.25..0.95, 0.1..3.0, shapes, 0.0..1.5, part_throttle(), -0.3..0.6, wheelspin(), clutch_feel(), 0.5..1.0);
    let shift = (0.85..1.03, 0.0..0.3, any::<bool>(), 0.7..1.6);
    let sides = prop_oneof![3 => Just(1.0), 1 => 0.4..2.0];
    let surface = (0.25..1.3, 0.6..1.2, sides);
    let air = (-10.0..40.0, 75_000.0..104_000.0, 0.0..1.0, -8.0..8.0);
    (vehicle(), start, shift, surface, air, slope()).prop_map(|(vehicle, start, shift, surface, air, slope)| {
        let limit = vehicle.engine.limiter.cut_radps;
        let (held, release_s, release_shape, throttle_ease_s, part_throttle, throttle_lead_s, wheelspin, feel, kept) =
            start;
        let mut scenario = cars::dry(1000.0);
        let driver = &mut scenario.driver;
        driver.held_radps = held * limit;
        driver.release_s = release_s;
        driver.release_shape = release_shape;
        driver.throttle_ease_s = throttle_ease_s;
        driver.part_throttle = part_throttle;
        driver.clutch_feel = feel;
        driver.kept_radps = driver.held_radps * kept;
        driver.throttle_lead_s = throttle_lead_s;
        driver.wheelspin = wheelspin;
        driver.shift_at_radps = vec![shift.0 * limit];
        driver.shift_reaction_s = shift.1;
        driver.lifts_to_shift = shift.2;
        driver.shift_time_factor = shift.3;
        scenario.surface.friction_scale = surface.0;
        scenario.surface.slip_stiffness_scale = surface.1;
        scenario.surface.right_to_left_friction = surface.2;
        scenario.air = Air { temperature_c: air.0, pressure_pa: air.1, relative_humidity: air.2 };
        scenario.headwind_mps = air.3;
        scenario.slope = slope;
        scenario.finish = Finish::Distance { distance_m: 402.336 };
        scenario.time_limit_s = 60.0;
        Case { vehicle, scenario }
    })
}
