//! Estimates of the engine: the shape of its torque curve, its drag, inertia, limits and boost.

use bitepoint_physics::air::PowerStandard;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::engine::{Boost, Engine, LaunchLimiter, Limiter, Motoring};

use super::body::ModelYear;
use crate::entry::Origin;
use crate::given::{Spread, Value};
use crate::key::rpm;
use crate::resolver::{Estimate, Resolver};
use crate::rules;
use crate::vehicle_keys as keys;

/// What the other parts are sized by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rating {
    /// Largest rated torque, N·m, without the output scale.
    pub(super) peak_torque_nm: f64,
    pub(super) engine_inertia_kgm2: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Breathing {
    Natural,
    Turbo,
    Supercharger,
}

/// The sheet's points and the shape between them.
#[derive(Debug, Clone, Copy)]
struct Shape {
    idle_radps: f64,
    torque_at_radps: f64,
    power_at_radps: f64,
    redline_radps: f64,
    end_radps: f64,
    peak_torque_nm: f64,
    peak_power_w: f64,
    idle_share: f64,
    rise_exponent: f64,
    plateau_share: f64,
    redline_power_share: f64,
}

impl Shape {
    /// Torque between idle and peak torque: a share of the peak at idle, closing on the peak with a flat top.
    fn below_peak_nm(&self, speed: f64) -> f64 {
        let short = ((self.torque_at_radps - speed) / (self.torque_at_radps - self.idle_radps)).clamp(0.0, 1.0);
        self.peak_torque_nm * (1.0 - (1.0 - self.idle_share) * libm::pow(short, self.rise_exponent))
    }

    /// Torque from peak torque to peak power.
    ///
    /// The smooth fall `T_t - (T_t - T_p) sᵐ` takes the exponent with which power is at its largest at the speed of
    /// peak power: m = T_p (ω_p - ω_t) / (ω_p (T_t - T_p)). The plateau holds peak torque until peak power stops it.
    fn between_nm(&self, speed: f64) -> f64 {
        let power_torque_nm = self.peak_power_w / self.power_at_radps;
        let span = self.power_at_radps - self.torque_at_radps;
        let drop = (self.peak_torque_nm - power_torque_nm).max(1e-6 * self.peak_torque_nm);
        let exponent = (power_torque_nm * span / (self.power_at_radps * drop)).max(1.0);
        let s = ((speed - self.torque_at_radps) / span).clamp(0.0, 1.0);
        let ceiling = self.peak_torque_nm.min(self.peak_power_w / speed);
        let smooth = (self.peak_torque_nm - drop * libm::pow(s, exponent)).min(ceiling);
        smooth + self.plateau_share * (ceiling - smooth)
    }

    /// Torque beyond peak power: power falls with the square of the speed beyond its peak.
    fn beyond_nm(&self, speed: f64) -> f64 {
        let past = speed / self.power_at_radps - 1.0;
        let redline_past = self.redline_radps / self.power_at_radps - 1.0;
        let fall = if redline_past > 0.01 {
            (1.0 - self.redline_power_share) / (redline_past * redline_past)
        } else {
            POWER_FALL
        };
        self.peak_power_w * (1.0 - fall * past * past).max(0.3) / speed
    }

    fn points(&self) -> Vec<(f64, f64)> {
        let between = |from: f64, to: f64, steps: u32| {
            (0..steps).map(move |i| from + (to - from) * f64::from(i) / f64::from(steps))
        };
        let low = between(self.idle_radps, self.torque_at_radps, 6).map(|w| (w, self.below_peak_nm(w)));
        // More between the peaks: with fewer the curve would bulge over peak power where that is held.
        let middle = between(self.torque_at_radps, self.power_at_radps, 30).map(|w| (w, self.between_nm(w)));
        let high = between(self.power_at_radps, self.end_radps, 6).map(|w| (w, self.beyond_nm(w)));
        low.chain(middle).chain(high).chain([(self.end_radps, self.beyond_nm(self.end_radps))]).collect()
    }
}

