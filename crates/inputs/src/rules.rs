//! The numbers in the rules that estimate a car from its sheet, as handbooks and road tests together leave them.
//!
//! They stand in one file, `data/rules.toml`, which `cargo run --release -p bitepoint-checks --example calibrate` rewrites. A number
//! holds for cars in general and may itself be off (`sd`); a single car lies about it by the `scatter`. Errors of two numbers may go
//! together: road tests that cannot tell grip from skill leave a correlation between both.

use core::ops::{Add, Mul};
use std::sync::LazyLock;

use serde::Deserialize;

use crate::entry::Origin;
use crate::quantity::{digits, two_digits};

/// One number of a rule, by its place in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule(usize);

impl Rule {
    /// Place in the table.
    #[must_use]
    pub fn place(self) -> usize {
        self.0
    }
}

/// Makes one constant for each number and the table of their names, so that code names numbers and cannot misspell them.
macro_rules! rule_table {
    ($( $name:ident = $says:literal; )*) => {
        #[expect(non_camel_case_types, clippy::upper_case_acronyms, reason = "places in the table, one for each constant")]
        enum Place { $($name),* }
        $(
            #[doc = $says]
            pub const $name: Rule = Rule(Place::$name as usize);
        )*
        /// Names of all numbers, in their order.
        pub const RULE_NAMES: &[&str] = &[$($says),*];
    };
}

rule_table! {
    FRONT_WEIGHT_FRONT_DRIVE = "front weight, front axle driven";
    FRONT_WEIGHT_ALL_DRIVE = "front weight, all wheels driven";
    FRONT_WEIGHT_REAR_DRIVE = "front weight, engine in front and rear axle driven";
    FRONT_WEIGHT_MID = "front weight, engine between the axles";
    FRONT_WEIGHT_REAR = "front weight, engine behind the rear axle";
    CG_PER_HEIGHT = "centre of gravity over roof height";
    DRAG = "drag coefficient";
    DRAG_PER_YEAR = "drag coefficient, more for each year before 2010";
    ROLLING = "rolling resistance, touring tyres";
    ROLLING_PER_YEAR = "rolling resistance, more for each year before 2005";
    FRICTION_ECONOMY = "friction, economy tyres";
    FRICTION_TOURING = "friction, touring tyres";
    FRICTION_SUMMER = "friction, summer tyres";
    FRICTION_TRACK = "friction, track tyres";
    FRICTION_PER_YEAR = "friction, less for each year before 2015";
    FRICTION_PER_ASPECT = "friction, more for each ten points of aspect ratio under an ordinary summer tyre's";
    SLIDING_SHARE = "friction of a slowly sliding tyre over its peak";
    SLIDING_FALL = "fall of friction with sliding speed";
    OUTPUT_NATURAL = "output over rating, naturally aspirated";
    OUTPUT_CHARGED = "output over rating, turbocharged or supercharged";
    OUTPUT_BEFORE_2006 = "output over rating, less before 2006";
    NET_OVER_GROSS = "net over gross power, before 1972";
    IDLE_SHARE_NATURAL = "torque at idle, naturally aspirated";
    IDLE_SHARE_TURBO = "torque at idle, turbocharged";
    PLATEAU_NATURAL = "plateau of torque, naturally aspirated";
    PLATEAU_TURBO = "plateau of torque, turbocharged";
    SPOOL = "time to build boost";
    ENGINE_INERTIA = "engine inertia per litre";
    FINAL_LONGITUDINAL = "final drive efficiency, engine in front and rear axle driven";
    FINAL_TRANSVERSE = "final drive efficiency, engine over the driven axle";
    FINAL_ALL = "final drive efficiency, all wheels driven";
    SHIFT_TIME = "shift time";
    SHIFT_TIME_PER_YEAR = "shift time, more for each year before 2005";
}

/// A number with how far it may be off, where it was before the road tests, and who says so.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RuleNumber {
    /// Its name.
    pub name: String,
    /// After the road tests.
    pub value: f64,
    /// One standard deviation of that.
    pub sd: f64,
    /// How far single cars lie from it, one standard deviation: in its own unit, or a share of the value where the rule says so.
    #[serde(default)]
    pub scatter: f64,
    /// By handbook or practice alone.
    pub prior: f64,
    /// One standard deviation of that.
    pub prior_sd: f64,
    /// How far single cars lie from it, by handbook or practice alone.
    #[serde(default)]
    pub prior_scatter: f64,
    /// Who says so.
    pub source: String,
    /// Where `value` and `sd` come from, in words; made when the file is read.
    #[serde(skip)]
    pub origin: String,
    /// Name of its deviate; made when the file is read.
    #[serde(skip)]
    pub deviate: String,
}

