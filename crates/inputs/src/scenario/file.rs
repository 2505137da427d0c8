//! A scenario file, read and resolved for a car to what the model needs.

use bitepoint_physics::air::Air;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driver::{ClutchFeel, Driver, PartThrottle, ReleaseShape, Trim, WheelspinResponse};
use bitepoint_physics::road::{Slope, Surface};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

use super::launch::{OpenLaunch, suited};
use super::preset::{self, NamedDriver};
use super::{check, slope, surface};
use crate::change;
use crate::document;
use crate::entry::{Entry, Origin};
use crate::given::{self, Givens, Spread, Value};
use crate::key::Key;
use crate::problem::{Collector, Fault, Problems};
use crate::read_value;
use crate::resolver::{Estimate, Resolver, RulesOf};
use crate::scenario_keys::{self as keys, SCENARIO_KEYS};

/// A quarter of a mile, m.
pub(super) const DEFAULT_FINISH_M: f64 = 1320.0 * 0.3048;

/// A scenario file: what it gives; the rest is a dry, flat, windless day and a launch that suits the car.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ScenarioFile {
    file: String,
    given: Givens,
    profile: Option<Curve>,
}

/// A scenario of which every value is known, and how each came about.
#[derive(Debug, Clone, PartialEq)]
pub struct ResolvedScenario {
    /// Name of the scenario.
    pub name: String,
    /// The scenario.
    pub scenario: Scenario,
    /// How a driver strays from the plan.
    pub scatter: DriverScatter,
    /// Every value, in the order of the table of keys.
    pub entries: Vec<Entry>,
}

/// Standard deviations of what a driver does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriverScatter {
    /// Held engine speed, rad/s.
    pub held_radps: f64,
    /// Engine speed kept while the clutch slips, rad/s.
    pub kept_radps: f64,
    /// Release time, s.
    pub release_s: f64,
    /// Throttle ease, s.
    pub throttle_ease_s: f64,
    /// Throttle lead, s.
    pub throttle_lead_s: f64,
    /// Part throttle, as a share of wide open.
    pub part_throttle: f64,
    /// Lag of felt slip, s.
    pub slip_lag_s: f64,
    /// Engine speed at shifts, rad/s.
    pub shift_at_radps: f64,
    /// Reaction at shifts, s.
    pub shift_reaction_s: f64,
}

impl ScenarioFile {
    /// Reads the text of a file; its name decides the format (".json", else TOML) and stands in messages. `read_beside` gives
    /// the text of a file that the scenario names (a slope profile), or why it cannot.
    ///
    /// # Errors
    /// Everything that is wrong with the file and its slope profile.
    pub fn parse(
        file: &str,
        text: &str,
        read_beside: &dyn Fn(&str) -> Result<String, String>,
    ) -> Result<Self, Problems> {
        let mut collector = Collector::new(file);
        let members = document::read(file, text, &mut collector);
        let given = given::read(&members, SCENARIO_KEYS, &mut collector);
        let profile =
            given.get(&keys::SLOPE_PROFILE).zip(given.text(&keys::SLOPE_PROFILE)).and_then(|(stated, name)| {
                match read_beside(name) {
                    Ok(csv) => slope::read(name, &csv, &mut collector),
                    Err(why) => {
                        let what = format!("the slope profile cannot be read: {why}");
                        let accepted = read_value::accepted(&keys::SLOPE_PROFILE);
                        collector.add(
                            Fault::Unreadable,
                            stated.line,
                            keys::SLOPE_PROFILE.path,
                            &stated.shown,
                            what,
                            accepted,
                        );
                        None
                    }
                }
            });
        Self { file: file.to_owned(), given, profile }.checked(collector)
    }

    fn checked(self, mut collector: Collector) -> Result<Self, Problems> {
        check::check(&self.given, self.profile.as_ref(), &mut collector);
        collector.finish()?;
        Ok(self)
    }

    /// Name of the file; empty for the built-in dry, flat day.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Name of the scenario.
    #[must_use]
    pub fn name(&self) -> &str {
        self.given.text(&keys::NAME).unwrap_or("Dry, flat")
    }

    /// The same file with one key set to another value, written as in TOML without quotes: `("road.slope", "-1 %")`.
    ///
    /// # Errors
    /// An unknown key, a value that the key does not take, or one that cannot be true with the others. A slope profile
    /// cannot be set: it is another file.
    pub fn with(&self, key: &str, value: &str) -> Result<Self, Problems> {
        let mut collector = Collector::new(&self.file);
        let mut changed = self.clone();
        if key == keys::SLOPE_PROFILE.path {
            let what = "a slope profile cannot be changed here".to_owned();
            collector.add(Fault::Inconsistent, 1, key, value, what, "a scenario file of its own".to_owned());
        } else {
            change::set(&mut changed.given, SCENARIO_KEYS, key, value, &mut collector);
        }
        changed.checked(collector)
    }

