//! Reviews of made starts: faults against those that are there, what the costs leave of the gap, statistics against SciPy.

use bitepoint_checks::faulty_starts::{counts, judged, yardsticks};
use bitepoint_runner::review::{FaultKind, compare_sets, mann_whitney_p};

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
