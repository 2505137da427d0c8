//! The comparison itself.

use core::fmt;

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::DriverScatter;
use rayon::prelude::*;

use super::asked::Asked;
use super::car::{Car, Expected};
use super::differences::Difference;
use super::draws::{Driven, Field, Times, runs_a_draw, uncertain_inputs};
use super::influence::influence;
use super::scatter::{self, Scatter, scatter};
use super::watched::Quiet;
use super::worth::{Comparison, Money, Together, Verdict, Worth};
use crate::bands::Band;
use crate::case::Case;
use crate::launch::Launch;
use crate::plan::{Judge, Recommended, Starts, Wanted, recommend};
use crate::watch::Watch;

/// A changed car keeps the base's launch unless one of its own gains more than this, s: so that a part is judged in the same kind of start,
/// and the slack of two searches is not taken for its worth.
const OWN_LAUNCH_GAINS_S: f64 = 0.03;

/// Why there is no comparison.
#[derive(Debug, Clone, PartialEq)]
pub enum CompareError {
    /// Files that do not go together; the label of the change, empty for the car as it is.
    Files(String, Problems),
    /// No launch of the car as it is gets to the target.
    BaseDoesNotArrive,
    /// It was called off.
    CalledOff,
}

impl fmt::Display for CompareError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Files(label, problems) if label.is_empty() => write!(f, "{problems}"),
            Self::Files(label, problems) => write!(f, "with {label:?}: {problems}"),
            Self::BaseDoesNotArrive => {
                f.write_str("no launch of this car gets to the target here, so there is nothing to compare with")
            }
            Self::CalledOff => f.write_str("called off"),
        }
    }
}

impl core::error::Error for CompareError {}

/// Runs that a comparison makes beside the search for launches.
#[must_use]
pub fn runs_asked(asked: &Asked) -> u64 {
    let changed = asked.variants.len() as u64 + u64::from(asked.together.is_some());
    u64::from(asked.draws) * runs_a_draw(1 + changed) + u64::from(scatter::STARTS)
}

/// Compares each changed car, with its recommended launch, with the car as it is.
///
/// # Errors
/// Files that do not go together, a base that does not arrive, or being called off.
pub fn compare(asked: &Asked, watch: &dyn Watch) -> Result<Comparison, CompareError> {
    let cases: Vec<(&str, &Case)> = core::iter::once(("", &asked.base))
        .chain(asked.variants.iter().map(|variant| (variant.label.as_str(), &variant.case)))
        .chain(asked.together.iter().map(|case| ("all together", case)))
        .collect();
    let (expected, spread) = resolved(&cases)?;
    let launches = launches(asked, &cases, &expected, watch)?;
    let names = uncertain_inputs(cases.iter().map(|(_, case)| *case).zip(&expected))
        .map_err(|problems| CompareError::Files(String::new(), problems))?;

    let field = Field {
        cars: cases
            .iter()
            .zip(&expected)
            .zip(launches)
            .map(|(((_, case), expected), launch)| Driven { case, expected, launch })
            .collect(),
        names,
        target: asked.target,
    };
    let cars: Vec<Option<Car>> =
        field.cars.iter().map(|car| car.expected.with_launch(car.launch.as_ref()?, asked.target)).collect();
    let base = cars[0].clone().ok_or(CompareError::BaseDoesNotArrive)?;
    let draws = field.times(asked.draws, asked.seed, watch).ok_or(CompareError::CalledOff)?;
    let (deviates, draws): (Vec<Vec<f64>>, Vec<Times>) = draws.into_iter().unzip();
    let base_times: Vec<Option<f64>> = draws.iter().map(|times| times.own[0]).collect();
    let base = with_band(base, &base_times);
    let base_values: Vec<f64> = base_times.iter().map(|time| time.unwrap_or(f64::NAN)).collect();
    let base_influence = influence(&field.names, &deviates, &base_values, asked.seed);
    let driver =
        scatter(&expected[0], &base, &spread, (asked.target, asked.seed), watch).ok_or(CompareError::CalledOff)?;

    let worth = |i: usize, label: &str, price: Option<&Money>| {
        let own: Vec<Option<f64>> = draws.iter().map(|times| times.own[i]).collect();
        let old: Vec<Option<f64>> = draws.iter().map(|times| times.as_base[i]).collect();
        let pairs = |times: &[Option<f64>]| base_times.iter().copied().zip(times.iter().copied()).collect::<Vec<_>>();
        let car = cars[i].clone().map(|car| with_band(car, &own));
        let as_expected_s = car.as_ref().map(|car| car.time_s - base.time_s);
        let as_base_s = expected[i].run(&base.launch, asked.target).map(|(_, time_s)| time_s - base.time_s);
        let difference = Difference::of(&pairs(&own), as_expected_s);
        let with_old_plan = Difference::of(&pairs(&old), as_base_s);
        let differences: Vec<f64> =
            pairs(&own).into_iter().map(|(base, own)| own.zip(base).map_or(f64::NAN, |(v, b)| v - b)).collect();
        let influence = influence(&field.names, &deviates, &differences, asked.seed);
        Worth { influence, ..judged(label, price.cloned(), car, difference, with_old_plan, &driver) }
    };
    let changes: Vec<Worth> = asked
        .variants
        .iter()
        .enumerate()
        .map(|(i, variant)| worth(i + 1, &variant.label, variant.price.as_ref()))
        .collect();
    let together = asked.together.as_ref().map(|_| Together {
        worth: worth(cases.len() - 1, "all together", total_price(asked).as_ref()),
        sum_of_singles_s: changes.iter().map(|c| c.difference.map(|d| d.mean_s)).sum(),
    });
    Ok(Comparison {
        target: asked.target,
        base,
        driver,
        changes,
        together,
        draws: asked.draws,
        seed: asked.seed,
        base_influence,
        uncertain_inputs: field.names.len() as u32,
    })
}