    /// The scenario for this car, with the story of every value.
    ///
    /// # Errors
    /// Revs that this car's engine cannot hold or reach.
    pub fn resolve(&self, vehicle: &Vehicle) -> Result<ResolvedScenario, Problems> {
        self.resolve_launched(vehicle, None)
    }

    /// The same, with what the file leaves open of the launch as in `open`, if it is given.
    ///
    /// # Errors
    /// As for [`ScenarioFile::resolve`].
    pub fn resolve_launched(&self, vehicle: &Vehicle, open: Option<&OpenLaunch>) -> Result<ResolvedScenario, Problems> {
        let mut collector = Collector::new(&self.file);
        check::check_with(&self.given, vehicle, &mut collector);
        collector.finish()?;
        let mut r = Resolver::new(&self.given, RulesOf::unused()).recording();
        let name = self.name().to_owned();
        r.record_plain(&keys::NAME, || Value::Text(name.clone()), "the built-in day", Origin::CommonPractice);
        let (scenario, scatter) = self.assemble(&mut r, vehicle, open);
        let mut entries = r.into_entries();
        entries.sort_by_key(|e| SCENARIO_KEYS.iter().position(|k| k.path == e.key.path));
        Ok(ResolvedScenario { name, scenario, scatter, entries })
    }

    /// The scenario with every uncertain value moved by `normal(key)` of its standard deviations (clipped to three).
    ///
    /// The launch is planned for `vehicle` on the surface as it was expected: a driver does not know how the day moved it. So
    /// pass the car as estimated, not the moved one.
    #[must_use]
    pub fn resolve_with(&self, vehicle: &Vehicle, open: Option<&OpenLaunch>, normal: &dyn Fn(&str) -> f64) -> Scenario {
        self.assemble(&mut Resolver::new(&self.given, RulesOf::unused()).moved(normal, None), vehicle, open).0
    }

    /// Keys of the values that have a spread.
    #[must_use]
    pub fn uncertain_keys(&self, vehicle: &Vehicle) -> Vec<&'static str> {
        let mut r = Resolver::new(&self.given, RulesOf::unused()).recording();
        self.assemble(&mut r, vehicle, None);
        r.into_entries().iter().filter(|e| e.spread_sd_si > 0.0).map(|e| e.key.path).collect()
    }

    /// Whether the file leaves a key open.
    #[must_use]
    pub fn leaves_open(&self, key: &'static Key) -> bool {
        !self.given.has(key)
    }

    fn assemble(
        &self,
        r: &mut Resolver<'_>,
        vehicle: &Vehicle,
        open: Option<&OpenLaunch>,
    ) -> (Scenario, DriverScatter) {
        let who = preset::named(r.choice(
            &keys::DRIVER,
            "keen",
            "somebody who practises starts, where nothing is said",
            Origin::CommonPractice,
        ));
        let (surface, expected) = surface(r);
        let air = air(r);
        let by_rule;
        let launch = match open {
            Some(launch) => launch,
            None => {
                by_rule = suited(vehicle, &expected);
                &by_rule
            }
        };
        let scenario = Scenario {
            slope: self.slope(r),
            surface,
            headwind_mps: r.number(&keys::HEADWIND, Estimate::practice(0.0, Spread::None, "no wind")),
            clutch_start_c: r.number(
                &keys::CLUTCH_START,
                Estimate::practice(
                    air.temperature_c + 40.0,
                    Spread::Absolute(15.0),
                    "40 K over the air: a drive to the start",
                ),
            ),
            air,
            driver: driver(r, vehicle, who, launch),
            rollout_m: r.number(&keys::ROLLOUT, Estimate::practice(0.3048, Spread::None, "1 ft")),
            finish: finish(r),
            time_limit_s: r.number(&keys::TIME_LIMIT, Estimate::practice(60.0, Spread::None, "60 s")),
        };
        (scenario, scatter(r, who))
    }

    fn slope(&self, r: &mut Resolver<'_>) -> Slope {
        let Some(height_m) = &self.profile else {
            return Slope::Constant {
                rise_per_run: r.number(&keys::SLOPE, Estimate::practice(0.0, Spread::None, "flat")),
            };
        };
        r.record_plain(
            &keys::SLOPE_PROFILE,
            || Value::Text(self.given.text(&keys::SLOPE_PROFILE).unwrap_or_default().to_owned()),
            "",
            Origin::Given,
        );
        let first_m = height_m.range().0;
        let start_m = r.number(&keys::START_AT, Estimate::practice(first_m, Spread::None, "where the profile begins"));
        Slope::Profile { height_m: height_m.clone(), start_m }
    }
}

