//! What is recommended for an ordinary car, dry and wet, and what a good driver would say to it.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::run::{Ending, Run};
use bitepoint_runner::case::{Case, Resolved};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Cost, Decision, Plan, Wanted, plan};
use bitepoint_runner::timed_run::timed_run;
use bitepoint_runner::watch::Nobody;

const RPM: f64 = core::f64::consts::PI / 30.0;
const DRY: &str = "name = \"Dry\"\n";
const WET: &str = "name = \"Wet\"\n[road]\nsurface = \"standing-water wet\"\n";

/// One car, planned dry and wet.
pub struct Launched {
    /// Name of the sheet.
    pub name: String,
    /// Dry, then wet.
    pub days: [Day; 2],
}

/// One day.
pub struct Day {
    /// The car and the day.
    pub resolved: Resolved,
    /// The run that `run` makes, by its own choice of launch.
    pub run: Run,
    /// The plan.
    pub plan: Plan,
}

/// What a driver would not do, or would not believe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Oddity {
    /// The launch that `run` chooses stalls or does not arrive, dry or wet.
    Stalls,
    /// Engine speed held, or at a shift, above the redline.
    AboveRedline,
    /// More revs held in the wet than in the dry.
    MoreRevsInTheWet,
    /// The pedal comes up within 0.2 s and the driveline feels more than 120 % of full throttle in first gear.
    HardDrop,
    /// The launches that `run` and `plan` choose differ by more than 0.10 s.
    RunAndPlanApart,
    /// One unit of error (100 rpm, 0.1 s, 5 % of throttle) costs more than 0.15 s.
    ErrorCosts,
    /// Expected time against held revs, within 1000 rpm, has a step of over 0.03 s per 100 rpm.
    Step,
    /// The clutch takes less than 10 or more than 80 kJ (cars of 1000 to 1700 kg, dry).
    Heat,
    /// 60 ft with rollout outside 1.7 to 2.6 s (dry).
    SixtyFeet,
}

impl Oddity {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Stalls,
        Self::AboveRedline,
        Self::MoreRevsInTheWet,
        Self::HardDrop,
        Self::RunAndPlanApart,
        Self::ErrorCosts,
        Self::Step,
        Self::Heat,
        Self::SixtyFeet,
    ];
}

/// Plans a sheet dry and wet.
///
/// # Panics
/// If the sheet or a plan fails: every ordinary car has a launch.
#[must_use]
pub fn launched(name: &str, sheet: &str) -> Launched {
    let vehicle = VehicleFile::parse("sheet.toml", sheet).unwrap_or_else(|e| panic!("{name}: {e}"));
    let days = [DRY, WET].map(|day| {
        let scenario = ScenarioFile::parse("day.toml", day, &|_| Err(String::new())).expect("a day");
        let case = Case::new(vehicle.clone(), scenario);
        let run_case = case.clone().launched(&Wanted::usual(), &Nobody).expect("they go together");
        let run = timed_run(&run_case, 0).unwrap_or_else(|e| panic!("{name}: {e}")).run;
        let plan = plan(&case, &Wanted::usual(), 1, &Nobody).unwrap_or_else(|e| panic!("{name}: {e:?}"));
        Day { resolved: plan.resolved.clone(), run, plan }
    });
    Launched { name: name.to_owned(), days }
}

/// The most that one unit of error costs, s; infinite where it ends the start.
#[must_use]
pub fn worst_unit_s(plan: &Plan) -> f64 {
    let cost = |cost: &Cost| match cost {
        Cost::Seconds(s) => *s,
        Cost::NoStart => f64::INFINITY,
        Cost::OutOfReach => 0.0,
    };
    plan.driver.windows.iter().flat_map(|w| [cost(&w.unit_less), cost(&w.unit_more)]).fold(0.0, f64::max)
}

/// The largest step of expected time per 100 rpm of held revs within 1000 rpm of the plan, s.
#[must_use]
pub fn worst_step_s(day: &Day, expected: &dyn Fn(&Launch) -> Option<f64>) -> f64 {
    let vehicle = &day.resolved.vehicle.vehicle;
    let (low, high) = Decision::HeldRevs.range(vehicle);
    let planned = &day.plan.driver.launch;
    let times: Vec<Option<f64>> = (-10..=10)
        .map(|i| planned.held_radps + 100.0 * RPM * f64::from(i))
        .filter(|held| (low..=high).contains(held))
        .map(|held| expected(&Launch { held_radps: held, kept_radps: planned.kept_radps.min(held), ..planned.clone() }))
        .collect();
    times.windows(2).filter_map(|pair| Some((pair[1]? - pair[0]?).abs())).fold(0.0, f64::max)
}