fn resolved(cases: &[(&str, &Case)]) -> Result<(Vec<Expected>, DriverScatter), CompareError> {
    let mut scatter = None;
    let mut expected = Vec::with_capacity(cases.len());
    for (label, case) in cases {
        let resolved = case.resolve().map_err(|problems| CompareError::Files((*label).to_owned(), problems))?;
        scatter.get_or_insert(resolved.scenario.scatter);
        expected.push(Expected { vehicle: resolved.vehicle.vehicle, scenario: resolved.scenario.scenario });
    }
    scatter.map(|scatter| (expected, scatter)).ok_or(CompareError::BaseDoesNotArrive)
}

/// The launch of every car: what is recommended for the base, and for each other car the same unless one of its own is clearly quicker.
fn launches(
    asked: &Asked,
    cases: &[(&str, &Case)],
    expected: &[Expected],
    watch: &dyn Watch,
) -> Result<Vec<Option<Launch>>, CompareError> {
    let wanted = Wanted { effort: asked.effort, limits: asked.limits, ..Wanted::to(asked.target) };
    let quiet = Quiet(watch);
    let recommended: Vec<Option<Recommended>> =
        cases.par_iter().map(|(_, case)| recommend(case, &wanted, &quiet).ok()).collect();
    if watch.called_off() {
        return Err(CompareError::CalledOff);
    }
    let Some(of_base) = recommended[0].clone() else { return Err(CompareError::BaseDoesNotArrive) };
    let chosen = cases.iter().zip(expected).zip(recommended).map(|(((_, case), car), own)| {
        let own = own?;
        let judge = Judge::new(&car.vehicle, &car.scenario, asked.target, own.limits, &quiet).hurried();
        let resolved = case.resolve().ok()?;
        let starts = Starts::balanced(&judge, Some(case), &resolved.scenario.scatter);
        // Its own shift points go with its own torque and gears.
        let like_base = Launch { shift_at_radps: own.launch.shift_at_radps.clone(), ..of_base.launch.clone() };
        match starts.verdict(&like_base).0.time_s() {
            Some(like_base_s) if like_base_s <= own.expected_s + OWN_LAUNCH_GAINS_S => Some(like_base),
            _ => Some(own.launch),
        }
    });
    Ok(chosen.collect())
}

fn with_band(car: Car, times: &[Option<f64>]) -> Car {
    let arrived: Vec<f64> = times.iter().copied().flatten().collect();
    let not_arrived = (times.len() - arrived.len()) as u32;
    let enough = !arrived.is_empty() && 2 * arrived.len() >= times.len();
    let mean_s = enough.then(|| arrived.iter().sum::<f64>() / arrived.len() as f64);
    let likely = enough.then(|| Band::of(arrived));
    Car { mean_s, likely, not_arrived, ..car }
}

fn judged(
    label: &str,
    price: Option<Money>,
    car: Option<Car>,
    difference: Option<Difference>,
    with_old_plan: Option<Difference>,
    driver: &Scatter,
) -> Worth {
    let mean_s = difference.map(|d| d.mean_s);
    let gain_per_money_s =
        price.as_ref().filter(|price| price.amount > 0.0).and_then(|price| Some(-mean_s? / price.amount));
    // Twice the standard error sd·√(2/n) of the difference of two means of n starts each.
    let starts_to_see =
        mean_s.filter(|s| *s != 0.0).map(|s| (8.0 * (driver.sd_s / s) * (driver.sd_s / s)).ceil().max(1.0));
    Worth {
        label: label.to_owned(),
        price,
        car,
        verdict: Verdict::of(difference.as_ref()),
        within_driver_scatter: mean_s.is_some_and(|s| s.abs() < driver.sd_s),
        difference,
        with_old_plan,
        starts_to_see,
        gain_per_money_s,
        influence: None,
    }
}

/// What all changes cost, if each has a price in the same currency.
fn total_price(asked: &Asked) -> Option<Money> {
    let prices: Option<Vec<&Money>> = asked.variants.iter().map(|variant| variant.price.as_ref()).collect();
    let prices = prices?;
    let currency = &prices.first()?.currency;
    let amount = prices.iter().map(|price| price.amount).sum();
    prices.iter().all(|price| &price.currency == currency).then(|| Money { amount, currency: currency.clone() })
}
