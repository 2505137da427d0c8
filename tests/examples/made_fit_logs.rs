//! Writes the example logs of `bitepoint fit`: `made_fit_logs FOLDER` (an Ellisar 28 drawn from what its sheet leaves open).

use std::path::Path;

use bitepoint_checks::fit_truth::{FitMaking, drawn};
use bitepoint_checks::made_log::Recorder;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "logs".to_owned());
    let making = FitMaking { starts: 3, coasts: 2, recorder: Recorder::full(10.0) };
    let Some(case) = drawn(0, 29, &making) else {
        return Err(std::io::Error::other("a start did not come to its end"));
    };
    for (name, text) in ["ellisar-28-starts.csv", "ellisar-28-rolling-out.csv"].iter().zip(&case.logs) {
        let head = "# Made by the simulator with a car drawn from its sheet; no real car was driven.\n";
        std::fs::write(Path::new(&folder).join(name), format!("{head}{text}"))?;
    }
    for key in ["tyres.peak_friction", "engine.output_scale", "chassis.drag_coefficient", "tyres.rolling_resistance"] {
        println!("{key}: true deviate {:.2}", case.truth.get(key).copied().unwrap_or(f64::NAN));
    }
    Ok(())
}
