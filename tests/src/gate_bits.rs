//! The numbers of one run to the last bit, to hold one platform against another. `tests/wasm` compiles this file as well.

use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::{Tolerances, simulate};

/// Stands where a run has no such number. As a double it is not a number, so no run returns it.
pub const NONE: u64 = u64::MAX;

/// Name and bits of every gate's times and speed, of what follows from them, and of the solver's work, which tells a run that
/// took another way to the same times.
///
/// # Errors
/// Files that do not go together, or a run that cannot be computed, in words.
pub fn gate_bits(vehicle: &VehicleFile, scenario: &ScenarioFile) -> Result<Vec<(String, u64)>, String> {
    let car = vehicle.resolve().vehicle;
    let day = scenario.resolve(&car).map_err(|problems| problems.to_string())?.scenario;
    let run = simulate(&car, &day, &Tolerances::default()).map_err(|error| error.to_string())?;

    let bits = |number: Option<f64>| number.map_or(NONE, f64::to_bits);
    let mut numbers = Vec::new();
    for gate in &run.gates {
        numbers.push((format!("{}, time", gate.name), bits(gate.passed.map(|p| p.time_s))));
        numbers.push((format!("{}, time with rollout", gate.name), bits(gate.passed.and_then(|p| p.with_rollout_s))));
        numbers.push((format!("{}, speed", gate.name), bits(gate.passed.map(|p| p.speed_mps))));
    }
    numbers.extend(run.traps.iter().map(|t| (format!("{}, trap speed", t.name), bits(t.speed_mps))));
    numbers.extend(run.rolling.iter().map(|r| (format!("{}, time", r.name), bits(r.time_s))));
    numbers.push(("duration".to_owned(), run.duration_s.to_bits()));
    numbers.push(("engine work".to_owned(), run.energy.engine_work_j.to_bits()));
    numbers.push(("clutch face, peak temperature".to_owned(), run.peaks.clutch_face_c.to_bits()));
    numbers.push(("steps".to_owned(), u64::from(run.work.steps)));
    numbers.push(("evaluations".to_owned(), u64::from(run.work.evaluations)));
    Ok(numbers)
}
