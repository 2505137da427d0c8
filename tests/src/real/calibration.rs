//! From road tests to the numbers of the rules: what handbooks say, corrected by measured cars.
//!
//! Model: the logarithm of a measured figure is that of the program's own answer for the car's sheet, driven by a tester with the
//! recommended launch, plus what the car differs from its rules by (each value's scatter, carried through the model by its slope) plus what
//! tester, day and instruments differ by. The unknowns are the numbers of the rules: the same for all cars. Handbooks are the prior, the
//! road tests the likelihood, both normal. The most likely numbers are a least-squares problem (Levenberg and Marquardt's method, the crate
//! `levenberg-marquardt` that `fit` uses too); their covariance is that of the linear model there, Laplace's approximation. Sampling
//! would add nothing: thirty-odd unknowns with normal priors, and figures that are all but linear in them within their spreads.
//!
//! How far cars scatter about their rules is a factor on the scatters of what makes speed and one on those of what makes a start, the most likely
//! ones with the numbers integrated out.

use bitepoint_inputs::entry::Origin;
use bitepoint_inputs::rules::{RULE_DEVIATE, RuleNumber, Rules};
use bitepoint_runner::fit::least_squares::{Parameter, Problem, Rows, solve};
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};
use rayon::prelude::*;
use toml_edit::{DocumentMut, Item, Value};

use super::evidence::{Car, Mark};
use super::prediction::Launched;

/// Correlation of what tester and day do to 0-60, quarter mile and trap speed: a good start shortens both times and hardly changes the trap
/// speed; a day with good air shortens both and raises it (from memory).
const OF_TESTER: [[f64; 3]; 3] = [[1.0, 0.8, -0.4], [0.8, 1.0, -0.5], [-0.4, -0.5, 1.0]];
/// Spread of the scatters' factor before the road tests: a factor of 1.35 either way (from memory).
const FACTOR_SD: f64 = 0.3;
/// Rounds of launch, fit and scatter; later ones change the numbers by less than a tenth of their errors.
const ROUNDS: usize = 3;
/// Steps of the slopes, in standard deviations of the priors.
const STEP: f64 = 0.25;

/// Factors on the scatters of what makes speed (power, drag, losses) and of what makes a start (grip, weight, shifts and the rest).
pub type Factors = [f64; 2];

/// Whether a key's value is of what makes speed.
fn makes_speed(key: &str) -> bool {
    ["engine.output_scale", "chassis.drag_coefficient", "tyres.rolling_resistance", "driveline.final_drive_efficiency"]
        .contains(&key)
}

/// The same for a number of the rules.
fn is_about_speed(rule: &str) -> bool {
    ["output", "net over gross", "drag", "rolling", "final drive"].iter().any(|about| rule.starts_with(about))
}

/// A car as the fit sees it: how it is driven, what was measured and what that may be off by.
struct Seen {
    launched: Launched,
    /// Logarithms of the figures; not a number where nothing was measured.
    measured: Vector3<f64>,
    /// Variance of values about their rules, of what makes speed and of what makes a start.
    of_rules: [Matrix3<f64>; 2],
    /// Variance of the sheet's other values, and of tester and day.
    of_others: Matrix3<f64>,
}

/// The figures near the most likely numbers: all that is left of the model.
struct Linear {
    /// Measured less computed, logarithms, for the measured marks alone.
    missed: DVector<f64>,
    /// Change with the numbers, in standard deviations of their priors.
    slopes: DMatrix<f64>,
    of_rules: [DMatrix<f64>; 2],
    of_others: DMatrix<f64>,
}

/// What came of it.
pub struct Calibrated {
    /// The numbers.
    pub rules: &'static Rules,
    /// Factors on the scatters of what makes speed and of what makes a start.
    pub factors: Factors,
    /// Place of the most likely numbers, in standard deviations of their priors.
    z: DVector<f64>,
    linear: Vec<Linear>,
}

