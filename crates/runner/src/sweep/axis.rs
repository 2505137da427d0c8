//! A key and the values that it takes in a sweep.

use bitepoint_inputs::key::{Key, Kind};
use bitepoint_inputs::problem::Problems;
use bitepoint_inputs::quantity::{Dimension, UnitSystem, digits};
use bitepoint_inputs::scenario_keys::SHIFT_AT;

use super::axis_error::{AxisError, NotVaried};
use super::spelling::{Spelling, Spelt, read};
use crate::case::{Case, Owner, find_key};

/// A key of either file and the values that it is to take, in rising order.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    owner: Owner,
    key: &'static Key,
    dimension: Dimension,
    item: Option<usize>,
    unit: String,
    values: Values,
}

#[derive(Debug, Clone, PartialEq)]
enum Values {
    /// Not written out: there may be a billion of them, to be counted before they are refused.
    Range {
        from: f64,
        step: f64,
        count: u64,
        decimals: usize,
    },
    List(Vec<String>),
}

/// One value of an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisValue {
    /// As it could stand in a file: "4200 rpm".
    pub text: String,
    /// SI.
    pub si: f64,
}

/// How far from a whole number of steps a range may end, for the rounding of decimals.
const STEP_ROUNDING: f64 = 1e-6;

impl Axis {
    /// Reads `KEY=FROM..TO/STEP` or `KEY=A,B,C`; units once or on every number. An item of a list is named by its number,
    /// counted from 1: `shifting.shift_at[2]`.
    ///
    /// # Errors
    /// Everything that [`AxisError`] tells.
    pub fn parse(text: &str) -> Result<Self, AxisError> {
        let (key, values) = text.split_once('=').ok_or(AxisError::NoValues)?;
        let (owner, key, item) = named(key.trim()).map_err(AxisError::Key)?;
        let dimension = key.kind.dimension().ok_or(AxisError::Key(NotVaried::NoQuantity(key)))?;
        let spelling = read(values).map_err(AxisError::NoNumber)?;
        let unit = spelling.unit().map_err(|(a, b)| AxisError::TwoUnits(a, b))?.to_owned();
        let values = match spelling {
            Spelling::List(pieces) => Values::List(pieces.iter().map(|p| number(p.number, p.decimals)).collect()),
            Spelling::Range { from, to, step } => range(&from, &to, step.as_ref(), &unit)?,
        };
        Self { owner, key, dimension, item, unit, values }.checked()
    }

    /// Engine speeds at which gear `gear` (1 is first) is left, rpm: `from` and `count - 1` steps.
    pub(crate) fn of_shifts(gear: usize, from_rpm: u32, step_rpm: u32, count: u64) -> Self {
        Self {
            owner: Owner::Scenario,
            key: &SHIFT_AT,
            dimension: Dimension::AngularSpeed,
            item: Some(gear),
            unit: "rpm".to_owned(),
            values: Values::Range { from: f64::from(from_rpm), step: f64::from(step_rpm), count, decimals: 0 },
        }
    }

    fn checked(mut self) -> Result<Self, AxisError> {
        let read = |axis: &Self, i| {
            let text = axis.text(i);
            axis.dimension.parse(&text).map_err(|error| AxisError::Unit(error, axis.dimension)).map(|si| (text, si))
        };
        if let Values::List(numbers) = &self.values {
            let mut sorted = (0..numbers.len() as u64).map(|i| read(&self, i)).collect::<Result<Vec<_>, _>>()?;
            let mut places: Vec<usize> = (0..sorted.len()).collect();
            places.sort_by(|a, b| sorted[*a].1.total_cmp(&sorted[*b].1));
            let numbers = places.iter().map(|i| numbers[*i].clone()).collect();
            sorted.sort_by(|a, b| a.1.total_cmp(&b.1));
            if sorted.len() < 2 {
                return Err(AxisError::Alone);
            }
            if let Some(pair) = sorted.windows(2).find(|pair| pair[0].1 == pair[1].1) {
                return Err(AxisError::Twice(pair[0].0.clone()));
            }
            self.values = Values::List(numbers);
        }
        // Values rise, so that the ends tell for all of them.
        let (low, high) = self.key.kind.range().unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let slack = 1e-9 * low.abs().max(high.abs());
        for i in [0, self.len() - 1] {
            let (text, si) = read(&self, i)?;
            if si < low - slack || si > high + slack {
                let show = |si| self.dimension.show(si, UnitSystem::Si);
                return Err(AxisError::Unbelievable(text, show(low), show(high)));
            }
        }
        Ok(self)
    }

