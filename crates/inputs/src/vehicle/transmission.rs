//! Estimates of clutch, gearbox, final drive and driveline.

use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::driveline::{Differential, Driveline, Layout, SolidAxle};
use bitepoint_physics::gearbox::{FinalDrive, Gear, Gearbox, ShiftTiming};

use super::body::ModelYear;
use super::engine::Rating;
use crate::entry::Origin;
use crate::given::{Spread, Value};
use crate::key::Key;
use crate::resolver::{Estimate, Resolver};
use crate::rules;
use crate::vehicle_keys as keys;

/// Driven axle and where the engine sits: what losses, inertias and weight follow from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plan {
    pub(super) driven: &'static str,
    pub(super) engine_position: &'static str,
}

impl Plan {
    /// Whether gearbox and engine lie along the car: then there is a bevel final drive and mostly a direct gear.
    fn is_longitudinal(self) -> bool {
        self.driven == "rear" && self.engine_position == "front"
    }
}

pub(super) fn clutch(r: &mut Resolver<'_>, rating: &Rating) -> Clutch {
    let friction = r.number(
        &keys::CLUTCH_FRICTION,
        Estimate::practice(0.3, Spread::None, "0.3: organic facing; its spread is in the capacity"),
    );
    let faces = r.number(&keys::CLUTCH_FACES, Estimate::practice(2.0, Spread::None, "one disc"));
    let radius = r.number(
        &keys::CLUTCH_RADIUS,
        Estimate::memory(
            0.096 * libm::cbrt(rating.peak_torque_nm / 300.0),
            Spread::None,
            "96 mm for 300 N·m, growing with the cube root of peak torque",
        ),
    );
    // Either says what the other is; a file that gives both is refused.
    let capacity_nm = match r.optional_number(&keys::CLUTCH_CLAMP) {
        Some(clamp_n) => clamp_n * friction * radius * faces,
        None => r.number(
            &keys::CLUTCH_CAPACITY,
            Estimate::practice(1.4 * rating.peak_torque_nm, Spread::Relative(0.10), "1.4 times peak torque"),
        ),
    };
    let bite_point =
        r.number(&keys::BITE_POINT, Estimate::practice(0.35, Spread::Absolute(0.05), "0.35 of pedal travel"));
    let band = r.number(&keys::WORKING_BAND, Estimate::practice(0.35, Spread::Absolute(0.05), "0.35 of pedal travel"));
    let area = (radius / 0.096) * (radius / 0.096);
    let fade_start_c = r.number(
        &keys::FADE_START,
        Estimate::practice(275.0, Spread::Absolute(20.0), "250 to 300 °C at the face of an organic facing"),
    );
    Clutch {
        friction_coefficient: friction,
        effective_radius_m: radius,
        faces,
        clamp_n: capacity_nm / (friction * radius * faces),
        bite_point,
        working_band: band.min(1.0 - bite_point),
        fade_start_c,
        fade_span_k: r.number(&keys::FADE_SPAN, Estimate::memory(150.0, Spread::Relative(0.25), "150 K")),
        fade_floor: r.number(&keys::FADE_FLOOR, Estimate::memory(0.35, Spread::Absolute(0.08), "0.35")),
        harm_c: r.number(
            &keys::CLUTCH_HARM,
            Estimate::practice(fade_start_c + 100.0, Spread::None, "100 K over the start of fade"),
        ),
        face_capacity_j_per_k: r.number(
            &keys::FACE_CAPACITY,
            Estimate::memory(
                380.0 * area,
                Spread::Relative(0.25),
                "0.8 kg of iron (2 mm of each metal face) for a radius of 96 mm, with its area",
            ),
        ),
        mass_capacity_j_per_k: r.number(
            &keys::MASS_CAPACITY,
            Estimate::memory(
                3000.0 * area,
                Spread::Relative(0.25),
                "6.5 kg of iron for a radius of 96 mm, with its area",
            ),
        ),
        face_to_mass_w_per_k: r.number(
            &keys::FACE_TO_MASS,
            Estimate::memory(
                400.0 * area,
                Spread::Relative(0.25),
                "conduction through 6 mm of iron, 400 W/K for a radius of 96 mm, with its area",
            ),
        ),
        mass_to_air_w_per_k: r
            .number(&keys::MASS_TO_AIR, Estimate::memory(8.0, Spread::Relative(0.4), "8 W/K in the bell housing")),
    }
}

/// Per-gear values: the file's list, or one value for all.
fn per_gear(r: &mut Resolver<'_>, key: &'static Key, count: usize) -> Option<Vec<f64>> {
    let list = r.given.list(key)?.to_vec();
    r.record_plain(key, || Value::List(list.clone()), "", Origin::Given);
    (list.len() == count).then_some(list)
}

