//! A scenario file, read and resolved for a car to what the model needs.

use bitepoint_physics::air::Air;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driver::{Driver, PartThrottle, ReleaseShape, WheelspinResponse};
use bitepoint_physics::road::{Slope, Surface};
use bitepoint_physics::vehicle::{Finish, Scenario, Vehicle};

use super::launch::{Suited, suited};
use super::{check, slope, surface};
use crate::change;
use crate::document;
use crate::entry::{Entry, Origin};
use crate::given::{self, Givens, Spread, Value};
use crate::key::rpm;
use crate::problem::{Collector, Fault, Problems};
use crate::read_value;
use crate::resolver::{Estimate, Resolver};
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
    /// Release time, s.
    pub release_s: f64,
    /// Throttle ease, s.
    pub throttle_ease_s: f64,
    /// Reaction to wheelspin, s.
    pub wheelspin_reaction_s: f64,
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
        let mut collector = Collector::new(&self.file);
        check::check_with(&self.given, vehicle, &mut collector);
        collector.finish()?;
        let mut r = Resolver::recording(&self.given);
        let name = self.name().to_owned();
        r.record_plain(&keys::NAME, || Value::Text(name.clone()), "the built-in day", Origin::CommonPractice);
        let (scenario, scatter) = self.assemble(&mut r, vehicle);
        let mut entries = r.into_entries();
        entries.sort_by_key(|e| SCENARIO_KEYS.iter().position(|k| k.path == e.key.path));
        Ok(ResolvedScenario { name, scenario, scatter, entries })
    }

    /// The scenario with every uncertain value moved by `normal(key)` of its standard deviations (clipped to three).
    ///
    /// The launch is planned for `vehicle` on the surface as it was expected: a driver does not know how the day moved it. So
    /// pass the car as estimated, not the moved one.
    #[must_use]
    pub fn resolve_with(&self, vehicle: &Vehicle, normal: &dyn Fn(&str) -> f64) -> Scenario {
        self.assemble(&mut Resolver::moved(&self.given, normal), vehicle).0
    }

    /// Keys of the values that have a spread.
    #[must_use]
    pub fn uncertain_keys(&self, vehicle: &Vehicle) -> Vec<&'static str> {
        let mut r = Resolver::recording(&self.given);
        self.assemble(&mut r, vehicle);
        r.into_entries().iter().filter(|e| e.spread_sd_si > 0.0).map(|e| e.key.path).collect()
    }

    fn assemble(&self, r: &mut Resolver<'_>, vehicle: &Vehicle) -> (Scenario, DriverScatter) {
        let (surface, expected) = surface(r);
        let air = air(r);
        let plan = suited(vehicle, &expected);
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
            driver: driver(r, vehicle, &plan),
            rollout_m: r.number(&keys::ROLLOUT, Estimate::practice(0.3048, Spread::None, "1 ft")),
            finish: finish(r),
            time_limit_s: r.number(&keys::TIME_LIMIT, Estimate::practice(60.0, Spread::None, "60 s")),
        };
        (scenario, scatter(r))
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

fn driver(r: &mut Resolver<'_>, vehicle: &Vehicle, plan: &Suited) -> Driver {
    let held = Estimate::memory(
        plan.held_radps,
        Spread::None,
        "idle + (redline - idle) · 0.35 of (force the driven tyres can pass on / first-gear wheel force), within 18 and 60 %",
    );
    let release = Estimate::memory(
        plan.release_s,
        Spread::None,
        "1.1 times the time to gain the road speed of the held revs, within 0.4 and 4 s",
    );
    let ease =
        Estimate::memory(plan.throttle_ease_s, Spread::None, "0.2 s, longer the more first gear overcomes the tyres");
    Driver {
        held_radps: r.number(&keys::REVS, held).max(vehicle.engine.idle_radps),
        release_s: r.number(&keys::RELEASE_TIME, release),
        release_shape: match r.choice(
            &keys::RELEASE_SHAPE,
            "quick to bite",
            "quickly to the bite point, then slowly",
            Origin::CommonPractice,
        ) {
            "straight" => ReleaseShape::Straight,
            "s-shaped" => ReleaseShape::SShaped,
            _ => ReleaseShape::QuickToBite,
        },
        throttle_ease_s: r.number(&keys::THROTTLE_EASE, ease),
        part_throttle: part_throttle(r, plan),
        floor_lead_s: r
            .number(&keys::FLOOR_LEAD, Estimate::memory(plan.floor_lead_s, Spread::None, "0.5 s with a turbocharger and a launch limiter to hold it against; else throttle and pedal move together")),
        wheelspin: wheelspin(r),
        shift_at_radps: shift_at(r, plan.redline_radps),
        shift_reaction_s: r
            .number(&keys::SHIFT_REACTION, Estimate::practice(0.10, Spread::None, "0.10 s: the driver sees it coming")),
        lifts_to_shift: r.flag(&keys::SHIFT_LIFT, true, "lifts"),
    }
}