/// Loss of power at speed x times that of peak power: 1 - 4 (x - 1)².
const POWER_FALL: f64 = 4.0;

/// How far past the limiter's cut a curve is drawn: an engine overruns its limiter by a little.
const OVERRUN: f64 = 1.03;

pub(super) fn resolve(r: &mut Resolver<'_>, year: ModelYear) -> (Engine, Rating) {
    let breathing = match r.choice(&keys::ASPIRATION, keys::ASPIRATIONS[0], "", Origin::Given) {
        "turbocharged" => Breathing::Turbo,
        "supercharged" => Breathing::Supercharger,
        _ => Breathing::Natural,
    };
    let redline = r.number(&keys::REDLINE, Estimate::derived(rpm(6500.0), ""));
    let idle = r
        .number(&keys::IDLE, Estimate::practice(rpm(800.0), Spread::Absolute(rpm(50.0)), "800 rpm"))
        .min(0.5 * redline);
    let limiter = limiter(r, redline);
    let measured = r.given.curve(&keys::TORQUE_CURVE).map(<[(f64, f64)]>::to_vec);
    let (points, peak_torque_nm, peak_at_radps) = match measured {
        Some(points) => given_curve(r, points, idle, breathing),
        None => sheet_curve(r, redline, idle, limiter.cut_radps, breathing),
    };
    let displacement_m3 = displacement(r, peak_torque_nm, breathing);
    let rated_to = standard(r, year);
    let output = r.number(&keys::OUTPUT_SCALE, output(r, breathing, rated_to, year));
    let scaled: Vec<(f64, f64)> = points.iter().map(|p| (p.0, p.1 * output)).collect();
    let full_load_nm = curve(&scaled, idle, redline);
    let boost = (breathing == Breathing::Turbo)
        .then(|| boost(r, &full_load_nm, displacement_m3, output, (idle, peak_at_radps, redline), peak_torque_nm));
    let inertia = r.by_rule_in_shares(
        r.rule(rules::ENGINE_INERTIA) * (displacement_m3 * 1e3) + 0.07,
        rules::ENGINE_INERTIA,
        "0.07 kg·m² and so much per litre",
    );
    let engine_inertia_kgm2 = r.number(&keys::ENGINE_INERTIA, inertia);
    let stall = r.number(&keys::STALL, Estimate::practice(0.55 * idle, Spread::Relative(0.12), "55 % of idle"));
    let engine = Engine {
        motoring: motoring(r, displacement_m3),
        boost,
        inertia_kgm2: engine_inertia_kgm2,
        idle_radps: idle,
        stall_radps: stall.min(0.8 * idle),
        redline_radps: redline.min(limiter.cut_radps),
        limiter,
        launch_limiter: launch_limiter(r, idle, limiter.cut_radps),
        throttle_lag_s: r
            .number(&keys::THROTTLE_LAG, Estimate::memory(0.06, Spread::Relative(0.3), "60 ms: filling the manifold")),
        rated_to: rated_to.standard,
        air_correction_share: air_share(r, breathing),
        full_load_nm,
    };
    (engine, Rating { peak_torque_nm, engine_inertia_kgm2 })
}

/// A curve of points that are known to rise; two flat points should they ever not be.
fn curve(points: &[(f64, f64)], idle: f64, redline: f64) -> Curve {
    Curve::new(points).unwrap_or_else(|_| {
        let torque = points.first().map_or(1.0, |p| p.1);
        #[expect(clippy::unwrap_used, reason = "two points, the second beyond the first")]
        Curve::new(&[(idle, torque), (redline.max(idle + 1.0), torque)]).unwrap()
    })
}

