//! Prints a run of each car, for a first look.
use bitepoint_checks::cars;
use bitepoint_physics::simulate::{Tolerances, simulate};
fn main() {
    let tol: f64 = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(1e-4);
    for (name, car) in [
        ("rear", cars::rear_drive()),
        ("front", cars::front_drive()),
        ("awd", cars::all_wheel_drive()),
        ("solid", cars::solid_axle()),
    ] {
        for (sn, s) in [
            ("dry", cars::dry(3500.0)),
            ("wet", cars::wet(3500.0)),
            ("drop", {
                let mut s = cars::dry(5500.0);
                s.driver.release_s = 0.1;
                s
            }),
            ("low", cars::dry(1200.0)),
        ] {
            let t0 = std::time::Instant::now();
            match simulate(&car, &s, &Tolerances { relative: tol }) {
                Ok(r) => {
                    let el = t0.elapsed().as_secs_f64() * 1e6;
                    let g = |n| r.gate(n).map_or(f64::NAN, |p| p.time_s);
                    println!(
                        "{name:5} {sn:4} {:?} {:?} 60ft {:.4} 60mph {:.4} 1/4 {:.5} trap {:.3} home {:?} spin {:.2} low {:.0} T {:.1} shaft {:.0}/{:.0} clo {:.1e} steps {} ref {} ev {} sw {} {:.0}us",
                        r.ending,
                        r.launch.story,
                        g("60 ft"),
                        g("60 mph"),
                        g("1320 ft"),
                        r.trap_mps("1320 ft").unwrap_or(f64::NAN) / 0.44704,
                        r.launch.clutch_home_s,
                        r.launch.wheelspin_s,
                        r.launch.lowest_radps / cars::RPM,
                        r.peaks.clutch_face_c,
                        r.peaks.shaft_torque_nm,
                        r.peaks.steady_shaft_torque_nm,
                        r.energy.closure(),
                        r.work.steps,
                        r.work.refused,
                        r.work.evaluations,
                        r.work.switches,
                        el
                    );
                }
                Err(e) => println!("{name} {sn} ERR {e}"),
            }
        }
    }
}
