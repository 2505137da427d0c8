//! The plan of each example vehicle on dry and wet: best and driver's launch, windows, cost of errors.
//!
//! `cargo run --release -p bitepoint-checks --example plan_table [gate]`

use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use bitepoint_checks::plan_grid::{DAYS, VEHICLES};
use bitepoint_inputs::files::{read_scenario, read_vehicle};
use bitepoint_runner::case::Case;
use bitepoint_runner::plan::{Choice, Decision, Limits, plan};
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
        "  {what:7} {:.3} s as planned; expected {:.3} s ({}), botched {} of {}; spins {} bogs {} slips {}; {:?} {:?}, held {:.0} bite {:.0} lowest {:.0}",
        choice.time_s,
        e.mean_s,
        e.band.map_or(String::new(), |b| format!("{:.3} to {:.3}", b.low_s, b.high_s)),
        e.botched,
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
            Decision::HeldRevs | Decision::ShiftRevs(_) => format!("{:.0} rpm", rpm(v)),
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
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    for name in VEHICLES {
        for day in DAYS {
            let case = Case {
                vehicle: read_vehicle(&root.join(format!("vehicles/{name}.toml"))).expect("an example"),
                scenario: read_scenario(&root.join(format!("scenarios/{day}.toml"))).expect("an example"),
            };
            let count = Count::default();
            let began = Instant::now();
            let plan = plan(&case, target, &Limits::default(), 1, &count).expect("an example has a plan");
            println!(
                "{name} {day} to {gate}: {} runs in {:.2} s",
                count.0.load(Ordering::Relaxed),
                began.elapsed().as_secs_f64()
            );
            tell("best", &plan.best);
            tell("driver", &plan.driver);
            println!("          other grip {:.3?}\n          {:.1?}", plan.other_grip, plan.cooling);
        }
    }
}