/// The same numbers as handbooks alone say them.
///
/// # Panics
/// Never: independent errors make sound correlations.
#[must_use]
pub fn by_handbooks(rules: &Rules) -> &'static Rules {
    let numbers = rules.numbers().iter().map(|n| RuleNumber {
        value: n.prior,
        sd: n.prior_sd,
        scatter: n.prior_scatter,
        ..n.clone()
    });
    let numbers: Vec<RuleNumber> = numbers.collect();
    let independent = (0..numbers.len()).map(|i| (0..=i).map(|j| f64::from(i == j)).collect()).collect();
    Box::leak(Box::new(Rules::new(numbers, independent).expect("independent errors")))
}

/// Calibrates the numbers on some cars.
///
/// # Panics
/// If the fit fails: then the evidence or the model is broken.
#[must_use]
pub fn calibrate(cars: &[Car]) -> Calibrated {
    let prior = by_handbooks(Rules::built_in());
    let count = prior.numbers().len();
    let mut rules = prior;
    let mut factors = [1.0; 2];
    let mut z = vec![0.0; count];
    let mut linear = Vec::new();
    for _ in 0..ROUNDS {
        let seen: Vec<Seen> = cars.par_iter().map(|car| Seen::new(car, rules, prior)).collect();
        let rows = |z: &[f64]| {
            let data: Option<Vec<Vec<f64>>> = seen.par_iter().map(|seen| seen.residuals(prior, z, factors)).collect();
            Some(Rows { data: data?.concat(), prior: z.to_vec() })
        };
        let parameters = z.iter().map(|start| Parameter { start: *start, step: STEP, bounds: None }).collect();
        let problem = Problem { parameters, rows: &rows, huber: None, tolerance: 1e-4 };
        let found = solve(&problem).expect("the measured cars' figures can be computed");
        z = found.values;
        linear = seen.par_iter().map(|seen| seen.linear(prior, &z)).collect();
        factors = likeliest_factors(&linear, &DVector::from_vec(z.clone()));
        rules = posterior(prior, &linear, &DVector::from_vec(z.clone()), factors, None).0;
    }
    let z = DVector::from_vec(z);
    let (rules, z) = posterior(prior, &linear, &z, factors, None);
    Calibrated { rules, factors, z, linear }
}

impl Calibrated {
    /// The numbers without one of the cars: by the linear model, which the one car does not lead astray.
    #[must_use]
    pub fn without(&self, place: usize) -> &'static Rules {
        let prior = by_handbooks(Rules::built_in());
        posterior(prior, &self.linear, &self.z, self.factors, Some(place)).0
    }
}

impl Seen {
    fn new(car: &Car, rules: &'static Rules, prior: &'static Rules) -> Self {
        let launched = Launched::new(car, rules);
        let measured =
            Vector3::from(Mark::ALL.map(|mark| car.measured(mark).map_or(f64::NAN, |measured| measured.value.ln())));
        let tester = Vector3::from(Mark::ALL.map(|mark| car.measured(mark).map_or(1.0, |m| m.relative_sd)));
        let of_tester = Matrix3::from_fn(|i, j| OF_TESTER[i][j] * tester[i] * tester[j]);
        // Slopes over the cars' own values are taken about the handbooks' numbers: the factor on the scatters is applied later.
        let sheet = car.sheet.estimated_by(prior);
        let entries = sheet.resolve().entries;
        let by_rule =
            |name: &str| entries.iter().any(|e| e.key.path == name && matches!(e.origin, Origin::Calibrated(_)));
        let (mut of_rules, mut of_others) = ([Matrix3::zeros(); 2], of_tester);
        for name in sheet.uncertain_inputs().iter().filter(|name| !name.starts_with(RULE_DEVIATE)) {
            let at = |z: f64| {
                let vehicle = launched.case.vehicle.resolve_with(&|key| if key == name { z } else { 0.0 });
                launched.figures_of(&vehicle).map(|f| Vector3::from(f.map(f64::ln)))
            };
            // A value that stalls the car one way is told by the other.
            let slope = match (at(1.0), at(-1.0), at(0.0)) {
                (Some(up), Some(down), _) => 0.5 * (up - down),
                (Some(up), None, Some(middle)) => up - middle,
                (None, Some(down), Some(middle)) => middle - down,
                _ => Vector3::zeros(),
            };
            let variance = slope * slope.transpose();
            if by_rule(name) { of_rules[usize::from(!makes_speed(name))] += variance } else { of_others += variance }
        }
        Self { launched, measured, of_rules, of_others }
    }

