//! Why there is no answer, for the person who asked.

use bitepoint_plot::format::{SPAN, Units};
use bitepoint_runner::case::Case;
use bitepoint_runner::conditions::ConditionsError;

use crate::failure::Failure;
use crate::notes::reason;

/// The failure, in the words of the options that led to it.
pub(crate) fn failure(error: ConditionsError, case: &Case, units: Units, (done, of): (u64, u64)) -> Failure {
    let metres = |m: f64| format!("{m:.0} m");
    let option = |back: bool| if back { "--measured-back" } else { "--measured" };
    match error {
        ConditionsError::Files(problems) => problems.into(),
        ConditionsError::Run(error) => Failure::Computation(error.to_string()),
        ConditionsError::NoRollout => Failure::Input(
            "--with-rollout: the scenario has no rollout (timing.rollout is 0)\n    accepted: a scenario with a timing.rollout above zero, or a clock that starts at the first movement".to_owned(),
        ),
        ConditionsError::WithinRollout => {
            Failure::Input("--to: this gate lies within the rollout\n    accepted: a gate beyond it".to_owned())
        }
        ConditionsError::NotReached { when, why, run } => {
            let why = why.zip(run).map_or_else(String::new, |(why, run)| {
                let limit_s = case.resolve().map_or(f64::NAN, |r| r.scenario.scenario.time_limit_s);
                format!(" {}", reason(why, &run, limit_s, units))
            });
            Failure::Computation(format!("The car does not get to the gate {when}.{why}"))
        }
        ConditionsError::OffTheSurvey { back, run_m, ahead_m, behind_m } => {
            let (way, start) = if back { ("The run back", "--back-start-at") } else { ("The run", "--start-at") };
            let found = if behind_m < 0.0 {
                format!("it starts {} outside of the profile", metres(-behind_m))
            } else {
                format!("it needs {} to the gate, the profile goes on for {} from its start", metres(run_m), metres(ahead_m))
            };
            Failure::Input(format!(
                "{way} leaves the slope profile: {found}\n    accepted: a longer profile, a nearer gate, or another {start}"
            ))
        }
        ConditionsError::Implausible { back, measured_s, model_s } => {
            let times = if measured_s > model_s { measured_s / model_s } else { model_s / measured_s };
            let off = if measured_s > model_s { "times as long as" } else { "times shorter than" };
            Failure::Input(format!(
                "{} {}: {times:.1} {off} the {} that the model gives for this car, gate and day\n    accepted: a time within a factor of 2 of it; is it the right gate, car and unit?",
                option(back),
                SPAN.text(measured_s),
                SPAN.text(model_s)
            ))
        }
        ConditionsError::CalledOff => {
            Failure::Computation(format!("Called off after {done} of {of} draws; nothing was written."))
        }
    }
}
