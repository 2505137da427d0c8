//! Reviews of made starts: faults against those that are there, what the costs leave of the gap, statistics against SciPy.

use bitepoint_checks::faulty_starts::{RATES_HZ, counts, judged, own_or_other, runs, yardsticks};
use bitepoint_checks::made_log::{Recorder, made_log};
use bitepoint_checks::made_runs::driven;
use bitepoint_physics::curve::Curve;
use bitepoint_physics::vehicle::{Finish, Vehicle};
use bitepoint_runlog::read::{Reading, read_from};
use bitepoint_runner::review::{
    Cause, Cost, Costs, FaultKind, Review, Yardstick, compare_sets, mann_whitney_p, review,
};

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} for {wanted}");
}

/// SciPy 1.17.1: `ttest_ind(after, before, equal_var=False)` with `confidence_interval()`, and `mannwhitneyu(before, after)`.
#[test]
fn two_sets_without_ties_differ_as_scipy_says() {
    let before = [4.31, 4.42, 4.28, 4.55, 4.39, 4.47];
    let after = [4.21, 4.33, 4.19, 4.30, 4.26];
    let sets = compare_sets(&before, &after).expect("two sets");
    near(sets.difference_s, -0.145_333_333_333_333_31, 1e-12);
    near(sets.freedom, 8.231_427_226_915_136, 1e-9);
    near(sets.welch_p, 0.016_935_602_877_636_96, 1e-9);
    near(sets.low95_s, -0.257_090_582_944_935_86, 1e-8);
    near(sets.high95_s, -0.033_576_083_721_730_75, 1e-8);
    near(sets.rank_p, 0.030_303_030_303_030_304, 1e-12);
}

/// SciPy 1.17.1, as above; with ties its rank test is the normal limit with corrections for ties and continuity.
#[test]
fn two_sets_with_ties_differ_as_scipy_says() {
    let before = [4.3, 4.4, 4.3, 4.5, 4.4, 4.6, 4.5, 4.4, 4.3, 4.7];
    let after = [4.2, 4.3, 4.2, 4.4, 4.3, 4.1, 4.5, 4.2, 4.3];
    let sets = compare_sets(&before, &after).expect("two sets");
    near(sets.freedom, 16.999_642_631_818_123, 1e-9);
    near(sets.welch_p, 0.013_077_915_516_087_993, 1e-9);
    near(sets.low95_s, -0.285_735_148_604_496_45, 1e-8);
    near(sets.high95_s, -0.038_709_295_839_947_17, 1e-8);
    near(mann_whitney_p(&before, &after), 0.017_168_907_116_256_84, 1e-9);
}

#[test]
fn runs_that_are_all_alike_and_single_runs_tell_nothing() {
    assert_eq!(compare_sets(&[4.0, 4.0], &[4.0, 4.0]), None);
    assert_eq!(compare_sets(&[4.0], &[4.1, 4.2]), None);
}

/// Precision and recall of each fault over made starts, and the sum of the costs.
#[test]
fn faults_are_named_and_their_costs_add_up_to_the_gap() {
    let starts = judged(&yardsticks(), 110, 3);
    let made = |kind| starts.iter().filter(|start| start.asked == kind).count();
    let kinds = FaultKind::ALL.into_iter().map(Some).chain([None]);
    println!("made: {:?}", kinds.map(|kind| (kind, made(kind))).collect::<Vec<_>>());
    assert!(starts.len() > 100, "{} starts", starts.len());
    let mut reached = 0;
    let mut rests = Vec::new();
    for start in starts.iter().flat_map(|j| &j.review.starts) {
        let Some(costs) = &start.costs else { continue };
        reached += 1;
        rests.push(costs.rest_s.abs());
        let sum: f64 = costs.rest_s + costs.parts.iter().map(|p| p.lost_s).sum::<f64>();
        near(sum, costs.gap_s, 1e-9);
        let time_s = start.time_s.expect("a start with costs reached the gate").value;
        assert!(costs.gap_s < time_s);
    }
    assert!(reached > 90, "{reached} starts reached the gate");
    rests.sort_by(f64::total_cmp);
    let (half_s, most_s) = (rests[rests.len() / 2], rests[rests.len() * 9 / 10]);
    assert!(half_s < 0.06 && most_s < 0.25, "not explained: half within {half_s} s, nine in ten within {most_s} s");
    let all = counts(&starts, |_| true);
    let sum = |of: fn(&bitepoint_checks::faulty_starts::Counts) -> u32| all.iter().map(of).sum::<u32>();
    let (hits, missed, invented) = (sum(|c| c.hits), sum(|c| c.missed), sum(|c| c.invented));
    let table: Vec<_> = FaultKind::ALL.iter().zip(&all).collect();
    assert!(f64::from(hits) > 0.9 * f64::from(hits + missed), "recall {hits} of {}: {table:?}", hits + missed);
    assert!(f64::from(hits) > 0.9 * f64::from(hits + invented), "precision {hits} of {}: {table:?}", hits + invented);
}

