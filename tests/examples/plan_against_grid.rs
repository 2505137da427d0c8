//! The planner's best against a dense grid of launches, for each example vehicle on dry and wet.
//!
//! `cargo run --release -p bitepoint-checks --example plan_against_grid [gate] [points per direction] [points per direction without part throttle]`

use std::time::Instant;

use bitepoint_checks::plan_grid::{Grid, best_on_grid, examples};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Judge, Limits, find_best};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Watch;
use std::sync::atomic::{AtomicU64, Ordering};

#[derive(Default)]
struct Count(AtomicU64);

impl Watch for Count {
    fn done(&self, runs: u64) {
        self.0.fetch_add(runs, Ordering::Relaxed);
    }

    fn called_off(&self) -> bool {
        false
    }
}

fn main() {
    let mut args = std::env::args().skip(1);
    let gate = args.next().unwrap_or_else(|| "60 mph".to_owned());
    let points = args.next().and_then(|n| n.parse().ok()).unwrap_or(7);
    // Besides, launches whose throttle goes straight to wide open: three directions, so many points in each.
    let wide_open = args.next().and_then(|n| n.parse().ok()).unwrap_or(20);
    let target = Target::named(&gate, Clock::FirstMovement).expect("a gate's name");
    println!(
        "vehicle            scenario    planner, s   grid, s   grid - planner, ms   runs   time, s  held rpm  release s  ease s  part  until m/s  shape        shifts rpm | grid: held rpm  release s  ease s  part  until m/s  shape"
    );
    for (name, day, vehicle, scenario) in examples() {
        let count = Count::default();
        let began = Instant::now();
        let judge = Judge::new(&vehicle, &scenario, target, Limits::default(), &count);
        let best = find_best(&judge).expect("an example gets there");
        let took_s = began.elapsed().as_secs_f64();
        let runs = count.0.load(Ordering::Relaxed);
        let straight = Launch { part_throttle: 1.0, ..best.launch.clone() };
        let [part, straight] = [
            best_on_grid(&judge, &best.launch, Grid::dense(points)),
            best_on_grid(&judge, &straight, Grid::wide_open(wide_open)),
        ];
        let grid = if straight.1 < part.1 { straight } else { part };
        let rpm = |radps: f64| radps * 30.0 / core::f64::consts::PI;
        let shifts: Vec<String> = best.run.shifts.iter().map(|s| format!("{:.0}", rpm(s.engine_radps))).collect();
        println!(
            "{name:18} {day:11} {:10.3} {:9.3} {:+20.1} {:6} {took_s:9.2}  {:8.0}  {:9.2}  {:6.2}  {:4.2} {:6.1} {:11} {:>12} | {:8.0} {:9.2} {:6.2}  {:4.2} {:6.1} {:?}",
            best.time_s,
            grid.1,
            1e3 * (grid.1 - best.time_s),
            runs,
            rpm(best.launch.held_radps),
            best.launch.release_s,
            best.launch.throttle_ease_s,
            best.launch.part_throttle,
            best.launch.part_until_mps,
            format!("{:?}", best.launch.release_shape),
            shifts.join(" "),
            rpm(grid.0.held_radps),
            grid.0.release_s,
            grid.0.throttle_ease_s,
            grid.0.part_throttle,
            grid.0.part_until_mps,
            grid.0.release_shape
        );
    }
}