fn limiter(r: &mut Resolver<'_>, redline: f64) -> Limiter {
    let cut = r.number(
        &keys::LIMITER,
        Estimate::practice(
            1.05 * redline,
            Spread::Absolute(0.012 * redline),
            "5 % over the redline: 3 to 7 % are common",
        ),
    );
    let resume = r
        .number(&keys::LIMITER_RESUME, Estimate::practice(cut - rpm(100.0), Spread::None, "100 rpm under the limiter"));
    Limiter { cut_radps: cut, resume_radps: resume.min(cut - rpm(20.0)) }
}

fn launch_limiter(r: &mut Resolver<'_>, idle: f64, main_cut: f64) -> Option<LaunchLimiter> {
    let cut = r.optional_number(&keys::LAUNCH_LIMITER)?.clamp(1.1 * idle, main_cut);
    let until = r.number(&keys::LAUNCH_LIMITER_UNTIL, Estimate::practice(10.0 / 3.6, Spread::None, "10 km/h"));
    let limiter = Limiter { cut_radps: cut, resume_radps: cut - rpm(100.0) };
    Some(LaunchLimiter { limiter, until_mps: until })
}

/// To what air and with which parts the engine was rated.
#[derive(Debug, Clone, Copy, PartialEq)]
struct RatedTo {
    standard: PowerStandard,
    /// The bare engine on the stand: without fan, silencer and the like.
    is_gross: bool,
}

fn standard(r: &mut Resolver<'_>, year: ModelYear) -> RatedTo {
    let (likely, rule) = if year.is_before(1972.0) {
        ("SAE J245", "SAE J245, gross power, before 1972")
    } else {
        (keys::STANDARDS[0], "SAE J1349 where nothing is said")
    };
    let word = r.choice(&keys::RATED_TO, likely, rule, Origin::CommonPractice);
    let standard = match word {
        "ISO 1585" => PowerStandard::Iso1585,
        "DIN 70020" => PowerStandard::Din70020,
        "uncorrected" => PowerStandard::Uncorrected,
        _ => PowerStandard::SaeJ1349,
    };
    RatedTo { standard, is_gross: word == "SAE J245" }
}

/// What the engine gives over its rating.
fn output(r: &Resolver<'_>, breathing: Breathing, rated_to: RatedTo, year: ModelYear) -> Estimate {
    if rated_to.is_gross {
        return r.by_rule(r.rule(rules::NET_OVER_GROSS), rules::NET_OVER_GROSS, "net over gross power");
    }
    let about = if breathing == Breathing::Natural { rules::OUTPUT_NATURAL } else { rules::OUTPUT_CHARGED };
    let earlier = if year.is_before(2006.0) { -1.0 } else { 0.0 };
    r.by_rule(r.rule(about) + r.rule(rules::OUTPUT_BEFORE_2006) * earlier, about, "by breathing and model year")
}

fn air_share(r: &mut Resolver<'_>, breathing: Breathing) -> f64 {
    let estimate = if breathing == Breathing::Turbo {
        Estimate::memory(0.4, Spread::Absolute(0.15), "0.4 turbocharged: the wastegate makes up for part of thin air")
    } else {
        Estimate::practice(1.0, Spread::None, "1 without a turbocharger: the whole correction")
    };
    r.number(&keys::AIR_CORRECTION_SHARE, estimate)
}

fn displacement(r: &mut Resolver<'_>, peak_torque_nm: f64, breathing: Breathing) -> f64 {
    let (per_litre_nm, spread, rule) = match breathing {
        Breathing::Natural => (95.0, 0.10, "peak torque / 95 N·m per litre, naturally aspirated"),
        Breathing::Turbo => (160.0, 0.18, "peak torque / 160 N·m per litre, turbocharged"),
        Breathing::Supercharger => (140.0, 0.15, "peak torque / 140 N·m per litre, supercharged"),
    };
    r.number(
        &keys::DISPLACEMENT,
        Estimate::memory(peak_torque_nm / per_litre_nm * 1e-3, Spread::Relative(spread), rule),
    )
}