/// All numbers of the rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    numbers: Vec<RuleNumber>,
    /// Correlations of the numbers' errors, row by row up to the diagonal.
    correlations: Vec<Vec<f64>>,
    /// Lower triangle L with L Lᵀ = the correlations: mixes independent deviates.
    mixing: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    rule: Vec<RuleNumber>,
    correlations: Vec<Vec<f64>>,
}

/// Prefix of the names of the rules' deviates.
pub const RULE_DEVIATE: &str = "rule.";

static BUILT_IN: LazyLock<Rules> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "the file is part of the program, and a test reads it")]
    Rules::parse(include_str!("../data/rules.toml")).expect("data/rules.toml is in order")
});

impl Rules {
    /// The numbers that the program was built with.
    #[must_use]
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    /// Reads the text of a file of rules.
    ///
    /// # Errors
    /// In words: what is wrong with the file.
    pub fn parse(text: &str) -> Result<Self, String> {
        let file: File = ::toml::from_str(text).map_err(|error| error.to_string())?;
        let names: Vec<&str> = file.rule.iter().map(|number| number.name.as_str()).collect();
        if names != RULE_NAMES {
            let odd = names.iter().zip(RULE_NAMES).find(|(found, wanted)| found != wanted);
            return Err(format!(
                "the rules are not those of the program, in its order: {odd:?}, {} of {}",
                names.len(),
                RULE_NAMES.len()
            ));
        }
        Self::new(file.rule, file.correlations)
    }

    /// Numbers in the order of [`RULE_NAMES`] with the correlations of their errors, row by row up to the diagonal.
    ///
    /// # Errors
    /// In words: correlations that cannot be.
    pub fn new(mut numbers: Vec<RuleNumber>, correlations: Vec<Vec<f64>>) -> Result<Self, String> {
        for number in &mut numbers {
            number.deviate = format!("{RULE_DEVIATE}{}", number.name);
            let before = format!("{} ± {}", digits(number.prior), two_digits(number.prior_sd));
            let after = format!("{} ± {}", digits(number.value), two_digits(number.sd));
            number.origin = if before == after {
                number.source.clone()
            } else {
                format!("{}: {before}; road tests make it {after}", number.source)
            };
        }
        let mixing = cholesky(&correlations).ok_or("these correlations of rules cannot be")?;
        Ok(Self { numbers, correlations, mixing })
    }

    /// All numbers, in the order of [`RULE_NAMES`].
    #[must_use]
    pub fn numbers(&self) -> &[RuleNumber] {
        &self.numbers
    }

    /// Correlations of the numbers' errors, row by row up to the diagonal.
    #[must_use]
    pub fn correlations(&self) -> &[Vec<f64>] {
        &self.correlations
    }

    pub(crate) fn number(&self, rule: Rule) -> &RuleNumber {
        &self.numbers[rule.0]
    }

    /// By how much every number is off, given independent standard normal deviates by name.
    pub(crate) fn moved(&self, normal: &dyn Fn(&str) -> f64) -> Vec<f64> {
        let independent: Vec<f64> = self.numbers.iter().map(|number| normal(&number.deviate)).collect();
        let mixed = |row: &Vec<f64>| row.iter().zip(&independent).map(|(l, z)| l * z).sum::<f64>();
        self.numbers.iter().zip(&self.mixing).map(|(number, row)| number.sd * clipped(mixed(row))).collect()
    }

    /// Names of the deviates that some of the numbers are moved by.
    pub(crate) fn deviates_of(&self, used: &[Rule]) -> Vec<String> {
        let moves =
            |place: usize| used.iter().any(|rule| self.mixing[rule.0].get(place).is_some_and(|l| l.abs() > 1e-9));
        (0..self.numbers.len()).filter(|&place| moves(place)).map(|place| self.numbers[place].deviate.clone()).collect()
    }

    /// Variance that the numbers' errors leave in something that changes with them at these slopes.
    pub(crate) fn variance(&self, slopes: &[(Rule, f64)]) -> f64 {
        let of = |rule: Rule| self.number(rule).sd;
        let together = |a: Rule, b: Rule| self.correlations[a.0.max(b.0)][a.0.min(b.0)];
        slopes.iter().flat_map(|a| slopes.iter().map(move |b| a.1 * b.1 * of(a.0) * of(b.0) * together(a.0, b.0))).sum()
    }
}

/// Number of standard deviations beyond which nothing is moved.
const FARTHEST_Z: f64 = 3.0;