fn part_throttle(r: &mut Resolver<'_>, plan: &Suited) -> Option<PartThrottle> {
    let held = Estimate::practice(
        1.0,
        Spread::None,
        "1, straight to the floor: a part throttle needs revs and release chosen with it, or the engine bogs",
    );
    let until = Estimate::memory(
        plan.part_until_mps,
        Spread::None,
        "where peak power no longer overcomes the tyres: power / grip",
    );
    let part = PartThrottle {
        held: r.number(&keys::PART_THROTTLE, held),
        until_mps: r.number(&keys::PART_UNTIL, until),
        open_s: r.number(&keys::THROTTLE_OPEN, Estimate::memory(1.0, Spread::None, "1 s")),
    };
    (part.held < 1.0).then_some(part)
}

fn wheelspin(r: &mut Resolver<'_>) -> WheelspinResponse {
    match r.choice(&keys::WHEELSPIN, "delayed", "a person: notices, lifts, eases back", Origin::CommonPractice) {
        "none" => WheelspinResponse::None,
        "ideal" => WheelspinResponse::Ideal,
        _ => WheelspinResponse::Delayed {
            reaction_s: r.number(
                &keys::SPIN_REACTION,
                Estimate::practice(0.25, Spread::None, "0.25 s: a person takes 0.2 to 0.4 s, a trained one less"),
            ),
            notice_slip: r.number(&keys::NOTICE_SLIP, Estimate::memory(0.25, Spread::None, "0.25: heard and felt")),
            lift_to: r
                .number(&keys::LIFT_TO, Estimate::memory(0.65, Spread::None, "0.65: a trained foot lifts a third")),
            ease_back_s: r.number(&keys::EASE_BACK, Estimate::memory(1.0, Spread::None, "1 s")),
        },
    }
}

fn shift_at(r: &mut Resolver<'_>, redline_radps: f64) -> Vec<f64> {
    let speeds = r.given.list(&keys::SHIFT_AT).map_or_else(|| vec![redline_radps], <[f64]>::to_vec);
    r.record_plain(
        &keys::SHIFT_AT,
        || Value::List(speeds.clone()),
        "the redline: 150 rpm under the limiter",
        Origin::CommonPractice,
    );
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

fn scatter(r: &mut Resolver<'_>) -> DriverScatter {
    let mut memory = |key, value, rule| r.number(key, Estimate::memory(value, Spread::None, rule));
    DriverScatter {
        held_radps: memory(&keys::SCATTER_REVS, rpm(150.0), "150 rpm"),
        release_s: memory(&keys::SCATTER_RELEASE, 0.1, "0.1 s"),
        throttle_ease_s: memory(&keys::SCATTER_EASE, 0.1, "0.1 s"),
        wheelspin_reaction_s: memory(&keys::SCATTER_SPIN, 0.06, "0.06 s"),
        shift_at_radps: memory(&keys::SCATTER_SHIFT_AT, rpm(80.0), "80 rpm"),
        shift_reaction_s: memory(&keys::SCATTER_SHIFT_REACTION, 0.03, "0.03 s"),
    }
}
