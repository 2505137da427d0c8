//! What a part is worth: checked against brute force, known sensitivity indices and a fact of the trade.

use core::f64::consts::PI;
use std::sync::atomic::{AtomicU64, Ordering};

use bitepoint_inputs::part::Part;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_physics::vehicle::Vehicle;
use bitepoint_runner::case::Case;
use bitepoint_runner::compare::{Asked, CompareError, Comparison, Rows, Variant, Verdict, compare, indices};
use bitepoint_runner::launch::Launch;
use bitepoint_runner::plan::{Effort, Limits};
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::{Nobody, Watch};
use rayon::prelude::*;

const SHEET: &str = include_str!("../../vehicles/ellisar-28.toml");

fn to_60() -> Target {
    Target::named("60 mph", Clock::FirstMovement).expect("a gate")
}

fn asked(sheet: &str, changes: &[(&str, &str)], draws: u32) -> Asked {
    let vehicle = VehicleFile::parse("car.toml", sheet).unwrap_or_else(|e| panic!("{e}"));
    let base = Case::new(vehicle, ScenarioFile::default());
    let variant = |(label, lines): &(&str, &str)| {
        let part = Part::parse("part.toml", &format!("[change]\n{lines}\n")).unwrap_or_else(|e| panic!("{e}"));
        let vehicle = base.vehicle.fitted(&part.changes).unwrap_or_else(|e| panic!("{e}"));
        Variant { label: (*label).to_owned(), price: None, case: Case::new(vehicle, base.scenario.clone()) }
    };
    let variants = changes.iter().map(variant).collect();
    Asked {
        base,
        variants,
        together: None,
        target: to_60(),
        effort: Effort::Normal,
        limits: Limits::default(),
        draws,
        seed: 20,
    }
}

fn compared(asked: &Asked) -> Comparison {
    compare(asked, &Nobody).unwrap_or_else(|e| panic!("{e}"))
}

/// Independent pseudo-random numbers: a generator and a transform that share nothing with what is checked.
struct Random(u64);

impl Random {
    /// From 0 to 1 (splitmix64: Steele, Lea and Flood, OOPSLA 2014, from memory).
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Standard normal (Box and Muller, 1958).
    fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (2.0 * PI * v).cos()
    }
}

/// Time of a drawn car with a launch, s.
fn drawn_s(case: &Case, expected: &Vehicle, normal: &dyn Fn(&str) -> f64, launch: &Launch) -> Option<f64> {
    let (vehicle, scenario) = case.drawn(expected, normal);
    let mut driven = to_60().ending(&scenario);
    driven.driver = launch.by(&driven.driver);
    to_60().time_s(&simulate(&vehicle, &driven, &Tolerances::default()).ok()?)
}

/// Differences of the two cars in plain Monte Carlo: the errors shared, or drawn for each car anew.
fn brute_force(asked: &Asked, comparison: &Comparison, draws: u64, shared: bool) -> Vec<f64> {
    let cases = [&asked.base, &asked.variants[0].case];
    let names: Vec<String> = cases
        .iter()
        .flat_map(|case| {
            let expected = case.vehicle.resolve().vehicle;
            let of_day = case.scenario.uncertain_keys(&expected).into_iter().map(str::to_owned);
            case.vehicle.uncertain_inputs().into_iter().chain(of_day).collect::<Vec<_>>()
        })
        .collect();
    let changed = comparison.changes[0].car.as_ref().expect("arrives");
    let launches = [&comparison.base.launch, &changed.launch];
    let expected = cases.map(|case| case.vehicle.resolve().vehicle);
    (0..draws)
        .into_par_iter()
        .filter_map(|draw| {
            let mut random = Random(77 + draw);
            let mut deviates = || -> std::collections::HashMap<&str, f64> {
                names.iter().map(|name| (name.as_str(), random.normal())).collect()
            };
            let first = deviates();
            let second = if shared { first.clone() } else { deviates() };
            let time = |i: usize, z: &std::collections::HashMap<&str, f64>| {
                let normal = |key: &str| z.get(key).copied().unwrap_or(0.0);
                drawn_s(cases[i], &expected[i], &normal, launches[i])
            };
            Some(time(1, &second)? - time(0, &first)?)
        })
        .collect()
}

#[test]
fn the_band_of_a_difference_is_that_of_plain_monte_carlo_with_other_numbers() {
    const DRAWS: f64 = 800.0;
    let asked = asked(SHEET, &[("lighter", "mass = \"-150 kg\"")], 512);
    let comparison = compared(&asked);
    let found = comparison.changes[0].difference.expect("arrives");
    let plain = brute_force(&asked, &comparison, DRAWS as u64, true);
    assert!(plain.len() as f64 > 0.98 * DRAWS, "{}", plain.len());
    // Four standard errors of a share of 5 %: of the brute force, and of the percentiles that 512 draws gave.
    let error = 4.0 * (0.05 * 0.95 * (1.0 / plain.len() as f64 + 1.0 / 512.0)).sqrt();
    let share = |beyond: &dyn Fn(f64) -> bool| plain.iter().filter(|s| beyond(**s)).count() as f64 / plain.len() as f64;
    let (below, above) = (share(&|s| s < found.likely.low_s), share(&|s| s > found.likely.high_s));
    assert!((below - 0.05).abs() < error && (above - 0.05).abs() < error, "{below} below, {above} above, ±{error}");
    let mean = plain.iter().sum::<f64>() / plain.len() as f64;
    let sd = (plain.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / plain.len() as f64).sqrt();
    let error = 4.0 * sd * (1.0 / plain.len() as f64 + 1.0 / 512.0).sqrt();
    assert!((mean - found.mean_s).abs() < error, "{mean} s against {} s, ±{error}", found.mean_s);

    // With errors of its own for each car the band would be that of two different cars: much wider.
    let mut apart = brute_force(&asked, &comparison, 300, false);
    apart.sort_by(f64::total_cmp);
    let width = apart[apart.len() * 19 / 20] - apart[apart.len() / 20];
    let shared = found.likely.high_s - found.likely.low_s;
    assert!(width > 3.0 * shared, "{width} s apart, {shared} s shared");
}