fn idle_share(r: &mut Resolver<'_>, breathing: Breathing) -> f64 {
    let (about, rule) = if breathing == Breathing::Turbo {
        (rules::IDLE_SHARE_TURBO, "turbocharged: nearly no boost at idle")
    } else {
        (rules::IDLE_SHARE_NATURAL, "without a turbocharger")
    };
    r.number(&keys::IDLE_TORQUE_SHARE, r.by_rule(r.rule(about), about, rule))
}

fn sheet_curve(
    r: &mut Resolver<'_>,
    redline: f64,
    idle: f64,
    cut: f64,
    breathing: Breathing,
) -> (Vec<(f64, f64)>, f64, f64) {
    let peak_power_w = r.number(&keys::PEAK_POWER, Estimate::derived(1e5, ""));
    let power_at = r.number(&keys::PEAK_POWER_AT, Estimate::derived(rpm(6000.0), ""));
    let peak_torque_nm = r.number(&keys::PEAK_TORQUE, Estimate::derived(200.0, ""));
    let torque_at = r.number(&keys::PEAK_TORQUE_AT, Estimate::derived(rpm(4000.0), ""));
    let plateau = match breathing {
        Breathing::Natural => r.by_rule(
            r.rule(rules::PLATEAU_NATURAL),
            rules::PLATEAU_NATURAL,
            "naturally aspirated: torque falls smoothly from its peak",
        ),
        Breathing::Turbo => r.by_rule(
            r.rule(rules::PLATEAU_TURBO),
            rules::PLATEAU_TURBO,
            "turbocharged: a plateau that peak power ends",
        ),
        Breathing::Supercharger => Estimate::memory(0.3, Spread::Absolute(0.15), "0.3 supercharged"),
    };
    // The redline of an engine whose power is still rising is its peak power's speed.
    let past = (redline / power_at - 1.0).max(0.0);
    let left = (1.0 - POWER_FALL * past * past).max(0.5);
    let shape = Shape {
        idle_radps: idle,
        // A file's own order is checked when it is read; these hold it when spreads move the values.
        torque_at_radps: torque_at.max(1.05 * idle),
        power_at_radps: power_at.max(1.02 * torque_at.max(1.05 * idle)),
        redline_radps: redline,
        end_radps: (OVERRUN * cut.max(redline)).max(1.05 * power_at.max(1.02 * torque_at)),
        // Power at its speed is a torque, which cannot be above the peak.
        peak_torque_nm: peak_torque_nm.max(peak_power_w / power_at),
        peak_power_w,
        idle_share: idle_share(r, breathing),
        rise_exponent: if breathing == Breathing::Turbo { 1.4 } else { 1.8 },
        plateau_share: r.number(&keys::PLATEAU_SHARE, plateau),
        redline_power_share: r.number(
            &keys::REDLINE_POWER_SHARE,
            Estimate::memory(
                left,
                Spread::Absolute(0.01 + 0.3 * (1.0 - left)),
                "1 - 4 (redline / speed of peak power - 1)², at least 0.5",
            ),
        ),
    };
    let shape = Shape { power_at_radps: shape.power_at_radps.max(peak_power_w / shape.peak_torque_nm), ..shape };
    let points = shape.points();
    r.record_plain(
        &keys::TORQUE_CURVE,
        || Value::Curve(points.clone()),
        "through the sheet's two peaks: flat-topped rise, fall that puts peak power at its speed, square-law loss beyond",
        Origin::FromMemory,
    );
    (points, shape.peak_torque_nm, shape.torque_at_radps)
}

fn given_curve(
    r: &mut Resolver<'_>,
    mut points: Vec<(f64, f64)>,
    idle: f64,
    breathing: Breathing,
) -> (Vec<(f64, f64)>, f64, f64) {
    r.record_plain(&keys::TORQUE_CURVE, || Value::Curve(points.clone()), "", Origin::Given);
    let (peak_at, peak) = points.iter().fold((0.0, 0.0), |best: (f64, f64), p| if p.1 > best.1 { *p } else { best });
    // Nobody measures down to idle, and the curve would keep its first value there.
    let first = points[0];
    if first.0 > 1.15 * idle {
        let share = idle_share(r, breathing);
        points.insert(0, (idle, (share * peak).min(first.1)));
    }
    (points, peak, peak_at)
}

