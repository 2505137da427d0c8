//! The plan of each example vehicle on dry and wet: recommended launch, efforts, windows, cost of errors.
//!
//! `cargo run --release -p bitepoint-checks --example plan_table [gate]`

use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use bitepoint_checks::plan_grid::{DAYS, VEHICLES, example};
use bitepoint_runner::plan::{Choice, Decision, Wanted, plan};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Watch;

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

fn rpm(radps: f64) -> f64 {
    radps * 30.0 / core::f64::consts::PI
}

fn tell(what: &str, choice: &Choice) {
    let e = &choice.expected;
    println!(
        "  {what:7} {:.3} s as planned; expected {:.3} s ({}), failed {} of {}; spins {} bogs {} slips {}; {:?} {:?}, held {:.0} bite {:.0} lowest {:.0}",
        choice.time_s,
        e.mean_s,
        e.band.map_or(String::new(), |b| format!("{:.3} to {:.3}", b.low_s, b.high_s)),
        e.failed,
        e.starts,
        e.spins,
        e.bogs,
        e.slips,
        choice.launch.release_shape,
        choice.run.launch.story,
        rpm(choice.launch.held_radps),
        rpm(choice.run.launch.bite_radps),
        rpm(choice.run.launch.lowest_radps),
    );
    for w in &choice.windows {
        let show = |v: f64| match w.decision {
            Decision::HeldRevs | Decision::KeptRevs | Decision::ShiftRevs(_) => format!("{:.0} rpm", rpm(v)),
            _ => format!("{v:.2}"),
        };
        println!(
            "          {:18} {:>9}  window {} to {}  a unit less {:.3?}, more {:.3?}; below {:?}, above {:?}",
            format!("{:?}", w.decision),
            show(w.value),
            show(w.low),
            show(w.high),
            w.unit_less,
            w.unit_more,
            w.below,
            w.above
        );
    }
}

fn main() {
    let gate = std::env::args().nth(1).unwrap_or_else(|| "60 mph".to_owned());
    let target = Target::named(&gate, Clock::FirstMovement).expect("a gate's name");
    for name in VEHICLES {
        for day in DAYS {
            let case = example(name, day);
            let count = Count::default();
            let began = Instant::now();
            let plan = plan(&case, &Wanted::to(target), 1, &count).expect("an example has a plan");
            println!(
                "{name} {day} to {gate}: {} runs in {:.2} s",
                count.0.load(Ordering::Relaxed),
                began.elapsed().as_secs_f64()
            );
            tell("driver", &plan.driver);
            println!("  best    {:.3} s: {:.2?}", plan.best.time_s, plan.best.launch);
            for level in &plan.levels {
                println!(
                    "  {:7} {:.3} s expected, {:.1} kJ, face {:.0} °C, shafts {:.2} of steady; held {:.0} rpm",
                    level.effort.name(),
                    level.expected_s,
                    1e-3 * level.clutch_energy_j,
                    level.clutch_face_c,
                    level.shaft_over_steady,
                    rpm(level.launch.held_radps)
                );
            }
            println!("          other grip {:.3?}\n          {:.1?}", plan.other_grip, plan.cooling);
        }
    }
}
