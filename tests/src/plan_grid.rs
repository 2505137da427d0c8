//! Launches on a dense grid, to hold the planner against.

use std::path::Path;

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_physics::driver::ReleaseShape;
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Decision, Judge};
use rayon::prelude::*;

/// How many values each direction of the launch has; a direction with none is left as it is, as shifts are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// Held revs.
    pub held: u32,
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
    /// So many in the directions of a launch straight to wide open, and none in the others.
    #[must_use]
    pub const fn wide_open(points: u32) -> Self {
        Self { held: points, release: points, ease: points, part: 0, until: 0 }
    }

    /// As many in every direction.
    #[must_use]
    pub const fn dense(points: u32) -> Self {
        Self { held: points, release: points, ease: points, part: points, until: points }
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

/// The best launch of a grid over the whole range of held revs, release time and throttle, with every shape of release; gears are
/// left as in `base`.
#[must_use]
pub fn best_on_grid(judge: &Judge<'_>, base: &Launch, grid: Grid) -> (Launch, f64) {
    let share = |i: u32, n: u32| (f64::from(i) + 0.5) / f64::from(n);
    let directions = [
        (Decision::HeldRevs, grid.held),
        (Decision::ReleaseTime, grid.release),
        (Decision::ThrottleEase, grid.ease),
        (Decision::PartThrottle, grid.part),
        (Decision::PartUntil, grid.until),
    ];
    let shapes = [ReleaseShape::Straight, ReleaseShape::QuickToBite];
    let mut launches: Vec<Launch> =
        shapes.into_iter().map(|release_shape| Launch { release_shape, ..base.clone() }).collect();
    for (decision, values) in directions.into_iter().filter(|(_, values)| *values > 0) {
        let of = |launch: Launch| {
            let values = (0..values).map(move |i| decision.at(share(i, values), judge.vehicle));
            values.map(move |value| decision.with(&launch, value)).collect::<Vec<_>>()
        };
        launches = launches.into_iter().flat_map(of).collect();
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