pub(super) fn gearbox(r: &mut Resolver<'_>, rating: &Rating, plan: Plan, year: ModelYear) -> Gearbox {
    let ratios = r.given.list(&keys::GEAR_RATIOS).map_or_else(|| vec![3.5], <[f64]>::to_vec);
    r.record_plain(&keys::GEAR_RATIOS, || Value::List(ratios.clone()), "", Origin::Given);
    let final_ratio = r.number(&keys::FINAL_DRIVE, Estimate::derived(4.0, ""));
    let size = rating.peak_torque_nm / 300.0;
    let efficiencies = per_gear(r, &keys::GEAR_EFFICIENCIES, ratios.len()).unwrap_or_else(|| {
        const SOURCE: Origin =
            Origin::Published("J. Y. Wong, Theory of Ground Vehicles: 0.95 to 0.97 for a pair of gears (from memory)");
        let (value, rule) = if plan.is_longitudinal() {
            (0.965, "0.965: two pairs of a countershaft gearbox, ground gears")
        } else {
            (0.97, "0.97: one pair")
        };
        let indirect = r.number(&keys::GEAR_EFFICIENCY, Estimate::new(value, Spread::Absolute(0.008), rule, SOURCE));
        let has_direct = plan.is_longitudinal() && ratios.iter().any(|&ratio| is_direct(ratio));
        let direct = if has_direct {
            r.number(
                &keys::DIRECT_EFFICIENCY,
                Estimate::practice(0.985, Spread::Absolute(0.005), "0.985: no teeth under load, oil and bearings"),
            )
        } else {
            indirect
        };
        ratios.iter().map(|&ratio| if has_direct && is_direct(ratio) { direct } else { indirect }).collect()
    });
    let inertias = per_gear(r, &keys::GEAR_INERTIAS, ratios.len()).unwrap_or_else(|| {
        let each = r.number(
            &keys::GEAR_INERTIA,
            Estimate::memory(0.002 * size, Spread::Relative(0.4), "0.002 kg·m² for 300 N·m, with peak torque"),
        );
        vec![each; ratios.len()]
    });
    let gears = ratios
        .iter()
        .zip(efficiencies)
        .zip(inertias)
        .map(|((&ratio, efficiency), inertia_kgm2)| Gear { ratio, efficiency, inertia_kgm2 })
        .collect();
    Gearbox {
        gears,
        input_inertia_kgm2: r.number(
            &keys::INPUT_INERTIA,
            Estimate::memory(
                0.004 + 0.005 * size,
                Spread::Relative(0.3),
                "0.004 kg·m² + 0.005 kg·m² for 300 N·m, with peak torque",
            ),
        ),
        final_drive: final_drive(r, final_ratio, plan),
        shift: shift(r, year),
    }
}

fn is_direct(ratio: f64) -> bool {
    (ratio - 1.0).abs() < 0.005
}

fn final_drive(r: &mut Resolver<'_>, ratio: f64, plan: Plan) -> FinalDrive {
    let (about, rule) = match plan {
        Plan { driven: "all", .. } => (rules::FINAL_ALL, "final drive, transfer, second bevel gears and joints"),
        Plan { driven: "rear", engine_position: "front" } => (rules::FINAL_LONGITUDINAL, "hypoid gears and joints"),
        _ => (rules::FINAL_TRANSVERSE, "one pair of helical gears and joints"),
    };
    let (inertia, inertia_rule) = match plan {
        Plan { driven: "all", .. } => {
            (0.06 + 0.015 * ratio * ratio, "0.06 + 0.015 · ratio² kg·m²: two differentials, transfer and propshaft")
        }
        Plan { driven: "rear", engine_position: "front" } => {
            (0.04 + 0.010 * ratio * ratio, "0.04 + 0.010 · ratio² kg·m²: crown wheel and propshaft")
        }
        _ => (0.04 + 0.003 * ratio * ratio, "0.04 + 0.003 · ratio² kg·m²: differential and output shaft"),
    };
    FinalDrive {
        ratio,
        efficiency: r.number(&keys::FINAL_EFFICIENCY, r.by_rule(r.rule(about), about, rule)),
        inertia_kgm2: r.number(&keys::FINAL_INERTIA, Estimate::memory(inertia, Spread::Relative(0.3), inertia_rule)),
    }
}

/// Torque is away for clutch out, change and about half of clutch in: 22 % + 50 % + 56 % / 2.
fn shift(r: &mut Resolver<'_>, year: ModelYear) -> ShiftTiming {
    let by_year = r.rule(rules::SHIFT_TIME) + r.rule(rules::SHIFT_TIME_PER_YEAR) * year.before(2005.0);
    let estimate = r.by_rule_in_shares(by_year, rules::SHIFT_TIME, "by model year; a driver's skill comes on top");
    let whole = r.number(&keys::SHIFT_TIME, estimate);
    ShiftTiming {
        clutch_out_s: r.number(&keys::CLUTCH_OUT_TIME, Estimate::derived(0.22 * whole, "22 % of the shift time")),
        change_s: r.number(&keys::CHANGE_TIME, Estimate::derived(0.50 * whole, "50 % of the shift time")),
        clutch_in_s: r.number(
            &keys::CLUTCH_IN_TIME,
            Estimate::derived(0.56 * whole, "56 % of the shift time, half of it with torque"),
        ),
    }
}

