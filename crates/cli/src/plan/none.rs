//! Why there is no plan, for the person who asked for one.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_physics::run::{Ending, Run};
use bitepoint_plot::format::{ENERGY, Units};
use bitepoint_plot::plan::target_text;
use bitepoint_runner::plan::{LimitKind, NoLaunch, PlanError, Shortfall};
use bitepoint_runner::target::Target;

use crate::failure::Failure;
use crate::notes::given_keys;

/// The failure of one day's plan.
pub(crate) fn failure(scenario: &ScenarioFile, error: PlanError, target: Target, units: Units, runs: u64) -> Failure {
    let day = scenario.name();
    match error {
        PlanError::Files(problems) => problems.into(),
        PlanError::Run(error) => Failure::Computation(format!("{day}: {error}")),
        PlanError::NoLaunch(NoLaunch::CalledOff) => {
            Failure::Computation(format!("Called off after {runs} runs; nothing was written."))
        }
        PlanError::NoLaunch(NoLaunch::NeverThere(run)) => {
            Failure::Computation(never_there((day, &given_keys(scenario)), run.as_deref(), target, units))
        }
        PlanError::NoLaunch(NoLaunch::OnlyACrawl { crawl_s, free_s }) => Failure::Input(format!(
            "{day}: these limits allow only a crawl ({crawl_s:.1} s; {free_s:.1} s without them): raise them."
        )),
        PlanError::NoLaunch(NoLaunch::Limits(shortfalls)) => Failure::Input(limits(day, &shortfalls, units)),
    }
}

fn never_there((day, given): (&str, &[&str]), run: Option<&Run>, target: Target, units: Units) -> String {
    let how = run.map_or_else(
        || "none of them could be computed".to_owned(),
        |run| {
            let end = match run.ending {
                Ending::Stalled => "it stalls",
                Ending::RolledBack => "it rolls backwards",
                Ending::OutOfTime | Ending::Finished => "its time is up (timing.time_limit)",
            };
            format!(
                "the one that comes furthest gets to {} at {}, then {end}",
                units.distance().decimals(0).text(run.distance_m),
                units.speed().text(run.final_speed_mps)
            )
        },
    );
    let next = if given.is_empty() {
        "`bitepoint run` says why.".to_owned()
    } else {
        format!("The scenario fixes {}: leave that out, and it is planned.", given.join(", "))
    };
    format!("{day}: no launch gets to {}: {how}. {next}", target_text(target))
}

fn limits(day: &str, shortfalls: &[Shortfall], units: Units) -> String {
    let each: Vec<String> = shortfalls.iter().map(|s| shortfall(s, shortfalls.len(), units)).collect();
    format!("{day}: no launch keeps the limits.\n{}", each.join("\n"))
}

fn shortfall(shortfall: &Shortfall, of: usize, units: Units) -> String {
    let (option, text): (&str, Box<dyn Fn(f64) -> String>) = match shortfall.kind {
        LimitKind::ClutchFace => {
            let scale = units.temperature();
            ("--clutch-face-max", Box::new(move |v| scale.text(v)))
        }
        LimitKind::ClutchEnergy => ("--clutch-energy-max", Box::new(|v| ENERGY.text(v))),
        LimitKind::ShaftTorque => {
            let scale = units.torque();
            ("--shaft-torque-max", Box::new(move |v| scale.text(v)))
        }
        LimitKind::Slip => {
            let scale = units.speed();
            ("--slip-max", Box::new(move |v| scale.text(v)))
        }
    };
    let text = |v: f64| text(v).replace('\u{a0}', " ");
    let limit = text(shortfall.limit);
    if shortfall.least > shortfall.limit {
        format!("  {option} {limit}: the least that any launch was found to reach is {}", text(shortfall.least))
    } else if of > 1 {
        format!(
            "  {option} {limit}: can be kept alone ({}), not together with the others; the nearest launch has {}",
            text(shortfall.least),
            text(shortfall.together)
        )
    } else {
        format!(
            "  {option} {limit}: can be kept alone ({}), not together with the other limits that were asked for; the nearest launch has {}",
            text(shortfall.least),
            text(shortfall.together)
        )
    }
}