    /// Places of the figures that were measured.
    fn marks(&self) -> Vec<usize> {
        (0..3).filter(|&mark| self.measured[mark].is_finite()).collect()
    }

    /// Logarithms of the figures with the numbers at `z` standard deviations of their priors.
    fn computed(&self, prior: &'static Rules, z: &[f64]) -> Option<Vector3<f64>> {
        let normal = |key: &str| {
            let name = key.strip_prefix(RULE_DEVIATE)?;
            prior.numbers().iter().position(|number| number.name == name).map(|place| z[place])
        };
        let sheet = self.launched.case.vehicle.estimated_by(prior);
        let vehicle = sheet.resolve_with(&|key| normal(key).unwrap_or(0.0));
        self.launched.figures_of(&vehicle).map(|figures| Vector3::from(figures.map(f64::ln)))
    }

    /// Measured less computed, made independent of each other and of variance one.
    fn residuals(&self, prior: &'static Rules, z: &[f64], factors: Factors) -> Option<Vec<f64>> {
        let computed = self.computed(prior, z)?;
        let marks = self.marks();
        let missed = DVector::from_iterator(marks.len(), marks.iter().map(|&m| self.measured[m] - computed[m]));
        let [speed, start] = self.of_rules;
        let variance = speed * factors[0].powi(2) + start * factors[1].powi(2) + self.of_others;
        let variance = DMatrix::from_fn(marks.len(), marks.len(), |i, j| variance[(marks[i], marks[j])]);
        let lower = variance.cholesky()?.l();
        Some(lower.solve_lower_triangular(&missed)?.as_slice().to_vec())
    }

    fn linear(&self, prior: &'static Rules, z: &[f64]) -> Linear {
        let marks = self.marks();
        let of =
            |matrix: &Matrix3<f64>| DMatrix::from_fn(marks.len(), marks.len(), |i, j| matrix[(marks[i], marks[j])]);
        let at = |z: &[f64]| self.computed(prior, z);
        let middle = at(z).expect("the fit went through here");
        let mut slopes = DMatrix::zeros(marks.len(), z.len());
        for place in 0..z.len() {
            let moved = |by: f64| {
                let mut moved = z.to_vec();
                moved[place] += by;
                at(&moved).map(|figures| (figures - middle) / by)
            };
            let sides: Vec<Vector3<f64>> = [moved(STEP), moved(-STEP)].into_iter().flatten().collect();
            for (row, &mark) in marks.iter().enumerate() {
                slopes[(row, place)] = sides.iter().map(|side| side[mark]).sum::<f64>() / sides.len().max(1) as f64;
            }
        }
        Linear {
            missed: DVector::from_iterator(marks.len(), marks.iter().map(|&m| self.measured[m] - middle[m])),
            slopes,
            of_rules: [of(&self.of_rules[0]), of(&self.of_rules[1])],
            of_others: of(&self.of_others),
        }
    }
}

impl Linear {
    fn variance(&self, factors: Factors) -> DMatrix<f64> {
        &self.of_rules[0] * factors[0].powi(2) + &self.of_rules[1] * factors[1].powi(2) + &self.of_others
    }
}