/// Inertias on both sides of the shafts, at axle speed in first gear, kg·m².
#[derive(Debug, Clone, Copy)]
pub(super) struct Shuffle {
    pub(super) car_kgm2: f64,
}

pub(super) fn driveline(
    r: &mut Resolver<'_>,
    rating: &Rating,
    gearbox: &Gearbox,
    plan: Plan,
    shuffle: Shuffle,
) -> Driveline {
    let first = gearbox.overall_ratio(0);
    let (all_wheel_factor, rule) = if plan.driven == "all" {
        (1.4, "1.4 · (4000 N·m/rad + 1.3 per rad of first-gear axle torque): two axles' shafts")
    } else {
        (1.0, "4000 N·m/rad + 1.3 per rad of first-gear axle torque: shafts are sized by it")
    };
    let stiffness = r.number(
        &keys::STIFFNESS,
        Estimate::memory(
            all_wheel_factor * (4000.0 + 1.3 * rating.peak_torque_nm * first),
            Spread::Relative(0.25),
            rule,
        ),
    );
    // Surge of engine against car in first gear: two inertias and a spring.
    let engine_side = (rating.engine_inertia_kgm2 + gearbox.input_inertia_kgm2) * first * first;
    let reduced = engine_side * shuffle.car_kgm2 / (engine_side + shuffle.car_kgm2);
    let damping = r.number(
        &keys::DAMPING,
        Estimate::memory(
            2.0 * 0.08 * (stiffness * reduced).sqrt(),
            Spread::Relative(0.3),
            "damping ratio 0.08 of the first-gear surge of engine against car; the tyres add to it",
        ),
    );
    let lash_rad = r.number(&keys::LASH, Estimate::memory(0.03, Spread::Relative(0.3), "0.03 rad from flank to flank"));
    let layout = match plan.driven {
        "front" => Layout::Front,
        "rear" => Layout::Rear,
        _ => Layout::All {
            front_share: r
                .number(&keys::FRONT_TORQUE_SHARE, Estimate::practice(0.5, Spread::Absolute(0.05), "half and half")),
            centre: differential(
                r,
                [&keys::CENTRE_DIFFERENTIAL, &keys::CENTRE_PRELOAD, &keys::CENTRE_BIAS],
                "limited-slip",
                (100.0, 3.0),
            ),
        },
    };
    let axle = |r: &mut Resolver<'_>, driven: bool, of: [&'static Key; 3]| {
        if driven { differential(r, of, "open", (50.0, 2.2)) } else { Differential::Open }
    };
    Driveline {
        layout,
        stiffness_nm_per_rad: stiffness,
        damping_nm_s_per_rad: damping,
        lash_rad,
        front_differential: axle(
            r,
            plan.driven != "rear",
            [&keys::FRONT_DIFFERENTIAL, &keys::FRONT_PRELOAD, &keys::FRONT_BIAS],
        ),
        rear_differential: axle(
            r,
            plan.driven != "front",
            [&keys::REAR_DIFFERENTIAL, &keys::REAR_PRELOAD, &keys::REAR_BIAS],
        ),
        solid_rear_axle: if plan.driven == "front" { None } else { solid_axle(r) },
    }
}

fn differential(
    r: &mut Resolver<'_>,
    [kind, preload, bias]: [&'static Key; 3],
    otherwise: &'static str,
    (preload_nm, bias_ratio): (f64, f64),
) -> Differential {
    let rule = if otherwise == "open" {
        "open where nothing is said"
    } else {
        "limited slip (a plate coupling) where nothing is said"
    };
    match r.choice(kind, otherwise, rule, Origin::CommonPractice) {
        "limited-slip" => Differential::LimitedSlip {
            preload_nm: r.number(
                preload,
                Estimate::memory(preload_nm, Spread::Relative(0.3), "50 N·m of an axle, 100 N·m between axles"),
            ),
            bias_ratio: r
                .number(bias, Estimate::memory(bias_ratio, Spread::Relative(0.1), "2.2 of an axle, 3 between axles")),
        },
        "locked" => Differential::Locked,
        _ => Differential::Open,
    }
}

fn solid_axle(r: &mut Resolver<'_>) -> Option<SolidAxle> {
    let solid = r.flag(&keys::SOLID_REAR_AXLE, false, "independent where nothing is said");
    solid.then(|| SolidAxle {
        track_m: r.number(&keys::REAR_TRACK, Estimate::memory(1.55, Spread::Absolute(0.05), "1.55 m")),
        front_roll_stiffness_share: r.number(
            &keys::FRONT_ROLL_SHARE,
            Estimate::memory(
                0.75,
                Spread::Absolute(0.06),
                "0.75: a solid axle leaves most roll stiffness to the front",
            ),
        ),
    })
}
