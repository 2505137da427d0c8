//! Prints the car, the day and the run that bytes of a fuzz corpus stand for: `cargo run -p bitepoint-checks --example drawn -- FILE`.

use bitepoint_checks::drawn_inputs::draw;
use bitepoint_physics::simulate::{Tolerances, simulate};

fn main() {
    for path in std::env::args().skip(1) {
        let data = std::fs::read(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
        let Some(drawn) = draw(&data) else {
            println!("{path}: the car and the day do not go together");
            continue;
        };
        println!("{path}: {:#?}\n{:#?}", drawn.vehicle, drawn.scenario);
        println!("{:#?}", simulate(&drawn.vehicle, &drawn.scenario, &Tolerances::default()));
    }
}
