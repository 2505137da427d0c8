//! What the report of a plan is made from.

use bitepoint_runner::plan::Plan;
use bitepoint_runner::target::{Clock, Target};

use crate::format::{Units, gate_name};

/// Everything that the page of a plan says: one car on one or several days.
#[derive(Debug, Clone, Copy)]
pub struct PlanReport<'a> {
    /// Heading of the browser's tab.
    pub title: &'a str,
    /// Name of the vehicle.
    pub vehicle_name: &'a str,
    /// What is to be reached.
    pub target: Target,
    /// The days, in the order in which they were asked for.
    pub days: &'a [PlanDay<'a>],
    /// The command that makes it again; may be empty.
    pub command: &'a str,
    /// Units in which it is read.
    pub units: Units,
}

/// One day's plan.
#[derive(Debug, Clone, Copy)]
pub struct PlanDay<'a> {
    /// Name of the scenario.
    pub name: &'a str,
    /// The plan.
    pub plan: &'a Plan,
    /// Cautions of this plan.
    pub notes: &'a [String],
}

/// The target as people say it: "0–60 mph with rollout", "1/4 mile".
#[must_use]
pub fn target_text(target: Target) -> String {
    let gate = gate_name(target.gate);
    let place = gate.ends_with('m') && !gate.ends_with("km") || gate.ends_with("ft") || gate.ends_with("mile");
    let gate = if place { gate.to_owned() } else { format!("0–{gate}") };
    match target.clock {
        Clock::FirstMovement => gate,
        Clock::Rollout => format!("{gate} with rollout"),
    }
}