/// The likeliest factors on the scatters, the numbers integrated out.
fn likeliest_factors(cars: &[Linear], z: &DVector<f64>) -> Factors {
    let rows: usize = cars.iter().map(|car| car.missed.len()).sum();
    let mut slopes = DMatrix::zeros(rows, z.len());
    let mut missed = DVector::zeros(rows);
    let mut row = 0;
    for car in cars {
        let n = car.missed.len();
        slopes.view_mut((row, 0), (n, z.len())).copy_from(&car.slopes);
        // What the handbooks' numbers miss, by the linear model.
        missed.rows_mut(row, n).copy_from(&(&car.missed + &car.slopes * z));
        row += n;
    }
    let of_numbers = &slopes * slopes.transpose();
    let cost = |factors: &Factors| {
        let mut variance = of_numbers.clone();
        let mut row = 0;
        for car in cars {
            let n = car.missed.len();
            let mut block = variance.view_mut((row, row), (n, n));
            block += car.variance(*factors);
            row += n;
        }
        let cholesky = variance.cholesky().expect("a sum of variances");
        let ln_determinant = 2.0 * cholesky.l().diagonal().iter().map(|d| d.ln()).sum::<f64>();
        let prior = factors.iter().map(|factor| (factor.ln() / FACTOR_SD).powi(2)).sum::<f64>();
        missed.dot(&cholesky.solve(&missed)) + ln_determinant + prior
    };
    let grid: Vec<f64> = (0..=30).map(|i| 0.5 * 6.0_f64.powf(f64::from(i) / 30.0)).collect();
    let pairs: Vec<Factors> = grid.iter().flat_map(|a| grid.iter().map(move |b| [*a, *b])).collect();
    let costs: Vec<f64> = pairs.par_iter().map(cost).collect();
    let least = costs.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(place, _)| place);
    pairs[least]
}

/// The numbers that the linear model makes most likely, without one car if asked, and their place.
fn posterior(
    prior: &'static Rules,
    cars: &[Linear],
    z: &DVector<f64>,
    factors: Factors,
    without: Option<usize>,
) -> (&'static Rules, DVector<f64>) {
    let count = z.len();
    let mut information = DMatrix::identity(count, count);
    let mut pull = DVector::zeros(count);
    for (_, car) in cars.iter().enumerate().filter(|(place, _)| Some(*place) != without) {
        let weight = car.variance(factors).try_inverse().expect("a variance");
        let weighted = car.slopes.transpose() * weight;
        information += &weighted * &car.slopes;
        pull += weighted * (&car.missed + &car.slopes * z);
    }
    let covariance = information.try_inverse().expect("priors make it definite");
    let z = &covariance * pull;
    let sd = |i: usize| covariance[(i, i)].sqrt();
    let numbers = prior.numbers().iter().enumerate().map(|(i, n)| RuleNumber {
        value: n.prior + z[i] * n.prior_sd,
        sd: sd(i) * n.prior_sd,
        scatter: n.prior_scatter * factors[usize::from(!is_about_speed(&n.name))],
        ..n.clone()
    });
    let correlations = (0..count)
        .map(|i| (0..=i).map(|j| if i == j { 1.0 } else { covariance[(i, j)] / (sd(i) * sd(j)) }).collect())
        .collect();
    let rules = Rules::new(numbers.collect(), correlations).expect("a covariance is definite");
    (Box::leak(Box::new(rules)), z)
}

/// The text of the file of rules with other numbers and correlations in it; notes and sources stay.
///
/// # Panics
/// If the text is not that of a file of rules.
#[must_use]
pub fn file_text(before: &str, rules: &Rules) -> String {
    let mut document: DocumentMut = before.parse().expect("the file of rules is TOML");
    let tables = document["rule"].as_array_of_tables_mut().expect("rules");
    for (table, number) in tables.iter_mut().zip(rules.numbers()) {
        let mut set = |key: &str, number: f64| {
            // Four digits of what is known to two: more would say too much.
            let rounded: f64 = format!("{number:.3e}").parse().expect("a number");
            let mut value = Value::from(rounded);
            *value.decor_mut() = table[key].as_value().map(|old| old.decor().clone()).unwrap_or_default();
            table[key] = Item::Value(value);
        };
        set("value", number.value);
        set("sd", number.sd);
        if number.prior_scatter > 0.0 {
            set("scatter", number.scatter);
        }
    }
    let rows = rules.correlations().iter().map(|row| {
        let written: Vec<String> =
            row.iter().map(|c| format!("{:.3}", if c.abs() < 5e-4 { 0.0 } else { *c })).collect();
        format!("    [{}],\n", written.join(", "))
    });
    let text = document.to_string();
    let (from, to) = (text.find("correlations = [").expect("correlations"), text.find("\n]").expect("their end"));
    format!("{}correlations = [\n{}{}", &text[..from], rows.collect::<String>(), &text[to + 1..])
}
