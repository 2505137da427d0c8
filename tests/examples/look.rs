//! Prints a run of each car of the checks, for a first look at a change.
use bitepoint_checks::cars;
use bitepoint_physics::bounds::standings;
use bitepoint_physics::simulate::{Tolerances, simulate_sampled};

fn main() {
    let cars = [
        ("rear", cars::rear_drive()),
        ("front", cars::front_drive()),
        ("all", cars::all_wheel_drive()),
        ("solid", cars::solid_axle()),
    ];
    let released_in = |mut s: bitepoint_physics::vehicle::Scenario, release_s: f64| {
        s.driver.release_s = release_s;
        s
    };
    let starts = [
        ("dry", released_in(cars::dry(4500.0), 1.8)),
        ("wet", released_in(cars::wet(3500.0), 1.8)),
        ("drop", released_in(cars::dry(5500.0), 0.1)),
        ("low", cars::dry(1500.0)),
    ];
    for (name, car) in &cars {
        for (how, scenario) in &starts {
            let (run, samples) = match simulate_sampled(car, scenario, &Tolerances::default(), 0.005) {
                Ok(both) => both,
                Err(error) => {
                    println!("{name} {how}: {error}");
                    continue;
                }
            };
            let launch = &run.launch;
            println!(
                "{name:5} {how:4} {:?} {:?}: home {:?} s, spin {:.2} s, lowest {:.0} rpm, face {:.0} C, shaft {:.0} of {:.0} N m, closure {:.1e}, {:?}",
                run.ending,
                launch.story,
                launch.clutch_home_s.map(|t| (t * 1000.0).round() / 1000.0),
                launch.wheelspin_s,
                launch.lowest_radps / cars::RPM,
                run.peaks.clutch_face_c,
                run.peaks.shaft_torque_nm,
                run.peaks.steady_shaft_torque_nm,
                run.energy.closure(),
                run.work,
            );
            for s in standings(car, scenario, &run, &samples, &["60 ft", "60 mph", "1320 ft"]) {
                let unexplained = s.lost_s.iter().sum::<f64>() - s.run_s + s.traction_and_power_s;
                println!(
                    "      {:8} {:.3} s, bounds {:.3} and {:.3} s, lost {:?} ({unexplained:.1e} unexplained)",
                    s.gate,
                    s.run_s,
                    s.traction_and_power_s,
                    s.with_shifts_s,
                    s.lost_s.map(|x| (x * 1000.0).round() / 1000.0)
                );
            }
        }
    }
}
