//! Estimates of body and tyres.

use core::f64::consts::{FRAC_PI_2, PI, TAU};

use bitepoint_physics::chassis::Chassis;
use bitepoint_physics::road::GRAVITY_MPS2;
use bitepoint_physics::tyre::{MagicFormula, Tyre};

use super::transmission::Plan;
use crate::entry::Origin;
use crate::given::Spread;
use crate::key::Key;
use crate::resolver::{Estimate, Resolver};
use crate::tyre_size::TyreSize;
use crate::vehicle_keys as keys;

pub(super) fn plan(r: &mut Resolver<'_>) -> Plan {
    let driven = r.choice(&keys::DRIVEN_AXLE, keys::DRIVEN_AXLES[1], "", Origin::Given);
    let engine_position =
        r.choice(&keys::ENGINE_POSITION, "front", "in front where nothing is said", Origin::CommonPractice);
    Plan { driven, engine_position }
}

pub(super) fn chassis(r: &mut Resolver<'_>, plan: Plan) -> Chassis {
    let kerb_kg = r.number(&keys::MASS, Estimate::derived(1400.0, ""));
    let driver_kg = r.number(&keys::DRIVER_MASS, Estimate::practice(75.0, Spread::Absolute(10.0), "75 kg"));
    let wheelbase_m = r.number(
        &keys::WHEELBASE,
        Estimate::memory(
            2.50 + 0.30e-3 * (kerb_kg - 1000.0),
            Spread::Absolute(0.10),
            "2.50 m + 0.30 m per tonne over 1000 kg",
        ),
    );
    let (share, share_rule) = match plan {
        Plan { engine_position: "mid", .. } => (0.43, "43 %: engine between the axles"),
        Plan { engine_position: "rear", .. } => (0.39, "39 %: engine behind the rear axle"),
        Plan { driven: "front", .. } => (0.61, "61 %: engine in front, front axle driven"),
        Plan { driven: "all", .. } => (0.58, "58 %: engine in front, all wheels driven"),
        _ => (0.53, "53 %: engine in front, rear axle driven"),
    };
    let front_weight_share =
        r.number(&keys::FRONT_WEIGHT_SHARE, Estimate::practice(share, Spread::Absolute(0.02), share_rule));
    let (height, height_rule) = if plan.driven == "rear" {
        (1.38, "1.38 m, rear axle driven")
    } else {
        (1.45, "1.45 m, front axle or all wheels driven")
    };
    let height_m = r.number(&keys::HEIGHT, Estimate::memory(height, Spread::Absolute(0.05), height_rule));
    let cg_height_m = r.number(
        &keys::CG_HEIGHT,
        Estimate::new(
            0.39 * height_m,
            Spread::Relative(0.03),
            "0.39 of the height of the roof",
            Origin::Published(
                "G. J. Heydinger et al., SAE 1999-01-1336, published inertia measurements: 0.37 to 0.41 (from memory)",
            ),
        ),
    );
    let area_m2 = frontal_area(r, kerb_kg, height_m);
    let drag_area_m2 = match r.given.has(&keys::DRAG_AREA) {
        true => r.number(&keys::DRAG_AREA, Estimate::derived(0.0, "")),
        false => {
            let cd = r.number(&keys::DRAG_COEFFICIENT, Estimate::practice(0.31, Spread::Absolute(0.03), "0.31"));
            r.number(&keys::DRAG_AREA, Estimate::derived(cd * area_m2, "drag coefficient times frontal area"))
        }
    };
    let front_lift = r.number(&keys::FRONT_LIFT, Estimate::memory(0.03, Spread::Absolute(0.04), "0.03"));
    let rear_lift = r.number(&keys::REAR_LIFT, Estimate::memory(0.07, Spread::Absolute(0.05), "0.07"));
    Chassis {
        mass_kg: kerb_kg + driver_kg,
        wheelbase_m,
        cg_height_m,
        front_weight_share,
        drag_area_m2,
        front_lift_area_m2: front_lift * area_m2,
        rear_lift_area_m2: rear_lift * area_m2,
        pitch_frequency_hz: r
            .number(&keys::PITCH_FREQUENCY, Estimate::practice(1.45, Spread::Relative(0.1), "1.45 Hz")),
        pitch_damping_ratio: r.number(&keys::PITCH_DAMPING, Estimate::practice(0.3, Spread::Relative(0.2), "0.3")),
    }
}