    /// The key with the number of its item, if it has one.
    #[must_use]
    pub fn name(&self) -> String {
        match self.item {
            Some(item) => format!("{}[{item}]", self.key.path),
            None => self.key.path.to_owned(),
        }
    }

    /// What it means, in one line.
    #[must_use]
    pub fn about(&self) -> &'static str {
        self.key.about
    }

    /// Which file it belongs to.
    #[must_use]
    pub fn owner(&self) -> Owner {
        self.owner
    }

    /// The key.
    #[must_use]
    pub fn key(&self) -> &'static Key {
        self.key
    }

    /// Number of the item of a list, counted from 1; nothing for a key that is one value or a list taken as one.
    #[must_use]
    pub fn item(&self) -> Option<usize> {
        self.item
    }

    /// What it measures.
    #[must_use]
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// Unit in which the values are written; empty for bare numbers.
    #[must_use]
    pub fn unit(&self) -> &str {
        &self.unit
    }

    /// Number of values.
    #[must_use]
    #[allow(clippy::len_without_is_empty)] // never empty
    pub fn len(&self) -> u64 {
        match &self.values {
            Values::Range { count, .. } => *count,
            Values::List(numbers) => numbers.len() as u64,
        }
    }

    /// The number of value `i`, from 0, in the axis's unit.
    #[must_use]
    pub fn number(&self, i: u64) -> f64 {
        self.number_text(i).parse().unwrap_or(f64::NAN)
    }

    /// Number of decimals that tell the values apart.
    #[must_use]
    pub fn decimals(&self) -> usize {
        match &self.values {
            Values::Range { decimals, .. } => *decimals,
            Values::List(numbers) => {
                numbers.iter().filter_map(|n| n.split_once('.')).map(|(_, fraction)| fraction.len()).max().unwrap_or(0)
            }
        }
    }

    /// Value `i`, from 0.
    #[must_use]
    pub fn value(&self, i: u64) -> AxisValue {
        let text = self.text(i);
        let si = self.dimension.parse(&text).unwrap_or(f64::NAN);
        AxisValue { text, si }
    }

    /// An SI value in the axis's unit.
    #[must_use]
    pub fn in_unit(&self, si: f64) -> f64 {
        let read = |number: &str| self.dimension.parse(&with_unit(number.to_owned(), &self.unit)).unwrap_or(f64::NAN);
        let zero = read("0");
        (si - zero) / (read("1") - zero)
    }

    /// Least difference of two values that follow each other, in the axis's unit.
    #[must_use]
    pub fn step(&self) -> f64 {
        match &self.values {
            Values::Range { step, .. } => *step,
            Values::List(_) => {
                let numbers: Vec<f64> = (0..self.len()).map(|i| self.number(i)).collect();
                numbers.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min)
            }
        }
    }

    /// An SI value for people, without its unit: as exact as the values themselves, or to a power of ten near a tenth of a step where
    /// it lies between two.
    #[must_use]
    pub fn show_number(&self, si: f64) -> String {
        let value = self.in_unit(si);
        let own = number(value, self.decimals());
        let exact = own.parse::<f64>().is_ok_and(|own| (own - value).abs() < 1e-6 * self.step().min(1e9));
        let tenth = (libm::log10(self.step() / 10.0) - 1e-9).ceil();
        if exact || !tenth.is_finite() {
            own
        } else {
            let grain = libm::pow(10.0, tenth);
            number((value / grain).round() * grain, (-tenth).max(0.0) as usize)
        }
    }

    /// An SI value for people, with its unit.
    #[must_use]
    pub fn show(&self, si: f64) -> String {
        with_unit(self.show_number(si), &self.unit)
    }

    /// The number of value `i`, from 0, in the axis's unit, as it could stand in a file.
    #[must_use]
    pub fn number_text(&self, i: u64) -> String {
        match &self.values {
            Values::Range { from, step, decimals, .. } => number(from + i as f64 * step, *decimals),
            Values::List(numbers) => numbers[i as usize].clone(),
        }
    }

    fn text(&self, i: u64) -> String {
        with_unit(self.number_text(i), &self.unit)
    }

    /// The case with this key at value `i`.
    ///
    /// # Errors
    /// A value that cannot be true with the others of the case.
    pub fn apply(&self, case: &Case, i: u64) -> Result<Case, Problems> {
        let text = self.text(i);
        match self.item {
            None => case.with(self.key.path, &text),
            Some(item) => {
                let mut items = items(self.key, case)?;
                if item <= items.len() {
                    items[item - 1] = text;
                } else {
                    // The file itself says best how many there may be.
                    items.push(text);
                }
                case.with(
                    self.key.path,
                    &format!("[{}]", items.iter().map(|i| format!("{i:?}")).collect::<Vec<_>>().join(", ")),
                )
            }
        }
    }
}

