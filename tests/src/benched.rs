//! The runs that speed is measured on: cars of the checks, and the example vehicles with the launch that suits them.

use std::path::Path;

use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_physics::vehicle::{Scenario, Vehicle};

use crate::cars;

/// A car and a start of it.
#[derive(Debug, Clone)]
pub struct Benched {
    /// What it is called in a table.
    pub name: &'static str,
    /// The car.
    pub car: Vehicle,
    /// Its quarter mile.
    pub quarter_mile: Scenario,
}

/// Names of the example vehicles.
const EXAMPLES: [&str; 6] = ["ellisar-28", "gravane-62", "ombrel-20", "pilfret-roadster", "tressick-15", "tumbrill-14"];

/// Cars of the checks on a dry road, each with a clean start: the one with four driven wheels stalls when driven like the others.
fn of_the_checks() -> Vec<Benched> {
    let with = |name, car, held_rpm, release_s| {
        let mut quarter_mile = cars::dry(held_rpm);
        quarter_mile.driver.release_s = release_s;
        Benched { name, car, quarter_mile }
    };
    vec![
        with("rear", cars::rear_drive(), 3000.0, 2.0),
        with("front", cars::front_drive(), 3000.0, 2.0),
        with("all", cars::all_wheel_drive(), 4500.0, 4.0),
        with("solid", cars::solid_axle(), 3000.0, 2.0),
    ]
}

/// Every vehicle in `vehicles/` under one of the files of `scenarios/`.
///
/// # Panics
/// When an example cannot be read.
pub fn examples(scenario: &str) -> Vec<Benched> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let day = read_scenario(&root.join("scenarios").join(scenario)).expect("an example reads");
    let resolved = EXAMPLES.map(|name| {
        let vehicle = read_vehicle(&root.join("vehicles").join(format!("{name}.toml"))).expect("an example reads");
        let car = vehicle.resolve().vehicle;
        let quarter_mile = day.resolve(&car).expect("the examples go together").scenario;
        Benched { name, car, quarter_mile }
    });
    resolved.into()
}

/// All of them.
///
/// # Panics
/// When an example cannot be read.
pub fn all() -> Vec<Benched> {
    let mut all = of_the_checks();
    all.extend(examples("dry-flat.toml"));
    all
}