fn frontal_area(r: &mut Resolver<'_>, kerb_kg: f64, height_m: f64) -> f64 {
    let estimate = match r.optional_number(&keys::WIDTH) {
        Some(width_m) => {
            Estimate::practice(0.82 * width_m * height_m, Spread::Relative(0.03), "0.82 of width times height")
        }
        None => Estimate::new(
            1.6 + 0.000_56 * (kerb_kg - 765.0),
            Spread::Relative(0.06),
            "1.6 + 0.00056 (mass - 765 kg) m²",
            Origin::Published("J. Y. Wong, Theory of Ground Vehicles (formula from memory)"),
        ),
    };
    r.number(&keys::FRONTAL_AREA, estimate)
}

/// Coefficients that both axles share: one rubber, one maker.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rubber {
    size: TyreSize,
    peak_friction: f64,
    friction_per_load: f64,
    sliding_share: f64,
    sliding_fall: f64,
    peak_slip: f64,
    slip_stiffness: f64,
    slip_stiffness_per_load: f64,
    slip_stiffness_exponent: f64,
    curvature_per_load: f64,
    curvature_per_load_squared: f64,
    circumference_factor: f64,
    carcass_stiffness: f64,
    rolling_constant: f64,
    rolling_growth: f64,
}

struct Grade {
    friction: f64,
    friction_sd: f64,
    stiffness: f64,
    peak_slip: f64,
    rolling: f64,
}

fn grade(word: &str) -> Grade {
    match word {
        "economy" => Grade { friction: 0.98, friction_sd: 0.05, stiffness: 18.0, peak_slip: 0.13, rolling: 0.009 },
        "summer" => Grade { friction: 1.15, friction_sd: 0.06, stiffness: 21.0, peak_slip: 0.11, rolling: 0.012 },
        "track" => Grade { friction: 1.28, friction_sd: 0.08, stiffness: 24.0, peak_slip: 0.10, rolling: 0.014 },
        _ => Grade { friction: 1.06, friction_sd: 0.06, stiffness: 19.5, peak_slip: 0.12, rolling: 0.011 },
    }
}

