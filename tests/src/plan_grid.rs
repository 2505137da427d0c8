//! Launches on a dense grid, to hold the planner against.

use std::path::Path;

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_physics::driver::ReleaseShape;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Decision, Judge};
use rayon::prelude::*;

/// How many values each direction of the launch has; shifts are left as they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// Held revs.
    pub held: u32,
    /// Release time.
    pub release: u32,
    /// Throttle ease.
    pub ease: u32,
}

impl Grid {
    /// As many in every direction.
    #[must_use]
    pub const fn dense(points: u32) -> Self {
        Self { held: points, release: points, ease: points }
    }
}

/// The vehicles that come with the program.
pub const VEHICLES: [&str; 5] = ["gravane-62", "ombrel-q4", "ellisar-28", "pilfret-roadster", "tumbrill-14"];
/// Dry and wet.
pub const DAYS: [&str; 2] = ["dry-flat", "wet-flat"];

/// One example by the names of its files.
///
/// # Panics
/// If the files that come with the program cannot be read.
#[must_use]
pub fn example(vehicle: &str, day: &str) -> (Vehicle, Scenario) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let file = |folder: &str, name: &str| root.join(folder).join(name).with_extension("toml");
    let vehicle = read_vehicle(&file("vehicles", vehicle)).expect("an example is valid").resolve().vehicle;
    let scenario = read_scenario(&file("scenarios", day)).expect("an example is valid");
    let scenario = scenario.resolve(&vehicle).expect("the examples go together").scenario;
    (vehicle, scenario)
}

/// Every vehicle on dry and wet.
pub fn examples() -> impl Iterator<Item = (&'static str, &'static str, Vehicle, Scenario)> {
    VEHICLES.into_iter().flat_map(|name| {
        DAYS.into_iter().map(move |day| {
            let (vehicle, scenario) = example(name, day);
            (name, day, vehicle, scenario)
        })
    })
}

/// The best launch of a grid over the whole range of held revs, release time and throttle ease, with every shape of release; gears are
/// left as in `base`.
#[must_use]
pub fn best_on_grid(judge: &Judge<'_>, base: &Launch, grid: Grid) -> (Launch, f64) {
    let share = |i: u32, n: u32| (f64::from(i) + 0.5) / f64::from(n);
    let mut launches = Vec::new();
    for release_shape in [ReleaseShape::Straight, ReleaseShape::SShaped, ReleaseShape::QuickToBite] {
        for held in 0..grid.held {
            for release in 0..grid.release {
                for ease in 0..grid.ease {
                    let at = |decision: Decision, share: f64| decision.at(share, judge.vehicle);
                    launches.push(Launch {
                        held_radps: at(Decision::HeldRevs, share(held, grid.held)),
                        release_s: at(Decision::ReleaseTime, share(release, grid.release)),
                        throttle_ease_s: at(Decision::ThrottleEase, share(ease, grid.ease)),
                        release_shape,
                        ..base.clone()
                    });
                }
            }
        }
    }
    let tried: Vec<(Launch, f64)> = launches
        .into_par_iter()
        .map(|launch| {
            let worth = judge.worth(&launch);
            (launch, worth)
        })
        .collect();
    tried.into_iter().reduce(|best, other| if other.1 < best.1 { other } else { best }).expect("a grid has points")
}
