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
use crate::rules::{self, Rule};
use crate::tyre_size::TyreSize;
use crate::vehicle_keys as keys;

/// The year that a car is of: what its tyres, its shape, its gearbox and its rating were like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ModelYear(f64);

impl ModelYear {
    /// Years by which the car is older than `year`, as far back as the rules hold.
    pub(super) fn before(self, year: f64) -> f64 {
        (year - self.0.max(EARLIEST_YEAR)).max(0.0)
    }

    pub(super) fn is_before(self, year: f64) -> bool {
        self.0 < year
    }
}

/// Cars of before are estimated as of this year.
const EARLIEST_YEAR: f64 = 1970.0;

pub(super) fn model_year(r: &mut Resolver<'_>) -> ModelYear {
    // Who learns each value of one car by itself has nothing more to learn from its year.
    let spread = if r.is_folded() { Spread::None } else { Spread::Absolute(6.0) };
    ModelYear(r.number(&keys::MODEL_YEAR, Estimate::practice(2012.0, spread, "2012 where nothing is said")))
}

pub(super) fn plan(r: &mut Resolver<'_>) -> Plan {
    let driven = r.choice(&keys::DRIVEN_AXLE, keys::DRIVEN_AXLES[1], "", Origin::Given);
    let engine_position =
        r.choice(&keys::ENGINE_POSITION, "front", "in front where nothing is said", Origin::CommonPractice);
    Plan { driven, engine_position }
}

