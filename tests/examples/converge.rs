//! Gate error and cost at several tolerances against the converged run.
use bitepoint_checks::cars;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::{Scenario, Vehicle};
fn cases() -> Vec<(&'static str, Vehicle, Scenario)> {
    let slow = |mut s: Scenario| {
        s.driver.release_s = 1.5;
        s
    };
    let longer = |mut s: Scenario| {
        s.driver.release_s = 4.0;
        s.driver.throttle_lead_s = 0.3;
        s
    };
    let ideal = |mut s: Scenario| {
        s.driver.wheelspin = bitepoint_physics::driver::WheelspinResponse::Ideal;
        s
    };
    let human = |mut s: Scenario| {
        s.driver.wheelspin = bitepoint_physics::driver::WheelspinResponse::Trimmed(bitepoint_physics::driver::Trim {
            lag_s: 0.2,
            target_slip: 0.2,
            gain: 1.2,
            foot_per_s: 4.0,
        });
        s
    };
    vec![
        ("rear dry", cars::rear_drive(), cars::dry(3500.0)),
        ("rear wet", cars::rear_drive(), cars::wet(3000.0)),
        ("rear human", cars::rear_drive(), human(cars::dry(3000.0))),
        ("rear ideal", cars::rear_drive(), ideal(cars::dry(3000.0))),
        ("front dry", cars::front_drive(), slow(cars::dry(3500.0))),
        ("front wet", cars::front_drive(), human(cars::wet(3500.0))),
        ("awd dry", cars::all_wheel_drive(), longer(cars::dry(4500.0))),
        ("awd wet", cars::all_wheel_drive(), longer(cars::wet(4500.0))),
        ("solid", cars::solid_axle(), cars::dry(3500.0)),
        ("solid ideal", cars::solid_axle(), ideal(cars::dry(3500.0))),
    ]
}
fn main() {
    let tols: Vec<f64> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    for (name, car, s) in cases() {
        let reference = match simulate(&car, &s, &Tolerances { relative: 1e-9 }) {
            Ok(r) => r,
            Err(e) => {
                println!("{name}: {e}");
                continue;
            }
        };
        print!(
            "{name:12} {:?} {:?} 60mph {:.3} q {:.3} ",
            reference.ending,
            reference.launch.story,
            reference.gate("60 mph").map_or(f64::NAN, |p| p.time_s),
            reference.duration_s
        );
        for &tol in &tols {
            let r = simulate(&car, &s, &Tolerances { relative: tol }).expect("runs");
            let worst = r
                .gates
                .iter()
                .zip(&reference.gates)
                .filter_map(|(a, b)| Some((a.passed?.time_s - b.passed?.time_s).abs()))
                .fold(0.0, f64::max);
            let shaft = (r.peaks.shaft_torque_nm / reference.peaks.shaft_torque_nm - 1.0).abs();
            let face = (r.peaks.clutch_face_c / reference.peaks.clutch_face_c - 1.0).abs();
            let n = 20;
            let t0 = std::time::Instant::now();
            for _ in 0..n {
                std::hint::black_box(simulate(&car, &s, &Tolerances { relative: tol }).expect("runs"));
            }
            let us = t0.elapsed().as_secs_f64() * 1e6 / f64::from(n);
            print!(
                "| {tol:.0e}: {:.3} ms sh {:.1e} fc {:.1e} clo {:.0e} st {} ev {} {us:.0}us ",
                worst * 1e3,
                shaft,
                face,
                r.energy.closure(),
                r.work.steps,
                r.work.evaluations
            );
        }
        println!();
    }
}