/// A deviate as it is used.
pub(crate) fn clipped(z: f64) -> f64 {
    if z.is_finite() { z.clamp(-FARTHEST_Z, FARTHEST_Z) } else { 0.0 }
}

/// Lower triangle of a symmetric matrix that is given up to its diagonal; nothing if it is not positive definite.
fn cholesky(rows: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let mut lower: Vec<Vec<f64>> = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        if row.len() != i + 1 {
            return None;
        }
        let mut of_row: Vec<f64> = Vec::new();
        for j in 0..=i {
            let other = if i == j { &of_row } else { &lower[j] };
            let rest = row[j] - of_row.iter().zip(other).take(j).map(|(a, b)| a * b).sum::<f64>();
            of_row.push(if i == j { Some(rest.sqrt()).filter(|root| *root > 1e-6)? } else { rest / lower[j][j] });
        }
        lower.push(of_row);
    }
    Some(lower)
}

/// Most numbers that one rule is made of.
const MOST_USED: usize = 4;

/// What a rule says of a car: a value, and how it changes with the numbers that it was made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ruled {
    pub(crate) value: f64,
    slopes: [Option<(Rule, f64)>; MOST_USED],
}

impl Ruled {
    pub(crate) fn of(rule: Rule, value: f64) -> Self {
        let mut slopes = [None; MOST_USED];
        slopes[0] = Some((rule, 1.0));
        Self { value, slopes }
    }

    pub(crate) fn slopes(&self) -> Vec<(Rule, f64)> {
        self.slopes.iter().flatten().copied().collect()
    }

    /// Where the numbers come from: the first is what the rule is about.
    pub(crate) fn origin(&self, rules: &'static Rules) -> Origin {
        match self.slopes[0] {
            Some((rule, _)) => Origin::Calibrated(&rules.number(rule).origin),
            None => Origin::Derived,
        }
    }

    fn scaled(slopes: [Option<(Rule, f64)>; MOST_USED], by: f64) -> [Option<(Rule, f64)>; MOST_USED] {
        slopes.map(|slope| slope.map(|(rule, per)| (rule, per * by)))
    }
}

impl Mul<f64> for Ruled {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self { value: self.value * by, slopes: Self::scaled(self.slopes, by) }
    }
}

impl Add<f64> for Ruled {
    type Output = Self;
    fn add(self, more: f64) -> Self {
        Self { value: self.value + more, ..self }
    }
}

impl Add for Ruled {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let mut slopes = self.slopes;
        for (rule, per) in other.slopes.into_iter().flatten() {
            match slopes.iter_mut().find(|slope| slope.is_none_or(|(known, _)| known == rule)) {
                Some(Some(known)) => known.1 += per,
                Some(free) => *free = Some((rule, per)),
                None => debug_assert!(false, "a rule of more than {MOST_USED} numbers"),
            }
        }
        Self { value: self.value + other.value, slopes }
    }
}

impl Mul for Ruled {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let left = Self { value: 0.0, slopes: Self::scaled(self.slopes, other.value) };
        let right = Self { value: 0.0, slopes: Self::scaled(other.slopes, self.value) };
        Self { value: self.value * other.value, ..left + right }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_programs_own_file_is_in_order() {
        let rules = Rules::built_in();
        assert_eq!(rules.numbers().len(), RULE_NAMES.len());
        assert!(
            rules.numbers().iter().all(|n| n.sd > 0.0 && n.prior_sd > 0.0 && n.scatter >= 0.0 && !n.source.is_empty())
        );
        assert!(rules.correlations().iter().enumerate().all(|(i, row)| row[i] == 1.0));
    }

    #[test]
    fn mixed_deviates_have_the_correlations() {
        let triangle = vec![vec![1.0], vec![0.6, 1.0], vec![-0.3, 0.2, 1.0]];
        let lower = cholesky(&triangle).expect("positive definite");
        for (i, row) in triangle.iter().enumerate() {
            for (j, wanted) in row.iter().enumerate() {
                let found: f64 = lower[i].iter().zip(&lower[j]).map(|(a, b)| a * b).sum();
                assert!((found - wanted).abs() < 1e-12);
            }
        }
        assert_eq!(cholesky(&[vec![1.0], vec![1.1, 1.0]]), None);
    }

    #[test]
    fn slopes_follow_sums_and_products() {
        let a = Ruled::of(Rule(0), 2.0);
        let b = Ruled::of(Rule(1), 3.0);
        let both = (a * 4.0 + b) * b + 1.0;
        assert_eq!(both.value, 34.0);
        // d/da of (4a + b) b is 4b, d/db is 4a + 2b.
        assert_eq!(both.slopes(), [(Rule(0), 12.0), (Rule(1), 14.0)]);
    }
}