/// T. Ishigami and T. Homma (1990), with a = 7 and b = 0.1; indices as in A. Saltelli et al., Sensitivity Analysis in Practice
/// (2004): S = 0.3139, 0.4424, 0 and T = 0.5576, 0.4424, 0.2437 (from memory; they follow from the closed form too).
#[test]
fn the_indices_of_the_ishigami_function_are_found() {
    const ROWS: u32 = 8192;
    let ishigami = |x: [f64; 3]| x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin();
    let at = |row: u32, from_b: &dyn Fn(usize) -> bool| {
        let x = [0, 1, 2].map(|i| {
            let dimension = if from_b(i) { 3 + i as u32 } else { i as u32 };
            PI * (2.0 * f64::from(sobol_burley::sample(row, dimension, 1)) - 1.0)
        });
        ishigami(x)
    };
    let column = |from_b: &dyn Fn(usize) -> bool| (0..ROWS).map(|row| at(row, from_b)).collect::<Vec<f64>>();
    let rows =
        Rows { a: column(&|_| false), b: column(&|_| true), ab: (0..3).map(|input| column(&|i| i == input)).collect() };
    let found = indices(&rows).expect("varies");
    for (index, (first, total)) in found.iter().zip([(0.3139, 0.5576), (0.4424, 0.4424), (0.0, 0.2437)]) {
        assert!(
            (index.first - first).abs() < 0.01 && (index.total - total).abs() < 0.01,
            "{index:?} is not {first}, {total}"
        );
        assert!((index.first - first).abs() < 5.0 * index.first_error.max(1e-3), "{index:?}");
        assert!(index.total_error < 0.02, "{index:?}");
    }
}

#[test]
fn a_part_that_changes_nothing_differs_by_nothing() {
    let comparison = compared(&asked(SHEET, &[("same", "final_drive = 2.82"), ("none", "mass = \"+0 %\"")], 32));
    for change in &comparison.changes {
        let difference = change.difference.expect("arrives");
        assert_eq!(
            (difference.mean_s, difference.likely.low_s, difference.likely.high_s),
            (0.0, 0.0, 0.0),
            "{}",
            change.label
        );
        assert_eq!(change.verdict, Verdict::Nothing);
        assert_eq!(change.with_old_plan.map(|d| d.mean_s), Some(0.0));
    }
}

/// Common practice, no source: a shorter final drive that takes second gear out of reach of the gate costs the time of a shift, less
/// what it gains before.
#[test]
fn a_final_drive_that_is_too_short_for_the_gate_costs_a_shift() {
    // Second gear reaches 63 mph at the redline without slip; 8 % shorter it reaches 58 mph, and 59.5 mph at the limiter.
    let sheet = SHEET.replace("final_drive = 2.82", "final_drive = 2.87");
    assert_ne!(sheet, SHEET);
    let comparison = compared(&asked(&sheet, &[("short", "final_drive = \"+8 %\"")], 64));
    let short = comparison.changes[0].car.as_ref().expect("arrives");
    assert_eq!((comparison.base.shifts_mps.len(), short.shifts_mps.len()), (1, 2));
    let lost_s = short.time_s - comparison.base.time_s;
    let shift_s = 0.45 + 0.10; // the estimated shift, and the driver's reaction
    assert!(lost_s > 0.3 * shift_s && lost_s < 1.2 * shift_s, "{lost_s} s");
    assert_ne!(comparison.changes[0].verdict, Verdict::Quicker);
}

#[test]
fn the_answer_is_the_same_on_one_thread_and_on_two_and_follows_the_seed() {
    let asked = asked(SHEET, &[("sticky", "tyres.grade = \"track\"")], 40);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| compared(&asked))
    };
    let one = on(1);
    assert_eq!(one, on(2));
    let other = compared(&Asked { seed: 21, ..asked.clone() });
    assert_ne!(one.changes[0].difference, other.changes[0].difference);
}

struct Impatient(AtomicU64);

impl Watch for Impatient {
    fn done(&self, runs: u64) {
        self.0.fetch_add(runs, Ordering::Relaxed);
    }

    fn called_off(&self) -> bool {
        self.0.load(Ordering::Relaxed) > 500
    }
}

#[test]
fn a_comparison_that_is_called_off_ends_at_once() {
    let watch = Impatient(AtomicU64::new(0));
    let asked = asked(SHEET, &[("lighter", "mass = \"-50 kg\"")], 4096);
    assert_eq!(compare(&asked, &watch), Err(CompareError::CalledOff));
    assert!(watch.0.load(Ordering::Relaxed) < 6000, "{:?}", watch.0);
}
