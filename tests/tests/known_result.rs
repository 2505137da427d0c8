//! A result that is known of a car: on made cars against their truth, on measured cars against their other figures.

use bitepoint_checks::real::evidence::{Kind, Mark, cars};
use bitepoint_checks::real::line::{mean, rms};
use bitepoint_inputs::quantity::UnitSystem;
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::vehicle::VehicleFile;
use bitepoint_physics::simulate::{Tolerances, simulate};
use bitepoint_runner::bands::deviate;
use bitepoint_runner::case::Case;
use bitepoint_runner::known::{Figure, KnownResult, LearnError, learn};
use bitepoint_runner::plan::Wanted;
use bitepoint_runner::target::{Clock, Target};
use bitepoint_runner::watch::Nobody;
use rayon::prelude::*;

fn target(gate: &str) -> Target {
    Target::named(gate, Clock::Rollout).unwrap_or_else(|| panic!("{gate}"))
}

fn known(figure: Figure, value: f64, relative_sd: f64) -> KnownResult {
    KnownResult { figure, value, relative_sd, driver: "tester" }
}

fn example(text: &str) -> VehicleFile {
    VehicleFile::parse("car.toml", text).unwrap_or_else(|e| panic!("{e}"))
}

/// Measured cars (26, of 1987 to 2017): who knows the 0-60 time of a car knows more of its quarter mile. The source is beside the table.
#[test]
fn a_known_time_to_60_mph_brings_the_quarter_mile_nearer_to_what_was_measured() {
    let cars: Vec<_> = cars().into_iter().filter(|car| car.kind != Kind::Of1974).collect();
    let errors: Vec<(f64, f64)> = cars
        .par_iter()
        .map(|car| {
            let of = |mark| car.measured(mark).expect("measured").value;
            let results = [known(Figure::Time(target("60 mph")), of(Mark::Sixty), 0.02)];
            let learned = learn(&car.sheet, &results, UnitSystem::Si).unwrap_or_else(|e| panic!("{}: {e}", car.name));
            let error = |vehicle: &VehicleFile| {
                let day = ScenarioFile::default().with("driver", "tester").unwrap_or_else(|e| panic!("{e}"));
                let wanted = Wanted { above_redline: true, ..Wanted::usual() };
                let case = Case::new(vehicle.clone(), day).launched(&wanted, &Nobody).unwrap_or_else(|e| panic!("{e}"));
                let resolved = case.resolve().unwrap_or_else(|e| panic!("{e}"));
                let run = simulate(&resolved.vehicle.vehicle, &resolved.scenario.scenario, &Tolerances::default());
                let time_s = target("1320 ft").time_s(&run.unwrap_or_else(|e| panic!("{e}"))).expect("a quarter mile");
                (time_s / of(Mark::Quarter)).ln()
            };
            (error(&car.sheet), error(&learned.vehicle))
        })
        .collect();
    let (before, after) = (rms(errors.iter().map(|e| e.0)), rms(errors.iter().map(|e| e.1)));
    println!("RMS of the quarter mile: {before:.4} by the sheet, {after:.4} with 0-60 known");
    assert!(after < 0.75 * before, "{before} {after}");
    assert!(mean(errors.iter().map(|e| e.1)).abs() < 0.01);
}

/// Cars drawn from what a sheet leaves open, each with its own exact result: what is then believed holds the truth as often as it says, and
/// is surer than before.
#[test]
fn what_is_believed_of_a_made_car_holds_its_truth() {
    let sheets = [
        include_str!("../../vehicles/gravane-62.toml"),
        include_str!("../../vehicles/tressick-15.toml"),
        include_str!("../../vehicles/ombrel-20.toml"),
    ];
    let draws: Vec<(usize, u32)> = (0..sheets.len()).flat_map(|sheet| (0..12).map(move |draw| (sheet, draw))).collect();
    let found: Vec<(bool, f64)> = draws
        .into_par_iter()
        .filter_map(|(sheet, draw)| {
            let file = example(sheets[sheet]);
            let day = ScenarioFile::default().with("driver", "tester").unwrap_or_else(|e| panic!("{e}"));
            let wanted = Wanted { above_redline: true, ..Wanted::to(target("1320 ft")) };
            let case = Case::new(file.clone(), day).launched(&wanted, &Nobody).unwrap_or_else(|e| panic!("{e}"));
            let scenario = case.resolve().unwrap_or_else(|e| panic!("{e}")).scenario.scenario;
            let truth = file.resolve_with(&|key| deviate(key, draw, 91));
            let figure =
                |vehicle: &_| target("1320 ft").time_s(&simulate(vehicle, &scenario, &Tolerances::default()).ok()?);
            let true_s = figure(&truth)?;
            let results = [known(Figure::Time(target("1320 ft")), true_s, 0.004)];
            let learned = learn(&file, &results, UnitSystem::Si).unwrap_or_else(|e| panic!("{e}"));
            let (before, after) = (learned.shown[0].before.1, learned.shown[0].after.1);
            Some((
                (after.low_s..=after.high_s).contains(&true_s),
                (after.high_s - after.low_s) / (before.high_s - before.low_s),
            ))
        })
        .collect();
    let held = found.iter().filter(|f| f.0).count();
    println!("{held} of {} truths held, width {:.2} of before", found.len(), mean(found.iter().map(|f| f.1)));
    assert!(found.len() >= 32 && held as f64 >= 0.8 * found.len() as f64, "{held} of {}", found.len());
    assert!(mean(found.iter().map(|f| f.1)) < 0.6);
}

#[test]
fn a_result_that_the_sheet_says_itself_moves_nothing() {
    let file = example(include_str!("../../vehicles/gravane-62.toml"));
    let first = known(Figure::Time(target("60 mph")), 5.0, 0.5);
    let by_sheet_s = learn(&file, &[first], UnitSystem::Si).unwrap_or_else(|e| panic!("{e}")).shown[0].before.0;
    let same = known(Figure::Time(target("60 mph")), by_sheet_s, 0.01);
    let learned = learn(&file, &[same], UnitSystem::Si).unwrap_or_else(|e| panic!("{e}"));
    assert!((learned.shown[0].after.0 / by_sheet_s - 1.0).abs() < 0.01);
    let (before, after) = (file.resolve().entries, learned.vehicle.resolve().entries);
    for (a, b) in before.iter().zip(&after).filter(|(a, _)| a.spread_sd_si > 0.0) {
        let (Some(a_si), Some(b_si)) = (a.si_value(), b.si_value()) else { continue };
        assert!((a_si - b_si).abs() < 0.4 * a.spread_sd_si, "{} moved", a.key.path);
        assert!(b.spread_sd_si <= a.spread_sd_si * (1.0 + 1e-9), "{} is less sure", a.key.path);
    }
}

#[test]
fn what_a_sheet_cannot_reach_is_said() {
    let file = example(include_str!("../../vehicles/tressick-15.toml"));
    let result = learn(&file, &[known(Figure::Time(target("60 mph")), 4.0, 0.02)], UnitSystem::Us);
    let Err(error @ LearnError::OutOfReach(..)) = result else { panic!("it was taken") };
    let told = error.text(UnitSystem::Us);
    assert!(told.contains("cannot reach it") && told.contains("check weight"), "{told}");
}
