//! Cautions after a run, and why a run did not finish.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_physics::clutch::Clutch;
use bitepoint_physics::run::{Ending, Limit, Run, Story};
use bitepoint_plot::format::{SHARE, SPAN, Units};
use bitepoint_plot::launch::what_helps;
use bitepoint_runner::case::Case;
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Decision, Known, Wanted};
use bitepoint_runner::timed_run::TimedRun;
use bitepoint_runner::unfinished::Unfinished;
use bitepoint_runner::watch::Nobody;

/// Shaft torque over what the engine alone can hold there, from which a run is called hard on the driveline.
/// Common practice, no source: parts are made for the engine's torque with some room for shock.
const HARD_ON_SHAFTS: f64 = 1.25;
/// Share of the spread's runs that must miss the finish before it is worth a word.
const OFTEN_MISSED: f64 = 0.02;

/// What to do about a start that is too hard on the car, as sentences that end a caution; empty for nothing.
pub(crate) struct Remedies {
    /// For a clutch that is harmed.
    pub(crate) harmed_clutch: &'static str,
    /// For shafts that are overloaded.
    pub(crate) overloaded_shafts: &'static str,
}

/// What a start does to clutch, shafts and steering.
pub(crate) fn hard_on_the_car(run: &Run, clutch: &Clutch, units: Units, remedies: &Remedies) -> Vec<String> {
    let temperature = units.temperature();
    let mut notes = Vec::new();
    if run.peaks.clutch_face_c >= clutch.harm_c {
        notes.push(format!(
            "The clutch face reaches {}: over {} it is harmed for good.{}",
            temperature.text(run.peaks.clutch_face_c),
            temperature.text(clutch.harm_c),
            remedies.harmed_clutch
        ));
    } else if run.peaks.clutch_face_c >= clutch.fade_start_c {
        notes.push(format!(
            "The clutch face reaches {}: it fades from {}. Let it cool before the next start.",
            temperature.text(run.peaks.clutch_face_c),
            temperature.text(clutch.fade_start_c)
        ));
    }
    let shafts = run.peaks.shaft_torque_nm / run.peaks.steady_shaft_torque_nm;
    if shafts > HARD_ON_SHAFTS {
        notes.push(format!(
            "The half-shafts see {} of what full throttle in first gear gives: a launch that can break the driveline.{}",
            SHARE.text(shafts),
            remedies.overloaded_shafts
        ));
    }
    if run.launch.front_lifted_s > 0.0 {
        notes.push(format!(
            "The front wheels carry nothing for {}: the car does not steer then, and how high they rise is not modelled.",
            SPAN.text(run.launch.front_lifted_s)
        ));
    }
    notes
}

/// Cautions of this run.
pub(crate) fn notes(timed: &TimedRun, units: Units) -> Vec<String> {
    let run = &timed.run;
    let remedies = Remedies { harmed_clutch: " Do not start like this.", overloaded_shafts: "" };
    let mut notes = hard_on_the_car(run, &timed.vehicle.vehicle.clutch, units, &remedies);
    if run.limited_s[Limit::Limiter as usize] > 0.1 {
        notes.push(format!("The engine spends {} on its limiter.", SPAN.text(run.limited_s[Limit::Limiter as usize])));
    }
    if !run.air.within_standard {
        notes.push(
            "The air is further from the rating standard's than the standard covers (a factor of 0.93 to 1.07); beyond that the correction is extrapolated."
                .to_owned(),
        );
    }
    if run.launch.story == Story::Slip {
        notes.push("The clutch slips for long in this launch; each such launch wears it.".to_owned());
    }
    let missed = timed.bands.unfinished;
    if f64::from(missed) > OFTEN_MISSED * f64::from(timed.bands.runs) {
        notes.push(format!(
            "If the estimates are off by typical amounts, {missed} of {} such launches stall or do not finish: this one has little room for error.",
            timed.bands.runs
        ));
    }
    notes
}

/// Keys of the launch that a scenario gives.
pub(crate) fn given_keys(scenario: &ScenarioFile) -> Vec<&'static str> {
    Decision::keys().filter(|key| !scenario.leaves_open(key)).map(|key| key.path).collect()
}

/// Where a run's launch comes from.
pub(crate) fn launch_from(case: &Case) -> String {
    let given = given_keys(&case.scenario);
    if Decision::WIDE_OPEN.iter().all(|decision| given.contains(&decision.key().path)) {
        return "given by the scenario".to_owned();
    }
    let rest =
        if case.launch.is_some() { "recommended" } else { "by rule of thumb, since no launch that was tried arrives" };
    if given.is_empty() {
        rest.to_owned()
    } else {
        format!("{} given by the scenario, the rest {rest}", given.join(", "))
    }
}

/// What would help a launch that the scenario gives and that stalls, bogs or does not arrive: how the recommended one differs. `plan` is the
/// command that says more.
pub(crate) fn advice(case: &Case, timed: &TimedRun, plan: &str) -> Option<String> {
    let run = &timed.run;
    let went_wrong = run.ending != Ending::Finished || matches!(run.launch.story, Story::Bog | Story::Stall);
    if !went_wrong || Decision::LAUNCH.iter().all(|decision| case.scenario.leaves_open(decision.key())) {
        return None;
    }
    let (vehicle, day) = (&timed.vehicle.vehicle, &timed.scenario);
    let known = Known { vehicle, scenario: &day.scenario, scatter: &day.scatter, case: Some(case) };
    let better = known.recommend(&Wanted::usual(), &|_| true, &Nobody).ok()?;
    let helps = what_helps(&Launch::of(&day.scenario.driver), &better.launch);
    let what = if helps.is_empty() { "another launch".to_owned() } else { helps.join("; ") };
    let time = SPAN.text(better.expected_s);
    let given = given_keys(&case.scenario).join(", ");
    Some(format!(
        "{what}. The recommended launch is expected to take {time} to 60\u{a0}mph: take {given} out of the scenario, and `{plan}` describes it."
    ))
}

/// Why the run did not finish.
pub(crate) fn reason(why: Unfinished, run: &Run, time_limit_s: f64, units: Units) -> String {
    let (force, torque) = (units.force(), units.torque());
    match why {
        Unfinished::TooLittleTorque { force_n, resistance_n } => format!(
            "This car cannot move here: first gear gives {} at the wheels, slope and rolling resistance take {}.",
            force.text(force_n),
            force.text(resistance_n)
        ),
        Unfinished::TooLittleGrip { force_n, resistance_n } => format!(
            "This car cannot move here: its driven tyres grip with {}, slope and rolling resistance take {}.",
            force.text(force_n),
            force.text(resistance_n)
        ),
        Unfinished::ClutchTooWeak { capacity_nm, needed_nm } => format!(
            "This car cannot move here: its clutch carries {}, moving off takes {}.",
            torque.text(capacity_nm),
            torque.text(needed_nm)
        ),
        Unfinished::Stalled => {
            "The engine stalled: the clutch took more torque than the engine gave until the revs were gone.".to_owned()
        }
        Unfinished::RolledBack => "The car rolled backwards: the clutch did not hold it on the slope.".to_owned(),
        Unfinished::OutOfTime => format!(
            "The finish was not reached within {} (timing.time_limit): by then the car had come {} and went {}.",
            SPAN.text(time_limit_s),
            units.distance().decimals(0).text(run.distance_m),
            units.speed().text(run.final_speed_mps)
        ),
    }
}