pub(super) fn rubber(r: &mut Resolver<'_>) -> Rubber {
    const PACEJKA: Origin = Origin::Published(
        "H. B. Pacejka, Tyre and Vehicle Dynamics, table A3.1 (205/60R15; coefficients from text that cites it)",
    );
    let size = r.size(&keys::TYRE_SIZE, TyreSize { width_mm: 205.0, aspect_ratio: 0.55, rim_in: 16.0 }, "");
    let likely = if size.aspect_ratio <= 0.455 { "summer" } else { "touring" };
    let word = r.choice(
        &keys::TYRE_GRADE,
        likely,
        "45 series and lower are taken as summer tyres, others as touring tyres",
        Origin::FromMemory,
    );
    let grade = grade(word);
    let (none, absolute, relative) =
        (Spread::None, Spread::Absolute as fn(f64) -> Spread, Spread::Relative as fn(f64) -> Spread);
    let mut memory = |key, value, spread, rule| r.number(key, Estimate::memory(value, spread, rule));
    let peak_friction = memory(
        &keys::PEAK_FRICTION,
        grade.friction,
        absolute(grade.friction_sd),
        "by grade, dry asphalt: economy 0.98, touring 1.06, summer 1.15, track 1.28 (5 to 12 % over full stops from 60 mph in 145, 122, 111, 102 ft)",
    );
    let friction_per_load = memory(&keys::FRICTION_PER_LOAD, -0.06, absolute(0.02), "-0.06 per nominal load");
    let sliding_share =
        memory(&keys::SLIDING_SHARE, 0.92, absolute(0.03), "0.92, before friction falls with sliding speed");
    let sliding_fall = memory(
        &keys::SLIDING_FALL,
        0.012,
        absolute(0.004),
        "0.012 per m/s: four fifths of the peak are left at 10 m/s",
    );
    let peak_slip = memory(
        &keys::PEAK_SLIP,
        grade.peak_slip,
        relative(0.12),
        "by grade: economy 0.13, touring 0.12, summer 0.11, track 0.10",
    );
    let slip_stiffness = memory(
        &keys::SLIP_STIFFNESS,
        grade.stiffness,
        relative(0.12),
        "by grade: economy 18, touring 19.5, summer 21, track 24",
    );
    let mut published = |key, value, rule| r.number(key, Estimate::new(value, none, rule, PACEJKA));
    Rubber {
        size,
        peak_friction,
        friction_per_load,
        sliding_share,
        sliding_fall,
        peak_slip,
        slip_stiffness,
        slip_stiffness_per_load: published(&keys::SLIP_STIFFNESS_PER_LOAD, -0.163, "-0.163"),
        slip_stiffness_exponent: published(&keys::SLIP_STIFFNESS_EXPONENT, 0.245, "0.245"),
        curvature_per_load: published(&keys::CURVATURE_PER_LOAD, 0.095, "0.095"),
        curvature_per_load_squared: published(&keys::CURVATURE_PER_LOAD_SQUARED, -0.020, "-0.020"),
        circumference_factor: r.number(
            &keys::CIRCUMFERENCE_FACTOR,
            Estimate::new(3.05, absolute(0.015), "3.05 times the free diameter", Origin::Published("ETRTO Standards Manual, radial car tyres (from memory)")),
        ),
        carcass_stiffness: r.number(
            &keys::CARCASS_STIFFNESS,
            Estimate::memory(57.0, relative(0.25), "57: 3.6e5 N/m for a tyre of 0.637 m under 4000 N"),
        ),
        rolling_constant: r.number(
            &keys::ROLLING_RESISTANCE,
            Estimate::new(
                grade.rolling,
                relative(0.12),
                "by grade: economy 0.009, touring 0.011, summer 0.012, track 0.014",
                Origin::Published("within the 0.010 to 0.015 of good roads (T. D. Gillespie, Fundamentals of Vehicle Dynamics; from memory); split by grade from memory"),
            ),
        ),
        rolling_growth: r.number(
            &keys::ROLLING_GROWTH,
            Estimate::new(
                0.40e-7 * 3.6 * 3.6,
                relative(0.3),
                "0.40e-7 per (km/h)²",
                Origin::Published("J. Y. Wong, Theory of Ground Vehicles, radial car tyres (from memory)"),
            ),
        ),
    }
}

/// Keys of one axle's tyre.
pub(super) struct AxleKeys {
    size: &'static Key,
    friction: &'static Key,
    circumference: &'static Key,
    inertia: &'static Key,
    load: &'static Key,
    relaxation: &'static Key,
    pcx1: &'static Key,
    pex1: &'static Key,
}

pub(super) static FRONT: AxleKeys = AxleKeys {
    size: &keys::FRONT_SIZE,
    friction: &keys::FRONT_PEAK_FRICTION,
    circumference: &keys::FRONT_CIRCUMFERENCE,
    inertia: &keys::FRONT_WHEEL_INERTIA,
    load: &keys::FRONT_NOMINAL_LOAD,
    relaxation: &keys::FRONT_RELAXATION,
    pcx1: &keys::FRONT_PCX1,
    pex1: &keys::FRONT_PEX1,
};

pub(super) static REAR: AxleKeys = AxleKeys {
    size: &keys::REAR_SIZE,
    friction: &keys::REAR_PEAK_FRICTION,
    circumference: &keys::REAR_CIRCUMFERENCE,
    inertia: &keys::REAR_WHEEL_INERTIA,
    load: &keys::REAR_NOMINAL_LOAD,
    relaxation: &keys::REAR_RELAXATION,
    pcx1: &keys::REAR_PCX1,
    pex1: &keys::REAR_PEX1,
};

