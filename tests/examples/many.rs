//! The same quarter mile many times, for a profiler.
use bitepoint_checks::cars;
use bitepoint_physics::simulate::{Tolerances, simulate};
fn main() {
    let times: u32 = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(1000);
    let tol: f64 = std::env::args().nth(2).and_then(|a| a.parse().ok()).unwrap_or(2e-5);
    let mut s = cars::dry(3000.0);
    s.driver.release_s = 2.0;
    let car = cars::rear_drive();
    let t0 = std::time::Instant::now();
    for _ in 0..times {
        std::hint::black_box(simulate(&car, &s, &Tolerances { relative: tol }).expect("runs"));
    }
    let us = t0.elapsed().as_secs_f64() * 1e6 / f64::from(times);
    let work = simulate(&car, &s, &Tolerances { relative: tol }).expect("runs").work;
    println!("{us:.0} us, {work:?}, {:.0} ns per evaluation", us * 1e3 / f64::from(work.evaluations));
}
