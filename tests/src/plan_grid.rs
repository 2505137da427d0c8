//! Launches on a dense grid, to compare the planner with.

use std::path::Path;

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_physics::vehicle::Vehicle;
use bitepoint_runner::case::Case;
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Decision, Verdict};
use rayon::prelude::*;

/// How many values each direction of the launch has; a direction with none is left as it is, as shifts are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// Held revs.
    pub held: u32,
    /// Kept revs, from the least to those held.
    pub kept: u32,
    /// Release time.
    pub release: u32,
    /// Throttle ease.
    pub ease: u32,
    /// Part throttle.
    pub part: u32,
    /// Where it opens.
    pub until: u32,
}

impl Grid {
    /// So many held revs and half as many of the rest of a launch straight to wide open.
    #[must_use]
    pub const fn wide_open(points: u32) -> Self {
        Self {
            held: points,
            kept: points.div_ceil(2),
            release: points.div_ceil(2),
            ease: points.div_ceil(2),
            part: 0,
            until: 0,
        }
    }

    /// As many in every direction.
    #[must_use]
    pub const fn dense(points: u32) -> Self {
        Self { held: points, kept: points, release: points, ease: points, part: points, until: points }
    }
}

/// The vehicles that come with the program.
pub const VEHICLES: [&str; 6] =
    ["gravane-62", "ombrel-20", "ellisar-28", "pilfret-roadster", "tressick-15", "tumbrill-14"];
/// Dry and wet.
pub const DAYS: [&str; 2] = ["dry-flat", "wet-flat"];

/// One example by the names of its files.
///
/// # Panics
/// If the files that come with the program cannot be read.
#[must_use]
pub fn example(vehicle: &str, day: &str) -> Case {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let file = |folder: &str, name: &str| root.join(folder).join(name).with_extension("toml");
    Case::new(
        read_vehicle(&file("vehicles", vehicle)).expect("an example is valid"),
        read_scenario(&file("scenarios", day)).expect("an example is valid"),
    )
}

/// Every vehicle on dry and wet.
pub fn examples() -> impl Iterator<Item = (&'static str, &'static str, Case)> {
    VEHICLES.into_iter().flat_map(|name| DAYS.into_iter().map(move |day| (name, day, example(name, day))))
}

/// The best launch of a grid over the whole range of what a launch decides, by `verdict`; gears are left and the throttle leads as in
/// `base`.
///
/// # Panics
/// If the grid is empty.
#[must_use]
pub fn best_on_grid(
    vehicle: &Vehicle,
    base: &Launch,
    grid: Grid,
    verdict: &(dyn Fn(&Launch) -> Verdict + Sync),
) -> (Launch, Verdict) {
    let share = |i: u32, n: u32| (f64::from(i) + 0.5) / f64::from(n);
    let directions = [
        (Decision::HeldRevs, grid.held),
        (Decision::KeptRevs, grid.kept),
        (Decision::ReleaseTime, grid.release),
        (Decision::ThrottleEase, grid.ease),
        (Decision::PartThrottle, grid.part),
        (Decision::PartUntil, grid.until),
    ];
    let mut launches = vec![base.clone()];
    for (decision, values) in directions.into_iter().filter(|(_, values)| *values > 0) {
        let of = |launch: Launch| {
            let (low, high) = decision.range(vehicle);
            // Nobody keeps more revs than they hold.
            let high = if decision == Decision::KeptRevs { high.min(launch.held_radps).max(low) } else { high };
            let top = decision.share(high, vehicle);
            let values = (0..values).map(move |i| decision.at(top * share(i, values), vehicle));
            values.map(move |value| decision.with(&launch, value)).collect::<Vec<_>>()
        };
        launches = launches.into_iter().flat_map(of).collect();
    }
    let tried: Vec<(Launch, Verdict)> = launches
        .into_par_iter()
        .map(|launch| {
            let verdict = verdict(&launch);
            (launch, verdict)
        })
        .collect();
    tried.into_iter().reduce(|best, other| if other.1 < best.1 { other } else { best }).expect("a grid has points")
}