/// One tyre of an axle that carries `share` of the weight.
pub(super) fn tyre(
    r: &mut Resolver<'_>,
    of: &'static AxleKeys,
    rubber: &Rubber,
    chassis: &Chassis,
    share: f64,
) -> Tyre {
    let size = r.size(of.size, rubber.size, "the sheet's size");
    let pdx1 = r.number(of.friction, Estimate::derived(rubber.peak_friction, "that of both axles"));
    let load_n =
        r.number(of.load, Estimate::derived(0.5 * share * chassis.mass_kg * GRAVITY_MPS2, "static load of one wheel"));
    let circumference_m = r.number(
        of.circumference,
        Estimate::derived(
            rubber.circumference_factor * size.free_diameter_m(),
            "circumference factor times free diameter",
        ),
    );
    let pcx1 = r.number(
        of.pcx1,
        Estimate::derived(
            2.0 - 2.0 / PI * libm::asin(rubber.sliding_share),
            "2 - (2/π) arcsin(sliding over peak friction)",
        ),
    );
    let pex1 = r.number(
        of.pex1,
        Estimate::derived(
            curvature(rubber.slip_stiffness / (pcx1 * pdx1), pcx1, rubber.peak_slip),
            "puts the peak at the peak slip",
        ),
    );
    let relaxation_length_m = r.number(
        of.relaxation,
        Estimate::derived(
            rubber.slip_stiffness * size.free_diameter_m() / rubber.carcass_stiffness,
            "slip stiffness over longitudinal carcass stiffness",
        ),
    );
    let wheel_inertia_kgm2 = r.number(
        of.inertia,
        Estimate::memory(
            wheel_inertia(&size),
            Spread::Relative(0.12),
            "tyre 70 kg/m² of width times diameter, wheel 0.58 kg per inch, brake disc",
        ),
    );
    Tyre {
        rolling_radius_m: circumference_m / TAU,
        wheel_inertia_kgm2,
        magic_formula: MagicFormula {
            nominal_load_n: load_n,
            pcx1,
            pdx1,
            pdx2: rubber.friction_per_load,
            pex1,
            pex2: rubber.curvature_per_load,
            pex3: rubber.curvature_per_load_squared,
            pkx1: rubber.slip_stiffness,
            pkx2: rubber.slip_stiffness_per_load,
            pkx3: rubber.slip_stiffness_exponent,
            sliding_fall_s_per_m: rubber.sliding_fall,
        },
        relaxation_length_m,
        rolling_constant: rubber.rolling_constant,
        rolling_quadratic_s2_per_m2: rubber.rolling_growth,
    }
}

/// Curvature factor E that puts the peak of stiffness factor `b` and shape `c` at `peak_slip`:
/// from x - E (x - arctan x) = tan(π / 2C) at x = B · peak slip.
fn curvature(b: f64, c: f64, peak_slip: f64) -> f64 {
    let x = b * peak_slip;
    let target = libm::tan(FRAC_PI_2 / c);
    ((x - target) / (x - libm::atan(x)).max(1e-6)).clamp(-15.0, 0.95)
}

/// Wheel, tyre, disc and hub from the size: masses from memory (225/40R18: tyre 10 kg, wheel 10.4 kg), radii of gyration 0.45 of the
/// free and 0.38 of the rim diameter.
fn wheel_inertia(size: &TyreSize) -> f64 {
    let (diameter, rim) = (size.free_diameter_m(), size.rim_m());
    let tyre_kg = 70.0 * size.width_m() * diameter;
    let wheel_kg = 0.58 * size.rim_in;
    let brake = 0.09 * libm::pow(size.rim_in / 18.0, 4.0);
    let (tyre_gyration, wheel_gyration) = (0.45 * diameter, 0.38 * rim);
    tyre_kg * tyre_gyration * tyre_gyration + wheel_kg * wheel_gyration * wheel_gyration + brake
}
