//! The planner against dense grids, facts of the trade, other thread counts and other calls.

use bitepoint_checks::cars::{self, RPM};
use bitepoint_checks::plan_grid::{Grid, VEHICLES, best_on_grid, example};
use bitepoint_inputs::scenario::{DriverScatter, ScenarioFile};
use bitepoint_physics::curve::Curve;
use bitepoint_physics::driveline::{Differential, Layout};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Best, Decision, Judge, LimitKind, Limits, NoLaunch, Starts, best_launch, find_best};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::{Nobody, Watch};

fn to(gate: &str) -> Target {
    Target::named(gate, Clock::FirstMovement).expect("a gate's name")
}

fn best(vehicle: &Vehicle, scenario: &Scenario, gate: &str) -> Best {
    best_launch(vehicle, scenario, to(gate), &Limits::default()).expect("an ordinary car gets there")
}

/// A smaller grid than that of the example `plan_against_grid`, which prints the table of all cars.
#[test]
fn a_grid_of_launches_finds_none_that_is_5_ms_quicker() {
    for name in VEHICLES {
        for day in ["dry-flat", "wet-flat"] {
            let (vehicle, scenario) = example(name, day);
            let judge = Judge::new(&vehicle, &scenario, to("60 mph"), Limits::default(), &Nobody);
            let best = find_best(&judge).expect("an example gets there");
            let (launch, time_s) = best_on_grid(&judge, &best.launch, Grid::dense(9));
            assert!(
                time_s > best.time_s - 0.005,
                "{name} {day}: {time_s} s with {launch:?}, planned {} s",
                best.time_s
            );
        }
    }
}