/// The surface as moved, and as it was expected.
fn surface(r: &mut Resolver<'_>) -> (Surface, Surface) {
    let name = r.choice(&keys::SURFACE, "dry asphalt", "dry asphalt where nothing is said", Origin::CommonPractice);
    let named = surface::named(name);
    let expected_friction = r.given.number(&keys::FRICTION_SCALE).unwrap_or(named.friction_scale);
    let friction =
        Estimate::new(named.friction_scale, Spread::Relative(named.friction_spread), named.rule, named.origin);
    let surface = Surface {
        friction_scale: r.number(&keys::FRICTION_SCALE, friction),
        slip_stiffness_scale: r.number(
            &keys::SLIP_STIFFNESS_SCALE,
            Estimate::memory(
                named.slip_stiffness_scale,
                Spread::Relative(0.1),
                "by surface: a loose or wet one yields",
            ),
        ),
        rolling_resistance_scale: r.number(
            &keys::ROLLING_SCALE,
            Estimate::memory(named.rolling_resistance_scale, Spread::Relative(0.1), "by surface"),
        ),
        right_to_left_friction: r.number(&keys::RIGHT_TO_LEFT, Estimate::practice(1.0, Spread::None, "alike")),
    };
    let expected = Surface { friction_scale: expected_friction, ..surface.clone() };
    (surface, expected)
}

fn air(r: &mut Resolver<'_>) -> Air {
    let altitude = r.optional_number(&keys::ALTITUDE);
    let standard = Air::standard_at(altitude.unwrap_or(0.0));
    let source = Origin::Published("ISO 2533 standard atmosphere");
    let (temperature, pressure) = match altitude {
        Some(_) => (
            Estimate::new(standard.temperature_c, Spread::None, "standard temperature at this altitude", source),
            Estimate::new(standard.pressure_pa, Spread::None, "standard pressure at this altitude", source),
        ),
        None => (
            Estimate::practice(20.0, Spread::None, "20 °C"),
            Estimate::new(standard.pressure_pa, Spread::None, "1013.25 hPa: standard pressure at sea level", source),
        ),
    };
    Air {
        temperature_c: r.number(&keys::TEMPERATURE, temperature),
        pressure_pa: r.number(&keys::PRESSURE, pressure),
        relative_humidity: r.number(&keys::HUMIDITY, Estimate::practice(0.5, Spread::None, "50 %")),
    }
}

fn driver(r: &mut Resolver<'_>, vehicle: &Vehicle, who: &NamedDriver, open: &OpenLaunch) -> Driver {
    let planned = |value| Estimate::derived(value, open.rule);
    let foot_per_s = foot_per_s(r, who);
    Driver {
        held_radps: r.number(&keys::REVS, planned(open.held_radps)).max(vehicle.engine.idle_radps),
        kept_radps: r.number(&keys::KEPT_REVS, planned(open.kept_radps)),
        release_s: r.number(&keys::RELEASE_TIME, planned(open.release_s)),
        release_shape: match r.choice(
            &keys::RELEASE_SHAPE,
            "quick to bite",
            "quickly to the bite point, then slowly",
            Origin::CommonPractice,
        ) {
            "straight" => ReleaseShape::Straight,
            _ => ReleaseShape::QuickToBite,
        },
        throttle_ease_s: r.number(&keys::THROTTLE_EASE, planned(open.throttle_ease_s)),
        part_throttle: part_throttle(r, open),
        throttle_lead_s: r.number(&keys::THROTTLE_LEAD, planned(open.throttle_lead_s)),
        clutch_feel: clutch_feel(r, who, foot_per_s),
        wheelspin: wheelspin(r, who, foot_per_s),
        shift_at_radps: shift_at(r, open),
        shift_reaction_s: r.number(
            &keys::SHIFT_REACTION,
            Estimate::practice(
                who.shift_reaction_s,
                Spread::None,
                "by driver: owner 0.15 s, keen 0.10 s, tester 0.06 s; they see it coming",
            ),
        ),
        shift_time_factor: r.number(
            &keys::SHIFT_TIME_FACTOR,
            Estimate::practice(who.shift_time_factor, Spread::None, "by driver: owner 1.25, keen 1, tester 0.7"),
        ),
        lifts_to_shift: r.flag(&keys::SHIFT_LIFT, true, "lifts"),
    }
}

fn part_throttle(r: &mut Resolver<'_>, open: &OpenLaunch) -> Option<PartThrottle> {
    let part = PartThrottle {
        held: r.number(&keys::PART_THROTTLE, Estimate::derived(open.part_throttle, open.rule)),
        until_mps: r.number(&keys::PART_UNTIL, Estimate::derived(open.part_until_mps, open.rule)),
        open_s: r.number(&keys::THROTTLE_OPEN, Estimate::memory(1.0, Spread::None, "1 s")),
    };
    (part.held < 1.0).then_some(part)
}