/// A log of the recommended launch, driven exactly.
fn followed(best: &Yardstick, hz: f64) -> Review {
    let mut made = best.clone();
    made.scenario.finish = Finish::Speed { speed_mps: 29.5 };
    let run = driven("made", &made.vehicle, &made.scenario).expect("a recommended launch gets there");
    let csv = made_log(&[&run], &Recorder { dropouts_per_minute: 0.0, ..Recorder::full(hz) }, 1).csv;
    let log = read_from("made", csv.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
    review(&log, runs(&log), best.clone())
}

/// Who does what is recommended is blamed for nothing, at any rate, and nothing is to be fixed that would win a tenth of a second.
#[test]
fn a_driver_who_follows_the_recommendation_gets_no_fault() {
    for (name, best) in &yardsticks() {
        for hz in RATES_HZ {
            let reviewed = followed(best, hz);
            let start = reviewed.starts.first().expect("one start");
            println!("{name} at {hz} Hz: {:?}", start.costs.as_ref().map(|c| (c.gap_s, &c.parts)));
            assert!(start.faults.is_empty(), "{name} at {hz} Hz: {:?}", start.faults);
            assert!(reviewed.advice.mean_won_s < 0.1, "{name} at {hz} Hz: {:?}", reviewed.advice);
        }
    }
}

/// Logs of the right car are reviewed, those of another are refused or doubted.
#[test]
fn a_log_of_another_car_is_refused_or_doubted_and_one_of_this_car_is_not() {
    let taken = own_or_other(&yardsticks(), 22, 3);
    let own = taken.iter().filter(|t| t.own);
    let (count, refused) = own.fold((0, 0), |(n, refused), t| (n + 1, refused + u32::from(t.refused)));
    assert!(count > 20 && refused == 0, "{refused} of {count} refused");
    let doubted = taken.iter().filter(|t| t.own && !t.doubts.is_empty()).count();
    assert!(doubted <= 2, "{doubted} of {count} doubted");
    // A start that was broken off shows too little to doubt a log by.
    let others: Vec<_> = taken.iter().filter(|t| !t.own && t.asked != Some(FaultKind::EarlyLift)).collect();
    let (told, untold): (Vec<_>, Vec<_>) = others.into_iter().partition(|t| t.refused || !t.doubts.is_empty());
    let untold: Vec<_> = untold.iter().map(|t| (t.driven, t.reviewed, t.asked, t.engine_off)).collect();
    assert!(told.len() > 9 * untold.len() && told.len() > 50, "{} told, but not {untold:?}", told.len());
}

/// The recommended launch of a car driven with another engine, logged without throttle; what its gap comes of.
fn without_throttle(best: &Yardstick, driven_with: &Vehicle) -> Option<Costs> {
    let mut made = best.clone();
    made.scenario.finish = Finish::Speed { speed_mps: 29.5 };
    let run = driven("made", driven_with, &made.scenario)?;
    let csv = made_log(&[&run], &Recorder { dropouts_per_minute: 0.0, ..Recorder::full(20.0) }, 1).csv;
    // The fourth column is the throttle.
    let row = |line: &str| {
        let cells: Vec<&str> = line.splitn(6, ',').collect();
        let kept: Vec<&str> = cells.iter().enumerate().filter(|(i, _)| *i != 3).map(|(_, c)| *c).collect();
        kept.join(",") + "\n"
    };
    let csv: String = csv.lines().map(row).collect();
    let log = read_from("made", csv.as_bytes(), &Reading::default()).unwrap_or_else(|e| panic!("{e}"));
    let mut reviewed = review(&log, runs(&log), best.clone());
    reviewed.starts.remove(0).costs
}

fn power(costs: &Costs) -> Option<&Cost> {
    costs.parts.iter().find(|p| p.cause == Cause::Power)
}

/// An engine with 15 % less torque than its sheet, in a log without throttle, is power that is missing, with about what it cost; a whole one is not.
#[test]
fn power_that_is_missing_is_told_by_how_the_car_pulls() {
    let yardsticks = yardsticks();
    let mut seen = 0;
    let (mut lost_s, mut gap_s) = (0.0, 0.0);
    for (name, best) in yardsticks.iter().step_by(2) {
        let mut weak = best.vehicle.clone();
        let points: Vec<_> = weak.engine.full_load_nm.points().into_iter().map(|(w, nm)| (w, 0.85 * nm)).collect();
        weak.engine.full_load_nm = Curve::new(&points).expect("a curve");
        // Some stall with the launch that is recommended with a whole engine.
        let Some(costs) = without_throttle(best, &weak) else { continue };
        seen += 1;
        let told = power(&costs).unwrap_or_else(|| panic!("{name}: {costs:?}"));
        println!("{name}: {:.2} s of {:.2} s, as with {:.2?}", told.lost_s, costs.gap_s, told.measured);
        lost_s += told.lost_s;
        gap_s += costs.gap_s;
        // Where the plan holds a part throttle, or the tyres spin for a third of the time, a weaker engine at times gains by it, and the feet
        // that are tried do not tell which it was.
        let by_tyres = best.launch.part_throttle < 1.0 || best.run.launch.wheelspin_s > best.time_s / 3.0;
        println!("spin {:.1} of {:.1} s", best.run.launch.wheelspin_s, best.time_s);
        assert!((told.lost_s > 0.0 || by_tyres) && told.measured.is_some_and(|t| t < 1.0), "{name}: {costs:?}");
        let whole = without_throttle(best, &best.vehicle).expect("the best launch gets there");
        assert!(power(&whole).is_none_or(|p| p.lost_s.abs() < 0.1), "{name}: {whole:?}");
    }
    println!("{lost_s:.2} s of {gap_s:.2} s over {seen} cars");
    // Feet are tried, not engines: a third of the gap is shown as power, the rest is not explained. More would be better.
    assert!(seen > 2 && lost_s > 0.33 * gap_s && lost_s < 1.1 * gap_s, "{lost_s} s of {gap_s} s over {seen} cars");
}
