//! The same quarter mile many times, for a profiler: name of a car of `benched`, number of runs, tolerance.
use bitepoint_checks::benched;
use bitepoint_physics::simulate::{Tolerances, simulate};
fn main() {
    let mut args = std::env::args().skip(1);
    let name = args.next().unwrap_or_else(|| "rear".to_owned());
    let times: u32 = args.next().and_then(|a| a.parse().ok()).unwrap_or(1000);
    let relative = args.next().and_then(|a| a.parse().ok()).unwrap_or(Tolerances::default().relative);
    let tolerances = Tolerances { relative };
    let Some(run) = benched::all().into_iter().find(|run| run.name == name) else {
        println!("no car is called {name}");
        return;
    };
    let began = std::time::Instant::now();
    for _ in 0..times {
        std::hint::black_box(simulate(&run.car, &run.quarter_mile, &tolerances).expect("runs"));
    }
    let us = began.elapsed().as_secs_f64() * 1e6 / f64::from(times);
    let work = simulate(&run.car, &run.quarter_mile, &tolerances).expect("runs").work;
    println!("{us:.0} us, {work:?}, {:.0} ns per evaluation", us * 1e3 / f64::from(work.evaluations));
}