fn foot_per_s(r: &mut Resolver<'_>, who: &NamedDriver) -> f64 {
    let rule = "by driver: owner 0.30 s, keen 0.25 s, tester 0.18 s; three to six strokes a second";
    1.0 / r.number(&keys::FOOT_TIME, Estimate::practice(who.foot_s, Spread::None, rule))
}

fn clutch_feel(r: &mut Resolver<'_>, who: &NamedDriver, foot_per_s: f64) -> Option<ClutchFeel> {
    r.flag(&keys::CLUTCH_FEEL, true, "a person does not let the engine die").then(|| ClutchFeel {
        lag_s: r.number(
            &keys::REVS_LAG,
            Estimate::memory(who.revs_lag_s, Spread::None, "by driver: owner 0.16 s, keen 0.12 s, tester 0.09 s"),
        ),
        damping_ratio: r.number(
            &keys::STEADINESS,
            Estimate::memory(who.steadiness, Spread::None, "by driver: owner 0.6, keen 0.7, tester 0.8"),
        ),
        foot_per_s,
    })
}

fn wheelspin(r: &mut Resolver<'_>, who: &NamedDriver, foot_per_s: f64) -> WheelspinResponse {
    match r.choice(&keys::WHEELSPIN, "trimmed", "a person trims the throttle by feel", Origin::CommonPractice) {
        "none" => WheelspinResponse::None,
        "ideal" => WheelspinResponse::Ideal,
        _ => WheelspinResponse::Trimmed(Trim {
            lag_s: r.number(
                &keys::SLIP_LAG,
                Estimate::practice(who.slip_lag_s, Spread::None, "by driver: owner 0.26 s, keen 0.20 s, tester 0.16 s"),
            ),
            target_slip: r.number(
                &keys::TARGET_SLIP,
                Estimate::memory(who.target_slip, Spread::None, "by driver: owner 0.10, keen and tester 0.15"),
            ),
            gain: r.number(
                &keys::TRIM_GAIN,
                Estimate::memory(who.trim_gain, Spread::None, "by driver: owner 1.0, keen 1.2, tester 1.3"),
            ),
            foot_per_s,
        }),
    }
}

fn shift_at(r: &mut Resolver<'_>, open: &OpenLaunch) -> Vec<f64> {
    let speeds = r.given.list(&keys::SHIFT_AT).map_or_else(|| open.shift_at_radps.clone(), <[f64]>::to_vec);
    r.record_plain(&keys::SHIFT_AT, || Value::List(speeds.clone()), open.rule, Origin::Derived);
    speeds
}

fn finish(r: &mut Resolver<'_>) -> Finish {
    match r.optional_number(&keys::FINISH_SPEED) {
        Some(speed_mps) => Finish::Speed { speed_mps },
        None => {
            let distance_m = r.number(
                &keys::FINISH_DISTANCE,
                Estimate::practice(DEFAULT_FINISH_M, Spread::None, "1320 ft, a quarter of a mile"),
            );
            Finish::Distance { distance_m }
        }
    }
}

fn scatter(r: &mut Resolver<'_>, who: &NamedDriver) -> DriverScatter {
    let mut memory = |key, value, rule| r.number(key, Estimate::memory(value, Spread::None, rule));
    const REVS: &str = "by driver: owner 250 rpm, keen 150 rpm, tester 100 rpm";
    const TIMES: &str = "by driver: owner 0.15 s, keen 0.10 s, tester 0.06 s";
    DriverScatter {
        held_radps: memory(&keys::SCATTER_REVS, who.revs_sd_radps, REVS),
        kept_radps: memory(&keys::SCATTER_KEPT, who.revs_sd_radps, REVS),
        release_s: memory(&keys::SCATTER_RELEASE, who.time_sd_s, TIMES),
        throttle_ease_s: memory(&keys::SCATTER_EASE, who.time_sd_s, TIMES),
        throttle_lead_s: memory(
            &keys::SCATTER_LEAD,
            who.lead_sd_s,
            "by driver: owner 0.08 s, keen 0.05 s, tester 0.03 s",
        ),
        part_throttle: memory(&keys::SCATTER_PART, who.part_sd, "by driver: owner 6 %, keen 4 %, tester 3 %"),
        slip_lag_s: memory(
            &keys::SCATTER_SLIP_LAG,
            who.slip_lag_sd_s,
            "by driver: owner 0.05 s, keen 0.04 s, tester 0.03 s",
        ),
        shift_at_radps: memory(
            &keys::SCATTER_SHIFT_AT,
            who.shift_sd_radps,
            "by driver: owner 150 rpm, keen 80 rpm, tester 60 rpm",
        ),
        shift_reaction_s: memory(
            &keys::SCATTER_SHIFT_REACTION,
            who.shift_reaction_sd_s,
            "by driver: owner 0.05 s, keen 0.03 s, tester 0.02 s",
        ),
    }
}
