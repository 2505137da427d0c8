//! The comparison itself.

use core::fmt;

use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::scenario::DriverScatter;

use super::asked::Asked;
use super::car::{Car, Expected};
use super::differences::Difference;
use super::draws::{Driven, Field, Times, normals, uncertain_inputs};
use super::influence::{Influence, POINTS_A_ROW, influence, outputs};
use super::menu::{self, MENU, menu};
use super::scatter::{self, Scatter, scatter};
use super::worth::{Comparison, Money, Together, Verdict, Worth};
use crate::bands::Band;
use crate::case::Case;
use crate::launch::Launch;
use crate::watch::Watch;

/// Launches of the menu that are tried at each point of the sensitivity.
const SHORT_MENU: usize = 5;

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
    menu::runs(1 + changed)
        + u64::from(asked.draws) * (1 + changed) * MENU as u64
        + scatter::runs(MENU)
        + u64::from(asked.rows) * POINTS_A_ROW * (1 + asked.variants.len() as u64) * SHORT_MENU as u64
}

/// Compares each changed car, launched as is best for it, with the car as it is.
///
/// # Errors
/// Files that do not go together, a base that does not arrive, or being called off.
pub fn compare(asked: &Asked, watch: &dyn Watch) -> Result<Comparison, CompareError> {
    let cases: Vec<(&str, &Case)> = core::iter::once(("", &asked.base))
        .chain(asked.variants.iter().map(|variant| (variant.label.as_str(), &variant.case)))
        .chain(asked.together.iter().map(|case| ("all together", case)))
        .collect();
    let (expected, spread) = resolved(&cases)?;
    let cars = planned(asked, &expected, watch)?;
    let base = cars[0].clone().ok_or(CompareError::BaseDoesNotArrive)?;
    let names = uncertain_inputs(cases.iter().map(|(_, case)| *case).zip(&expected))
        .map_err(|problems| CompareError::Files(String::new(), problems))?;

    let field = Field {
        cars: cases
            .iter()
            .zip(&expected)
            .zip(&cars)
            .map(|(((_, case), expected), car)| Driven {
                case,
                expected,
                // A car that does not arrive is shifted like the base.
                shift_at_radps: car.as_ref().unwrap_or(&base).launch.shift_at_radps.clone(),
            })
            .collect(),
        names,
        target: asked.target,
        limits: asked.limits,
    };
    let menu = menu(&field, &cars, asked.seed, watch).ok_or(CompareError::CalledOff)?;
    let draws = field
        .times(&menu, true, asked.draws, &|draw| normals(&field.names, draw, asked.seed), watch)
        .ok_or(CompareError::CalledOff)?;
    let base_times: Vec<Option<f64>> = draws.iter().map(|times| times.own[0]).collect();
    let base = with_band(base, &base_times);
    let driver = scatter(&expected[0], &menu, &base, &spread, (asked.target, asked.seed), watch)
        .ok_or(CompareError::CalledOff)?;

    let worth = |i: usize, label: &str, price: Option<&Money>| {
        let own: Vec<Option<f64>> = draws.iter().map(|times| times.own[i]).collect();
        let old: Vec<Option<f64>> = draws.iter().map(|times| times.as_base[i]).collect();
        let pairs = |times: &[Option<f64>]| base_times.iter().copied().zip(times.iter().copied()).collect::<Vec<_>>();
        let car = cars[i].clone().map(|car| with_band(car, &own));
        let difference = car.as_ref().map(|car| Difference::of(car.time_s - base.time_s, &pairs(&own)));
        let with_old_plan = expected[i]
            .run(&base.launch, asked.target)
            .map(|(_, time_s)| Difference::of(time_s - base.time_s, &pairs(&old)));
        judged(label, price.cloned(), car, difference, with_old_plan, &driver)
    };
    let changes: Vec<Worth> = asked
        .variants
        .iter()
        .enumerate()
        .map(|(i, variant)| worth(i + 1, &variant.label, variant.price.as_ref()))
        .collect();
    let together = asked.together.as_ref().map(|_| Together {
        worth: worth(cases.len() - 1, "all together", total_price(asked).as_ref()),
        sum_of_singles_s: changes.iter().map(|c| c.difference.map(|d| d.expected_s)).sum(),
    });
    let influence = influence_of(asked, &field, &menu, &draws, watch)?;
    Ok(Comparison { target: asked.target, base, driver, changes, together, draws: asked.draws, seed: asked.seed, menu, influence })
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

/// Every car with its best launch, the base first.
fn planned(asked: &Asked, expected: &[Expected], watch: &dyn Watch) -> Result<Vec<Option<Car>>, CompareError> {
    let mut launches: Vec<Launch> = Vec::new();
    for car in expected {
        if watch.called_off() {
            return Err(CompareError::CalledOff);
        }
        launches.extend(car.planned(asked.target, &asked.limits));
    }
    Ok(expected.iter().map(|car| car.best_of(&launches, asked.target, &asked.limits)).collect())
}

fn with_band(car: Car, times: &[Option<f64>]) -> Car {
    let arrived: Vec<f64> = times.iter().copied().flatten().collect();
    let not_arrived = (times.len() - arrived.len()) as u32;
    let likely = (!arrived.is_empty() && 2 * arrived.len() >= times.len()).then(|| Band::of(arrived));
    Car { likely, not_arrived, ..car }
}

fn judged(
    label: &str,
    price: Option<Money>,
    car: Option<Car>,
    difference: Option<Difference>,
    with_old_plan: Option<Difference>,
    driver: &Scatter,
) -> Worth {
    let expected_s = difference.map(|d| d.expected_s);
    let gain_per_money_s =
        price.as_ref().filter(|price| price.amount > 0.0).and_then(|price| Some(-expected_s? / price.amount));
    // Twice the standard error sd·√(2/n) of the difference of two means of n starts each.
    let starts_to_see =
        expected_s.filter(|s| *s != 0.0).map(|s| (8.0 * (driver.sd_s / s) * (driver.sd_s / s)).ceil().max(1.0));
    Worth {
        label: label.to_owned(),
        price,
        car,
        verdict: Verdict::of(difference.as_ref()),
        within_driver_scatter: expected_s.is_some_and(|s| s.abs() < driver.sd_s),
        difference,
        with_old_plan,
        starts_to_see,
        gain_per_money_s,
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

fn influence_of(
    asked: &Asked,
    field: &Field<'_>,
    menu: &[Launch],
    draws: &[Times],
    watch: &dyn Watch,
) -> Result<Option<Influence>, CompareError> {
    if asked.rows == 0 || draws.is_empty() || field.names.is_empty() {
        return Ok(None);
    }
    let single = Field { cars: field.cars[..=asked.variants.len()].to_vec(), ..field.clone() };
    let drawn: Vec<(Vec<f64>, Vec<f64>)> = draws
        .iter()
        .enumerate()
        .map(|(draw, times)| {
            let own = Times { own: times.own[..=asked.variants.len()].to_vec(), as_base: Vec::new() };
            (normals(&field.names, draw as u32, asked.seed), outputs(&own))
        })
        .collect();
    let menu = &menu[..menu.len().min(SHORT_MENU)];
    influence(&single, menu, &drawn, (asked.rows, asked.seed), watch).map(Some).ok_or(CompareError::CalledOff)
}