/// Every item of a list as it stands in this case, given or estimated, so exactly that it stays the same to the last bit.
fn items(key: &Key, case: &Case) -> Result<Vec<String>, Problems> {
    let resolved = case.resolve()?;
    let gears = &resolved.vehicle.vehicle.gearbox.gears;
    Ok(match key.path {
        "gear_ratios" => gears.iter().map(|g| g.ratio.to_string()).collect(),
        "gearbox.efficiencies" => gears.iter().map(|g| g.efficiency.to_string()).collect(),
        "gearbox.gear_inertias" => gears.iter().map(|g| format!("{} kg·m²", g.inertia_kgm2)).collect(),
        _ => {
            let driver = &resolved.scenario.scenario.driver;
            // The last gear is never left.
            (0..gears.len().saturating_sub(1)).map(|gear| format!("{} rad/s", driver.shift_radps(gear))).collect()
        }
    })
}

/// A key, and the number of an item of a list.
fn named(text: &str) -> Result<(Owner, &'static Key, Option<usize>), NotVaried> {
    let (path, item) = match text.strip_suffix(']').and_then(|t| t.rsplit_once('[')) {
        Some((path, item)) => (path, Some(item.trim().parse::<usize>().ok())),
        None => (text, None),
    };
    let (owner, key) = find_key(path).map_err(NotVaried::Unknown)?;
    match (key.kind, item) {
        (Kind::Quantity { .. }, None) => Ok((owner, key, None)),
        // One value for all of them.
        (Kind::List { least: 1, .. }, None) => Ok((owner, key, None)),
        (Kind::List { .. }, None) => Err(NotVaried::NoItem(key)),
        (Kind::List { most, .. }, Some(Some(item))) if (1..=most).contains(&item) => Ok((owner, key, Some(item))),
        (Kind::Quantity { .. } | Kind::List { .. }, Some(_)) => Err(NotVaried::StrangeItem(key)),
        _ => Err(NotVaried::NoQuantity(key)),
    }
}

fn range(from: &Spelt, to: &Spelt, step: Option<&Spelt>, unit: &str) -> Result<Values, AxisError> {
    let span = to.number - from.number;
    if span.is_nan() || span <= 0.0 {
        return Err(AxisError::Backwards);
    }
    let Some(step) = step else {
        return Err(AxisError::NoStep(with_unit(digits(span / 20.0), unit)));
    };
    if step.number <= 0.0 {
        return Err(AxisError::BadStep);
    }
    let decimals = from.decimals.max(step.decimals);
    let steps = span / step.number;
    if (steps - steps.round()).abs() > STEP_ROUNDING || steps < 0.5 {
        let end = |steps: f64| with_unit(number(from.number + steps * step.number, decimals), unit);
        return Err(AxisError::StepDoesNotFit(end(steps.floor().max(1.0)), end(steps.ceil().max(2.0))));
    }
    Ok(Values::Range { from: from.number, step: step.number, count: steps.round() as u64 + 1, decimals })
}

fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    // No "-0": it would stand on an axis.
    if text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.')) { text.replace('-', "") } else { text }
}

fn with_unit(number: String, unit: &str) -> String {
    if unit.is_empty() { number } else { format!("{number} {unit}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrong(text: &str) -> String {
        Axis::parse(text).expect_err(text).to_string()
    }

    #[test]
    fn a_range_takes_both_of_its_ends_and_even_steps() {
        let axis = Axis::parse("launch.revs=2000..7000/100 rpm").expect("an axis");
        assert_eq!((axis.len(), axis.value(0).text, axis.value(50).text), (51, "2000 rpm".into(), "7000 rpm".into()));
        let axis = Axis::parse("road.slope=-2..2/0.1 %").expect("an axis");
        let texts: Vec<String> = (0..axis.len()).map(|i| axis.value(i).text).collect();
        assert_eq!((texts.len(), &*texts[17], &*texts[20], &*texts[23]), (41, "-0.3 %", "0.0 %", "0.3 %"));
    }

    #[test]
    fn a_list_is_taken_in_rising_order() {
        let axis = Axis::parse("launch.release_time=1.5, 0.25, 0.9 s").expect("an axis");
        let texts: Vec<String> = (0..axis.len()).map(|i| axis.value(i).text).collect();
        assert_eq!(texts, ["0.25 s", "0.9 s", "1.5 s"]);
    }

    #[test]
    fn a_billion_values_are_counted_without_being_written_out() {
        assert_eq!(Axis::parse("mass=1000..2000/0.000001 kg").expect("an axis").len(), 1_000_000_001);
    }

    #[test]
    fn what_is_wrong_with_an_axis_is_named() {
        for (text, says) in [
            ("launch.revs", "write KEY=FROM..TO/STEP"),
            ("launch.revz=1..2/1 rpm", "did you mean launch.revs?"),
            ("road.surface=1..2/1", "is no number with a unit"),
            ("gear_ratios=1..2/0.5", "gear_ratios[2]"),
            ("gear_ratios[0]=1..2/0.5", "counted from 1"),
            ("mass[1]=1000..1500/100 kg", "not a list"),
            ("launch.revs=low..7000/100 rpm", "\"low\" does not begin with a number"),
            ("launch.revs=2000 rpm..700 rad/s/100", "side by side"),
            ("launch.revs=2000..7000/100", "has no unit; units that fit: rpm, rad/s"),
            ("launch.revs=2000..7000/100 kg", "\"kg\" does not fit here"),
            ("launch.revs=2000..7000 rpm", "/250 rpm"),
            ("launch.revs=2000..7000/0 rpm", "more than 0"),
            ("launch.revs=2000..7000/-100 rpm", "more than 0"),
            ("launch.revs=7000..2000/100 rpm", "empty"),
            ("launch.revs=2000..2000/100 rpm", "empty"),
            ("launch.revs=2000..7000/300 rpm", "6800 rpm or 7100 rpm"),
            ("launch.revs=2000..70000/1000 rpm", "70000 rpm is outside"),
            ("launch.revs=2000 rpm", "one value"),
            ("launch.revs=2000,3000,2000 rpm", "2000 rpm stands there twice"),
        ] {
            assert!(wrong(text).contains(says), "{text}: {}", wrong(text));
        }
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_an_axis_or_is_refused_without_a_panic(
            key in "launch\\.revs|road\\.slope|gear_ratios\\[2\\]|\\PC{0,8}", values in "[0-9.,/% rpme+\\-]{0,24}"
        ) {
            if let Ok(axis) = Axis::parse(&format!("{key}={values}")) {
                proptest::prop_assert!(axis.value(0).si.is_finite() && axis.value(axis.len() - 1).si.is_finite());
            }
        }
    }
}
