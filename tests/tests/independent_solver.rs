//! The whole model against the same equations written apart, from `docs/model.md`, in Python and solved by SciPy
//! (`tests/oracle`). Asked for are gates within 1 ms and peaks within 0.1 %; solved tightly they agree far closer.

use bitepoint_checks::oracle::{Case, cases, cases_json};
use bitepoint_physics::run::{Ending, Run};
use bitepoint_physics::simulate::{Tolerances, simulate};
use serde_json::Value;

const CASES: &str = include_str!("../oracle/cases.json");
const EXPECTED: &str = include_str!("../oracle/expected.json");

/// What a run at the default tolerance has to keep.
const GATE_S: f64 = 1e-3;
/// What is left between two solvers that both follow the equations closely: a hundredth of that, and a tenth of the
/// thousandth that peaks have to keep, so that a small difference in the equations shows.
const TIGHT_GATE_S: f64 = 1e-5;
const TIGHT_SHARE: f64 = 1e-4;
/// What the time with a trimmed throttle may differ by, s: a run sums it by its steps, of a few milliseconds here.
const TRIMMED_S: f64 = 1e-3;

/// A value by both solvers.
struct Pair {
    what: String,
    ours: f64,
    theirs: f64,
}

impl Pair {
    fn new(what: impl Into<String>, ours: f64, theirs: &Value) -> Self {
        let what = what.into();
        let theirs = theirs.as_f64().unwrap_or_else(|| panic!("expected.json has no number for {what}"));
        Self { what, ours, theirs }
    }

    fn difference(&self) -> f64 {
        (self.ours - self.theirs).abs()
    }

    fn share(&self) -> f64 {
        self.difference() / self.theirs.abs()
    }
}

/// The pair that `measure` says differs most, told in a line.
fn worst(pairs: &[Pair], measure: impl Fn(&Pair) -> f64) -> (&Pair, f64) {
    pairs
        .iter()
        .map(|pair| (pair, measure(pair)))
        .inspect(|(pair, by)| assert!(by.is_finite(), "{}: {} and {}", pair.what, pair.ours, pair.theirs))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .expect("something was compared")
}

/// Everything that is a time from first movement, and the first movement itself.
fn times(run: &Run, expected: &Value) -> Vec<Pair> {
    let first_movement_s = run.first_movement_s.expect("the car moves");
    let mut pairs = vec![Pair::new("first movement", first_movement_s, &expected["first_movement_s"])];
    let home_s = run.launch.clutch_home_s.expect("the clutch comes home");
    pairs.push(Pair::new("clutch home", home_s, &expected["clutch_home_s"]));
    let gates = expected["gates_s"].as_object().expect("gates");
    let rollout_s = expected["rollout_s"].as_f64().expect("rollout");
    for gate in &run.gates {
        match (gate.passed, gates.get(gate.name)) {
            (Some(passed), Some(theirs)) => {
                pairs.push(Pair::new(gate.name, passed.time_s, theirs));
                let with_rollout_s = passed.with_rollout_s.expect("every gate lies beyond a foot");
                let theirs = theirs.as_f64().expect("a time") - rollout_s;
                pairs.push(Pair { what: format!("{} with rollout", gate.name), ours: with_rollout_s, theirs });
            }
            (None, None) => {}
            (ours, theirs) => panic!("only one solver passes {}: {ours:?}, {theirs:?}", gate.name),
        }
    }
    let shifts = expected["shifts"].as_array().expect("shifts");
    assert_eq!(run.shifts.len(), shifts.len(), "number of shifts");
    for (shift, theirs) in run.shifts.iter().zip(shifts) {
        assert_eq!(Some(u64::from(shift.from_gear)), theirs["from_gear"].as_u64());
        pairs.push(Pair::new(format!("shift from {}", shift.from_gear), shift.time_s, &theirs["time_s"]));
    }
    pairs
}

