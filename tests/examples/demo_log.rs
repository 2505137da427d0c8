//! Writes the example log of the README to stdout: five invented wet starts of the Gravane 62, made by the simulator.

use bitepoint_checks::made_log::{Recorder, made_log};
use bitepoint_checks::made_runs::{MadeRun, car, day, driven};
use bitepoint_physics::driver::WheelspinResponse;
use bitepoint_physics::vehicle::Finish;
use bitepoint_runner::launch::Launch;

const RADPS: f64 = core::f64::consts::PI / 30.0;

fn main() {
    let (name, vehicle) = car(1);
    let base = day(1, &vehicle);
    // Held revs, release, throttle ease, reaction to the shift, rpm at which gears are left.
    let starts = [
        (3800.0, 0.5, 0.2, 0.1, 6300.0),
        (2600.0, 0.8, 0.6, 0.1, 6300.0),
        (2000.0, 2.4, 1.4, 0.1, 6300.0),
        (1600.0, 1.2, 0.6, 0.9, 6900.0),
        (1700.0, 1.3, 0.5, 0.1, 5200.0),
    ];
    let runs: Vec<MadeRun> = starts
        .into_iter()
        .filter_map(|(held, release_s, throttle_ease_s, reaction_s, shift)| {
            let mut scenario = base.clone();
            let driver = &mut scenario.driver;
            let launch = Launch { held_radps: held * RADPS, release_s, throttle_ease_s, ..Launch::of(driver) };
            *driver = launch.by(driver);
            driver.shift_at_radps.iter_mut().for_each(|w| *w = shift * RADPS);
            driver.shift_reaction_s = reaction_s;
            driver.wheelspin = WheelspinResponse::None;
            scenario.finish = Finish::Speed { speed_mps: 33.0 };
            driven(name, &vehicle, &scenario)
        })
        .collect();
    let recorder = Recorder { dropouts_per_minute: 0.0, speed_latency_s: 0.1, ..Recorder::full(20.0) };
    let log = made_log(&runs.iter().collect::<Vec<_>>(), &recorder, 62);
    print!(
        "# Invented: no such car was driven. Simulated starts of vehicles/gravane-62.toml under scenarios/wet-flat.toml, 20 rows a second.\n{}",
        log.csv
    );
}