/// Motored mean effective pressure as torque V p / 4π of a four-stroke engine: Heywood's 0.97 + 0.15 (N/1000) + 0.05 (N/1000)²
/// bar, less a fifth, because engines have lost friction since (common practice).
fn motoring(r: &mut Resolver<'_>, displacement_m3: f64) -> Motoring {
    const SOURCE: Origin = Origin::Published(
        "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), chapter 13: motored spark-ignition engines (formula from memory), less a fifth by common practice",
    );
    let torque_per_bar = 0.8 * displacement_m3 * 1e5 / (4.0 * core::f64::consts::PI);
    let per_thousand = rpm(1000.0);
    let part = |value: f64, rule: &'static str| Estimate::new(value, Spread::Relative(0.25), rule, SOURCE);
    Motoring {
        constant_nm: r
            .number(&keys::MOTORING_CONSTANT, part(0.97 * torque_per_bar, "0.8 · 0.97 bar mean effective pressure")),
        linear_nm_s: r
            .number(&keys::MOTORING_LINEAR, part(0.15 * torque_per_bar / per_thousand, "0.8 · 0.15 bar per 1000 rpm")),
        quadratic_nm_s2: r.number(
            &keys::MOTORING_QUADRATIC,
            part(0.05 * torque_per_bar / (per_thousand * per_thousand), "0.8 · 0.05 bar per (1000 rpm)²"),
        ),
    }
}

/// Boost of a turbocharger. Before it builds the engine is a naturally aspirated one of low compression.
fn boost(
    r: &mut Resolver<'_>,
    full_load_nm: &Curve,
    displacement_m3: f64,
    output: f64,
    (idle, peak_at, redline): (f64, f64, f64),
    peak_torque_nm: f64,
) -> Boost {
    const OFF_BOOST_NM_PER_M3: f64 = 80.0 * 1e3;
    let spool = r.by_rule_in_shares(r.rule(rules::SPOOL), rules::SPOOL, "at the speed of peak torque");
    let spool = r.number(&keys::SPOOL_TIME, spool);
    let reference = r.number(
        &keys::SPOOL_AT,
        Estimate::derived(peak_at.max(rpm(2000.0)), "speed of peak torque, at least 2000 rpm"),
    );
    let off_boost = match r.given.curve(&keys::OFF_BOOST_CURVE).map(<[(f64, f64)]>::to_vec) {
        Some(points) => {
            r.record_plain(&keys::OFF_BOOST_CURVE, || Value::Curve(points.clone()), "", Origin::Given);
            points
        }
        None => {
            let share = r.number(
                &keys::OFF_BOOST_SHARE,
                Estimate::memory(
                    (OFF_BOOST_NM_PER_M3 * displacement_m3 / peak_torque_nm).clamp(0.3, 0.9),
                    Spread::Relative(0.12),
                    "80 N·m per litre, 30 to 90 % of peak torque",
                ),
            );
            // Shape of a naturally aspirated engine: 65 % at idle, its peak at 60 % of the redline, 85 % at the redline.
            let top = 0.6 * redline;
            [(idle, 0.65), (0.5 * (idle + top), 0.92), (top, 1.0), (redline, 0.85)]
                .into_iter()
                .map(|(w, shape)| (w, (share * peak_torque_nm * shape).min(full_load_nm.value(w) / output)))
                .collect()
        }
    };
    let scaled: Vec<(f64, f64)> = off_boost.iter().map(|p| (p.0, p.1 * output)).collect();
    Boost { off_boost_nm: curve(&scaled, idle, redline), time_constant_s: spool, reference_radps: reference }
}