/// Everything that is compared by share of its size.
fn sizes(run: &Run, expected: &Value) -> Vec<Pair> {
    let (peaks, energy) = (&expected["peaks"], &expected["energy"]);
    let mut pairs = vec![
        Pair::new("clutch face", run.peaks.clutch_face_c, &peaks["clutch_face_c"]),
        Pair::new("shaft torque", run.peaks.shaft_torque_nm, &peaks["shaft_torque_nm"]),
        Pair::new("acceleration", run.peaks.acceleration_mps2, &peaks["acceleration_mps2"]),
        Pair::new("engine speed", run.peaks.engine_radps, &peaks["engine_radps"]),
        Pair::new("largest slip", run.launch.largest_slip_mps, &peaks["largest_slip_mps"]),
        Pair::new("lowest engine speed", run.launch.lowest_radps, &peaks["lowest_launch_radps"]),
        Pair::new("clutch energy", run.energy.clutch_j, &energy["clutch_j"]),
        Pair::new("engine work", run.energy.engine_work_j, &energy["engine_work_j"]),
        Pair::new("work of drag", run.energy.aero_j, &energy["aero_j"]),
        Pair::new("work of rolling resistance", run.energy.rolling_j, &energy["rolling_j"]),
        Pair::new("work of tyre slip", run.energy.tyre_slip_j, &energy["tyre_slip_j"]),
        Pair::new("driveline loss", run.energy.driveline_j, &energy["driveline_j"]),
        Pair::new("final speed", run.final_speed_mps, &expected["final_speed_mps"]),
    ];
    for (name, theirs) in expected["traps_mps"].as_object().expect("traps") {
        pairs.push(Pair::new(format!("trap at {name}"), run.trap_mps(name).expect("the gate was passed"), theirs));
    }
    for (shift, theirs) in run.shifts.iter().zip(expected["shifts"].as_array().expect("shifts")) {
        let from = shift.from_gear;
        pairs.push(Pair::new(format!("engine at shift from {from}"), shift.engine_radps, &theirs["engine_radps"]));
        pairs.push(Pair::new(format!("speed at shift from {from}"), shift.speed_mps, &theirs["speed_mps"]));
    }
    pairs
}

/// Runs every case at this tolerance, tells the largest differences and hands each over.
fn compare(relative: f64, judge: impl Fn(&Case, &Run, &Value, &[Pair], &[Pair])) {
    let expected: Value = serde_json::from_str(EXPECTED).expect("expected.json is JSON");
    let expected = expected["runs"].as_array().expect("runs");
    let cases = cases();
    assert_eq!(cases.len(), expected.len());
    for (case, expected) in cases.iter().zip(expected) {
        assert_eq!(Some(case.name), expected["name"].as_str());
        let run = simulate(&case.vehicle, &case.scenario, &Tolerances { relative }).expect("the case runs");
        assert_eq!(run.ending, Ending::Finished, "{}", case.name);
        let (times, sizes) = (times(&run, expected), sizes(&run, expected));
        let (late, by_s) = worst(&times, Pair::difference);
        let (off, by) = worst(&sizes, Pair::share);
        println!(
            "{} at {relative:.0e}: {:?}, {:.4} s; {} off by {:.2e} ms; {} off by {:.1e}",
            case.name,
            run.launch.story,
            run.duration_s,
            late.what,
            by_s * 1e3,
            off.what,
            by
        );
        judge(case, &run, expected, &times, &sizes);
    }
}

fn every_time_is_within(limit_s: f64, case: &Case, times: &[Pair]) {
    for pair in times {
        assert!(pair.difference() < limit_s, "{}, {}: {} and {}", case.name, pair.what, pair.ours, pair.theirs);
    }
}

#[test]
fn the_other_solver_reads_the_cases_that_are_run_here() {
    assert!(CASES == cases_json(), "cargo run -p bitepoint-checks --example oracle_cases > tests/oracle/cases.json");
}

#[test]
fn solved_tightly_every_time_agrees_to_a_hundredth_of_a_millisecond_and_every_size_to_a_ten_thousandth() {
    compare(1e-8, |case, run, expected, times, sizes| {
        every_time_is_within(TIGHT_GATE_S, case, times);
        for pair in sizes {
            assert!(pair.share() < TIGHT_SHARE, "{}, {}: {} and {}", case.name, pair.what, pair.ours, pair.theirs);
        }
        let theirs_s = expected["trimmed_s"].as_f64().expect("a time");
        assert!((run.launch.trimmed_s - theirs_s).abs() < TRIMMED_S, "{}: {}", case.name, run.launch.trimmed_s);
    });
}

#[test]
fn both_solvers_find_all_of_the_engine_s_work_again() {
    compare(1e-8, |case, run, expected, _, _| {
        let theirs_j = expected["energy"]["residual_j"].as_f64().expect("a residual");
        let work_j = run.energy.engine_work_j;
        assert!(run.energy.closure() < 1e-6, "{}: {} J of {work_j} J", case.name, run.energy.residual_j);
        assert!(theirs_j.abs() < 1e-6 * work_j, "{}: {theirs_j} J of {work_j} J", case.name);
    });
}

#[test]
fn at_the_default_tolerance_every_gate_is_within_a_millisecond() {
    compare(Tolerances::default().relative, |case, _, _, times, _| every_time_is_within(GATE_S, case, times));
}