/// What a driver would say to it. `step_s` is the largest step of expected time per 100 rpm.
#[must_use]
pub fn oddities(launched: &Launched, step_s: f64) -> Vec<Oddity> {
    let [dry, wet] = &launched.days;
    let mut found = Vec::new();
    let mut say = |oddity: Oddity, holds: bool| {
        if holds && !found.contains(&oddity) {
            found.push(oddity);
        }
    };
    for day in &launched.days {
        let engine = &day.resolved.vehicle.vehicle.engine;
        let launch = &day.plan.driver.launch;
        let run = &day.plan.driver.run;
        let over = |radps: f64| radps > engine.redline_radps + 1e-6;
        say(Oddity::Stalls, day.run.ending != Ending::Finished);
        say(Oddity::AboveRedline, over(launch.held_radps) || run.shifts.iter().any(|s| over(s.engine_radps)));
        let shaft = run.peaks.shaft_torque_nm / run.peaks.steady_shaft_torque_nm;
        say(Oddity::HardDrop, launch.release_s < 0.2 && shaft > 1.2);
        let own_s = day.run.gate("60 mph").map_or(f64::INFINITY, |passed| passed.time_s);
        say(Oddity::RunAndPlanApart, (own_s - day.plan.driver.expected.mean_s).abs() > 0.10);
    }
    let held = |day: &Day| day.plan.driver.launch.held_radps;
    say(Oddity::MoreRevsInTheWet, held(wet) > 1.02 * held(dry));
    say(Oddity::ErrorCosts, worst_unit_s(&dry.plan) > 0.15);
    say(Oddity::Step, step_s > 0.03);
    let run = &dry.plan.driver.run;
    let mass_kg = dry.resolved.vehicle.vehicle.chassis.mass_kg;
    let heat_kj = run.peaks.clutch_energy_j / 1e3;
    say(Oddity::Heat, (1000.0..=1700.0).contains(&mass_kg) && !(10.0..=80.0).contains(&heat_kj));
    let sixty_s = run.gate("60 ft").and_then(|passed| passed.with_rollout_s).unwrap_or(f64::INFINITY);
    say(Oddity::SixtyFeet, !(1.7..=2.6).contains(&sixty_s));
    found
}

/// A line about one day: what the driver is asked to do, and what comes of it.
#[must_use]
pub fn line(day: &Day) -> String {
    let choice = &day.plan.driver;
    let (launch, run) = (&choice.launch, &choice.run);
    let sixty = run.gate("60 ft").and_then(|p| p.with_rollout_s).unwrap_or(f64::NAN);
    let part = if launch.holds_part_throttle() {
        format!(" part {:.0}% to {:.0} km/h", 100.0 * launch.part_throttle, 3.6 * launch.part_until_mps)
    } else {
        String::new()
    };
    format!(
        "{:5.2} s (car {:5.2}-{:5.2}, run {:5.2}) hold {:4.0} keep {:4.0} release {:.1} ease {:.1} lead {:+.1}{part}; home {:.1} s, \
         {:3.0} kJ {:3.0} C shaft {:3.0}% spin {:.1} trim {:.1} low {:4.0} 60ft {sixty:.2} unit {:.3}",
        choice.expected.mean_s,
        choice.likely.band.map_or(f64::NAN, |b| b.low_s),
        choice.likely.band.map_or(f64::NAN, |b| b.high_s),
        day.run.gate("60 mph").map_or(f64::NAN, |p| p.time_s),
        launch.held_radps / RPM,
        launch.kept_radps / RPM,
        launch.release_s,
        launch.throttle_ease_s,
        launch.throttle_lead_s,
        run.launch.clutch_home_s.unwrap_or(f64::NAN),
        run.peaks.clutch_energy_j / 1e3,
        run.peaks.clutch_face_c,
        100.0 * run.peaks.shaft_torque_nm / run.peaks.steady_shaft_torque_nm,
        run.launch.wheelspin_s,
        run.launch.trimmed_s,
        run.launch.lowest_radps / RPM,
        worst_unit_s(&day.plan),
    )
}