pub(super) fn chassis(r: &mut Resolver<'_>, plan: Plan, year: ModelYear) -> Chassis {
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
    let (front_weight, front_weight_rule) = match plan {
        Plan { engine_position: "mid", .. } => (rules::FRONT_WEIGHT_MID, "engine between the axles"),
        Plan { engine_position: "rear", .. } => (rules::FRONT_WEIGHT_REAR, "engine behind the rear axle"),
        Plan { driven: "front", .. } => (rules::FRONT_WEIGHT_FRONT_DRIVE, "engine in front, front axle driven"),
        Plan { driven: "all", .. } => (rules::FRONT_WEIGHT_ALL_DRIVE, "engine in front, all wheels driven"),
        _ => (rules::FRONT_WEIGHT_REAR_DRIVE, "engine in front, rear axle driven"),
    };
    let front_weight = r.by_rule(r.rule(front_weight), front_weight, front_weight_rule);
    let front_weight_share = r.number(&keys::FRONT_WEIGHT_SHARE, front_weight);
    let (height, height_rule) = if plan.driven == "rear" {
        (1.38, "1.38 m, rear axle driven")
    } else {
        (1.45, "1.45 m, front axle or all wheels driven")
    };
    let height_m = r.number(&keys::HEIGHT, Estimate::memory(height, Spread::Absolute(0.05), height_rule));
    let cg_height = r.by_rule_in_shares(
        r.rule(rules::CG_PER_HEIGHT) * height_m,
        rules::CG_PER_HEIGHT,
        "share of the height of the roof",
    );
    let cg_height_m = r.number(&keys::CG_HEIGHT, cg_height);
    let area_m2 = frontal_area(r, kerb_kg, height_m);
    let drag_area_m2 = match r.given.has(&keys::DRAG_AREA) {
        true => r.number(&keys::DRAG_AREA, Estimate::derived(0.0, "")),
        false => {
            let by_year = r.rule(rules::DRAG) + r.rule(rules::DRAG_PER_YEAR) * year.before(2010.0);
            let estimate = r.by_rule(by_year, rules::DRAG, "by model year");
            let cd = r.number(&keys::DRAG_COEFFICIENT, estimate);
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
    friction: Rule,
    stiffness: f64,
    peak_slip: f64,
    /// Over that of touring tyres.
    more_rolling: f64,
}

fn grade(word: &str) -> Grade {
    match word {
        "economy" => {
            Grade { friction: rules::FRICTION_ECONOMY, stiffness: 18.0, peak_slip: 0.13, more_rolling: -0.002 }
        }
        "summer" => Grade { friction: rules::FRICTION_SUMMER, stiffness: 21.0, peak_slip: 0.11, more_rolling: 0.001 },
        "track" => Grade { friction: rules::FRICTION_TRACK, stiffness: 24.0, peak_slip: 0.10, more_rolling: 0.003 },
        _ => Grade { friction: rules::FRICTION_TOURING, stiffness: 19.5, peak_slip: 0.12, more_rolling: 0.0 },
    }
}

/// Highest aspect ratio of an ordinary summer tyre: 45 series now, 55 series in 1997 and 65 series in 1989 (from memory).
fn summer_aspect(year: ModelYear) -> f64 {
    0.455 + 0.0125 * year.before(2005.0)
}

pub(super) fn rubber(r: &mut Resolver<'_>, year: ModelYear) -> Rubber {
    const PACEJKA: Origin = Origin::Published(
        "H. B. Pacejka, Tyre and Vehicle Dynamics, table A3.1 (205/60R15; coefficients from text that cites it)",
    );
    let size = r.size(&keys::TYRE_SIZE, TyreSize { width_mm: 205.0, aspect_ratio: 0.55, rim_in: 16.0 }, "");
    let likely = if size.aspect_ratio <= summer_aspect(year) { "summer" } else { "touring" };
    let word = r.choice(
        &keys::TYRE_GRADE,
        likely,
        "45 series and lower are taken as summer tyres, others as touring tyres; before 2005 higher ones too, by 1.25 a year",
        Origin::FromMemory,
    );
    let grade = grade(word);
    let (none, absolute, relative) =
        (Spread::None, Spread::Absolute as fn(f64) -> Spread, Spread::Relative as fn(f64) -> Spread);
    let left = r.rule(rules::FRICTION_PER_YEAR) * -year.before(2015.0) + 1.0;
    // The lower a summer tyre, the sportier its rubber.
    let lower = if word == "summer" { ((summer_aspect(year) - size.aspect_ratio) / 0.10).max(0.0) } else { 0.0 };
    let by_aspect = r.rule(rules::FRICTION_PER_ASPECT) * lower + 1.0;
    let friction = r.by_rule(
        r.rule(grade.friction) * left * by_aspect,
        grade.friction,
        "by grade, model year and, of summer tyres, aspect ratio; dry asphalt",
    );
    let peak_friction = r.number(&keys::PEAK_FRICTION, friction);
    let sliding =
        r.by_rule(r.rule(rules::SLIDING_SHARE), rules::SLIDING_SHARE, "before friction falls with sliding speed");
    let sliding_share = r.number(&keys::SLIDING_SHARE, sliding);
    let fall = r.by_rule(r.rule(rules::SLIDING_FALL), rules::SLIDING_FALL, "per m/s");
    let sliding_fall = r.number(&keys::SLIDING_FALL, fall);
    let rolling = r.rule(rules::ROLLING) + r.rule(rules::ROLLING_PER_YEAR) * year.before(2005.0) + grade.more_rolling;
    let rolling = r.by_rule_in_shares(
        rolling,
        rules::ROLLING,
        "by model year; economy tyres 0.002 less than touring ones, summer 0.001 more, track 0.003 more",
    );
    let rolling_constant = r.number(&keys::ROLLING_RESISTANCE, rolling);
    let mut memory = |key, value, spread, rule| r.number(key, Estimate::memory(value, spread, rule));
    let friction_per_load = memory(&keys::FRICTION_PER_LOAD, -0.06, absolute(0.02), "-0.06 per nominal load");
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
            Estimate::new(
                3.05,
                absolute(0.015),
                "3.05 times the free diameter",
                Origin::Published("ETRTO Standards Manual, radial car tyres (from memory)"),
            ),
        ),
        carcass_stiffness: r.number(
            &keys::CARCASS_STIFFNESS,
            Estimate::memory(57.0, relative(0.25), "57: 3.6e5 N/m for a tyre of 0.637 m under 4000 N"),
        ),
        rolling_constant,
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
    let load_n =
        r.number(of.load, Estimate::derived(0.5 * share * chassis.mass_kg * GRAVITY_MPS2, "static load of one wheel"));
    let pdx1 = r.number(of.friction, Estimate::derived(rubber.peak_friction, "that of both axles"));
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
