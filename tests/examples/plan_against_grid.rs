//! The recommended launch against a dense grid of launches, for each example vehicle on dry and wet, by expected time.
//!
//! `cargo run --release -p bitepoint-checks --example plan_against_grid [gate] [points per direction] [held revs without part throttle]`

use std::time::Instant;

use bitepoint_checks::plan_grid::{Grid, best_on_grid, examples};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Judge, Starts, Wanted, recommend};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::{Nobody, Watch};
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
    let points = args.next().and_then(|n| n.parse().ok()).unwrap_or(4);
    // Besides, launches whose throttle goes straight to wide open: so many held revs, and half as many of all else.
    let wide_open = args.next().and_then(|n| n.parse().ok()).unwrap_or(14);
    let target = Target::named(&gate, Clock::FirstMovement).expect("a gate's name");
    println!("expected times, s; held and kept rpm, release s, ease s, part throttle until m/s");
    println!("vehicle            scenario   recommended  quickest     grid  grid - recommended, ms   runs  time, s");
    for (name, day, case) in examples() {
        let count = Count::default();
        let began = Instant::now();
        let found = recommend(&case, &Wanted::to(target), &count).expect("an example gets there");
        let took_s = began.elapsed().as_secs_f64();
        let resolved = case.resolve().expect("the examples go together");
        let (vehicle, scenario) = (&resolved.vehicle.vehicle, &resolved.scenario.scenario);
        let judge = Judge::new(vehicle, scenario, target, found.limits, &Nobody).hurried();
        let starts = Starts::balanced(&judge, Some(&case), &resolved.scenario.scatter);
        let verdict = |launch: &Launch| starts.verdict(launch).0;
        let straight = Launch { part_throttle: 1.0, ..found.launch.clone() };
        let [part, straight] = [
            best_on_grid(vehicle, &found.launch, Grid::dense(points), &verdict),
            best_on_grid(vehicle, &straight, Grid::wide_open(wide_open), &verdict),
        ];
        let grid = if straight.1 < part.1 { straight } else { part };
        let grid_s = grid.1.time_s().unwrap_or(f64::INFINITY);
        println!(
            "{name:18} {day:10} {:11.3} {:9.3} {grid_s:8.3} {:+23.1} {:6} {took_s:8.2}",
            found.expected_s,
            found.quickest_s,
            1e3 * (grid_s - found.expected_s),
            count.0.load(Ordering::Relaxed),
        );
        let rpm = |radps: f64| radps * 30.0 / core::f64::consts::PI;
        for (what, launch) in [("recommended", &found.launch), ("quickest", &found.quickest), ("grid", &grid.0)] {
            println!(
                "    {what:12} {:5.0} {:5.0}  {:.2}  {:.2}  {:.2} {:.1}",
                rpm(launch.held_radps),
                rpm(launch.kept_radps),
                launch.release_s,
                launch.throttle_ease_s,
                launch.part_throttle,
                launch.part_until_mps,
            );
        }
    }
}
