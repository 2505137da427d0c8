//! `fit` against logs whose truth is known.

use std::collections::HashMap;

use bitepoint_checks::fit_truth::{FitMaking, drawn, fitted, read_whole, tally};
use bitepoint_checks::known::coast_down::speed_mps;
use bitepoint_checks::made_coasts::{RollsOut, made_coasts};
use bitepoint_checks::made_log::Recorder;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_runner::fit::coast_down::{find_coast_downs, speeds};
use bitepoint_runner::fit::{Asked, FitError, Rolling, Told, fit, road_load, vehicle_text};
use bitepoint_runner::watch::Nobody;
use rand_pcg::Pcg64Mcg;

const SHEET: &str = include_str!("../../vehicles/ellisar-28.toml");

const LOAD: RollsOut = RollsOut { f0_n: 190.0, f2_ns2_per_m2: 0.42, mass_kg: 1680.0, weight_kg: 1615.0 };

fn rolling() -> Rolling {
    Rolling {
        effective_mass_kg: LOAD.mass_kg,
        mass_kg: LOAD.weight_kg,
        density_kg_per_m3: 1.2,
        rolling_growth_s2_per_m2: 0.0,
        slope: 0.0,
        headwind_mps: 0.0,
    }
}

#[test]
fn a_coast_down_follows_its_closed_form() {
    let times: Vec<f64> = (0..60).map(f64::from).collect();
    let found = speeds(32.0, &times, |v| (LOAD.f0_n + LOAD.f2_ns2_per_m2 * v * v) / LOAD.mass_kg);
    for (t, v) in times.iter().zip(found) {
        let truth = speed_mps(32.0, *t, LOAD.f0_n, LOAD.f2_ns2_per_m2, LOAD.mass_kg);
        assert!((v - truth).abs() < 1e-6, "{t} s: {v} for {truth}");
    }
}

#[test]
fn coast_downs_are_found_and_nothing_else_is() {
    let mut rng = Pcg64Mcg::new(5);
    for hz in [1.0, 10.0, 25.0] {
        let log = read_whole("made.csv", &made_coasts(&LOAD, 3, 0.0, hz, 0.05, &mut rng));
        let found = find_coast_downs(&log);
        assert_eq!(found.len(), 3, "at {hz} Hz");
        assert!(found.iter().all(|c| c.neutral == Some(true)));
    }
}

#[test]
fn road_load_comes_back_within_its_intervals_at_their_rate() {
    let (mut held, mut of) = (0, 0);
    for seed in 0..40 {
        let mut rng = Pcg64Mcg::new(2 * seed + 1);
        let log = read_whole("made.csv", &made_coasts(&LOAD, 4, 0.006, 10.0, 0.08, &mut rng));
        let mut coasts = find_coast_downs(&log);
        assert_eq!(coasts.len(), 4);
        coasts.iter_mut().skip(1).step_by(2).for_each(|c| c.direction = -1.0);
        let load = road_load(&coasts, &rolling()).expect("a road load");
        let weight_n = LOAD.weight_kg * 9.806_65;
        for (found, truth) in [
            (load.f0_n, LOAD.f0_n),
            (load.f1_ns_per_m, 0.0),
            (load.f2_ns2_per_m2, LOAD.f2_ns2_per_m2),
            (load.slope.expect("there and back"), 0.006),
            (load.rolling_coefficient, LOAD.f0_n / weight_n),
            (load.drag_area_m2, 2.0 * LOAD.f2_ns2_per_m2 / 1.2),
        ] {
            of += 1;
            held += usize::from((found.value - truth).abs() < 1.96 * found.sd);
            assert!((found.value - truth).abs() < 5.0 * found.sd, "{found:?} for {truth}");
        }
    }
    let share = held as f64 / of as f64;
    assert!((0.90..=0.99).contains(&share), "{held} of {of}");
}

#[test]
fn fitted_inputs_hold_the_truth_at_the_stated_rate() {
    let making = FitMaking { starts: 2, coasts: 2, recorder: Recorder::full(10.0) };
    let mut tallies = HashMap::new();
    for place in 0..12 {
        let Some(case) = drawn(place, 3, &making) else { continue };
        let found = fitted(&case).unwrap_or_else(|e| panic!("{place}: {e}"));
        tally(&case, &found, &mut tallies);
    }
    let (held, of) = tallies.values().fold((0, 0), |(h, n), t| (h + t.held, n + t.of));
    assert!(of > 60, "{of}");
    assert!(held as f64 / of as f64 > 0.88, "{held} of {of}: {tallies:?}");
}

#[test]
fn what_coast_downs_cannot_tell_is_said() {
    let making = FitMaking { starts: 0, coasts: 2, recorder: Recorder::receiver(10.0) };
    let case = drawn(0, 7, &making).expect("a case");
    let found = fitted(&case).expect("a fit");
    let verdict = |key: &str| found.inputs.iter().find(|i| i.key == key).map(|i| i.told);
    assert_eq!(verdict("tyres.peak_friction"), Some(Told::Not));
    assert_eq!(verdict("gearbox.shift_time"), Some(Told::Not));
    assert_ne!(verdict("tyres.rolling_resistance"), Some(Told::Not));
    // Rolling resistance of the tyre and of the surface are one factor.
    let both = ["tyres.rolling_resistance", "road.rolling_resistance_scale"];
    assert!(found.together.iter().any(|p| both.contains(&p.one.as_str()) && both.contains(&p.other.as_str())));
}

#[test]
fn a_fitted_file_reads_again_and_keeps_what_it_does_not_change() {
    let making = FitMaking { starts: 0, coasts: 2, recorder: Recorder::receiver(10.0) };
    let case = drawn(0, 7, &making).expect("a case");
    let found = fitted(&case).expect("a fit");
    let text = vehicle_text(SHEET, &found, "2030-05-17", &["a.csv".to_owned()]).expect("a text");
    assert!(
        text.contains("# a middle-class sedan") && text.contains("Fitted 2030-05-17") && text.contains("from a.csv")
    );
    let resolved = VehicleFile::parse("fitted.toml", &text).expect("a vehicle").resolve();
    let told = found.inputs.iter().filter(|i| i.of_vehicle && i.told.is_news());
    for input in told {
        let entry = resolved.entries.iter().find(|e| e.key.path == input.key).expect("the key");
        let value = entry.si_value().expect("a number");
        assert!((value - input.after_si).abs() < 2e-3 * input.after_si.abs(), "{}: {value}", input.key);
        assert!((entry.spread_sd_si - input.after_sd_si).abs() < 0.1 * input.after_sd_si, "{}", input.key);
    }
}

#[test]
fn a_log_with_nothing_to_fit_says_so() {
    let vehicle = VehicleFile::parse("sheet.toml", SHEET).expect("a vehicle");
    let standing: String = (0..100).fold("time (s),speed (m/s)\n".to_owned(), |text, i| text + &format!("{i},0.1\n"));
    let logs = [read_whole("standing.csv", &standing)];
    let scenario = ScenarioFile::default();
    let asked = Asked {
        logs: &logs,
        vehicle: &vehicle,
        scenario: &scenario,
        launch: None,
        leave_out: false,
        there_and_back: false,
    };
    let error = fit(&asked, &Nobody).expect_err("nothing to fit");
    assert!(matches!(error, FitError::NothingToFit(_)));
    assert!(error.to_string().contains("rolling out in neutral"), "{error}");
}
