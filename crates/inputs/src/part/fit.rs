//! A car with parts fitted.

use super::change::{Change, Move, accepted};
use super::fitting::Fitting;
use crate::entry::Entry;
use crate::given::{Given, Givens, Moved, Value};
use crate::key::{CURVE_TORQUE_NM, Key, Kind};
use crate::problem::{Collector, Fault, Problem, Problems};
use crate::quantity::{Dimension, UnitSystem};
use crate::vehicle::VehicleFile;
use crate::vehicle_keys as keys;

impl VehicleFile {
    /// The car with changes made to it. What the file only estimates is held as it was, its error with it, except what a change itself
    /// carries along; a change by per cent or by a difference is made to the value whether it is given or estimated, so that an
    /// estimate keeps its spread.
    ///
    /// # Errors
    /// Changes that contradict each other or the car, that leave what is believable, or that would change nothing.
    pub fn fitted(&self, changes: &[Change]) -> Result<Self, Problems> {
        let mut problems = Vec::new();
        let base = self.fitting.as_ref().map_or(&self.given, |fitting| &fitting.base);
        let before = self.resolve().entries;
        let mut given = self.given.clone();
        let mut fitting = self.fitting.clone().unwrap_or_else(|| Fitting {
            base: base.clone(),
            changed: Vec::new(),
            set: Vec::new(),
        });
        for (i, change) in changes.iter().enumerate() {
            if let Some(earlier) = changes[..i].iter().find(|earlier| at_odds(earlier, change)) {
                problems.push(twice(change, earlier));
                continue;
            }
            match make(&mut given, change) {
                Ok(moved) => {
                    fitting.changed.extend(moved);
                    if matches!(change.how, Move::Set(_)) {
                        fitting.set.push(change.key);
                    }
                }
                Err((what, accepted)) => problems.push(problem(change, Fault::Inconsistent, what, accepted)),
            }
        }
        problems.extend(changes.iter().filter_map(|change| out_of_range(&given, &before, change)));
        if !problems.is_empty() {
            return Err(Problems(problems));
        }
        let checked = Self::checked(&self.file, given, Some(fitting.clone()), self.rules, Collector::new(&self.file));
        let car = checked.map_err(|problems| told_of(problems, changes))?;
        let car = Self { belief: self.belief.clone(), ..car };
        let after = car.resolve().entries;
        let idle = fitting.changed.iter().filter(|key| !after.iter().any(|entry| entry.key.path == key.path));
        let problems: Vec<Problem> = idle
            .filter_map(|key| changes.iter().find(|c| c.key.path == key.path))
            .map(|change| {
                let what = "this key changes nothing on this car: what it says follows from other keys".to_owned();
                problem(change, Fault::Inconsistent, what, instead(change.key))
            })
            .collect();
        if problems.is_empty() { Ok(car) } else { Err(Problems(problems)) }
    }
}

/// What to change in place of a key that this car does not use.
fn instead(key: &Key) -> String {
    let ratings = [&keys::PEAK_POWER, &keys::PEAK_TORQUE, &keys::PEAK_POWER_AT, &keys::PEAK_TORQUE_AT];
    if ratings.iter().any(|rating| rating.path == key.path) {
        "engine.torque_curve, which this car gives: \"+8 %\" scales all of it".to_owned()
    } else {
        "`bitepoint check` shows the keys that this car uses".to_owned()
    }
}

fn at_odds(a: &Change, b: &Change) -> bool {
    a.key.path == b.key.path && (matches!(a.how, Move::Set(_)) || matches!(b.how, Move::Set(_))) && a.how != b.how
}

fn problem(change: &Change, fault: Fault, what: String, accepted: String) -> Problem {
    Problem {
        file: change.place.file.clone(),
        line: change.place.line,
        key: change.key.path.to_owned(),
        found: change.written.clone(),
        fault,
        what,
        accepted,
    }
}

fn twice(change: &Change, earlier: &Change) -> Problem {
    let line = earlier.place.line.map_or_else(String::new, |line| format!(":{line}"));
    let what = format!("this is also set to {} by {}{line}", earlier.written, earlier.place.file);
    problem(change, Fault::Inconsistent, what, "one value, or changes in per cent or by a difference".to_owned())
}

/// Makes one change; the keys that it moved, or why it cannot be made and what would do.
fn make(given: &mut Givens, change: &Change) -> Result<Vec<&'static Key>, (String, String)> {
    let key = change.key;
    let of_capacity = [&keys::CLUTCH_FRICTION, &keys::CLUTCH_FACES].iter().any(|of| of.path == key.path);
    if of_capacity && !given.has(&keys::CLUTCH_CLAMP) {
        let what = "this key changes nothing on this car: its clutch is known by the torque that it carries".to_owned();
        return Err((what, "clutch.torque_capacity, such as \"+20 %\"".to_owned()));
    }
    match (&change.how, key.kind) {
        (Move::Set(value), _) => {
            let line = change.place.line.unwrap_or(1);
            given.set(key, Given { value: value.clone(), line, shown: change.written.clone() });
            Ok(vec![key])
        }
        (Move::Scale(factor), Kind::List { low, high, .. }) => {
            let list = given.list(key).ok_or_else(|| not_given(key))?;
            let scaled: Vec<f64> = list.iter().map(|x| x * factor).collect();
            held_within(key, &scaled, (low, high))?;
            replace(given, change, Value::List(scaled));
            Ok(vec![key])
        }
        (Move::Scale(factor), Kind::TorqueCurve) => scale_curve(given, change, *factor),
        (Move::Scale(factor), _) => {
            move_by(given, change, key, Moved { factor: *factor, plus: 0.0 });
            Ok(vec![key])
        }
        (Move::Shift(plus), _) => {
            move_by(given, change, key, Moved { factor: 1.0, plus: *plus });
            Ok(vec![key])
        }
    }
}

/// A curve scaled; where it is estimated, what it is estimated from.
fn scale_curve(given: &mut Givens, change: &Change, factor: f64) -> Result<Vec<&'static Key>, (String, String)> {
    let key = change.key;
    if let Some(points) = given.curve(key) {
        let scaled: Vec<(f64, f64)> = points.iter().map(|p| (p.0, p.1 * factor)).collect();
        let torques: Vec<f64> = scaled.iter().map(|p| p.1).collect();
        held_within(key, &torques, CURVE_TORQUE_NM)?;
        replace(given, change, Value::Curve(scaled));
        // Ratings that stand beside a curve go with it, so that they still agree.
        for rating in [&keys::PEAK_POWER, &keys::PEAK_TORQUE] {
            if key.path == keys::TORQUE_CURVE.path && given.has(rating) {
                move_by(given, change, rating, Moved { factor, plus: 0.0 });
            }
        }
        return Ok(vec![key]);
    }
    let of: &[&'static Key] = if key.path == keys::TORQUE_CURVE.path {
        &[&keys::PEAK_POWER, &keys::PEAK_TORQUE]
    } else {
        &[&keys::OFF_BOOST_SHARE]
    };
    of.iter().for_each(|of| move_by(given, change, of, Moved { factor, plus: 0.0 }));
    Ok(of.to_vec())
}

fn not_given(key: &Key) -> (String, String) {
    ("this car does not give that list, so there is nothing to scale".to_owned(), accepted(key))
}

fn held_within(key: &Key, values: &[f64], (low, high): (f64, f64)) -> Result<(), (String, String)> {
    let dimension = match key.kind {
        Kind::TorqueCurve => Dimension::Torque,
        _ => key.kind.dimension().unwrap_or(Dimension::Ratio),
    };
    match values.iter().find(|x| !(low..=high).contains(*x)) {
        Some(x) => {
            let shown = |si| dimension.show(si, UnitSystem::Si);
            Err((
                format!("this makes {} of one of its values, outside of what is believable", shown(*x)),
                format!("what leaves {} to {}", shown(low), shown(high)),
            ))
        }
        None => Ok(()),
    }
}

fn replace(given: &mut Givens, change: &Change, value: Value) {
    let line = given.line(change.key);
    given.set(change.key, Given { value, line, shown: change.written.clone() });
}

/// Moves a key's value on from where earlier changes left it.
fn move_by(given: &mut Givens, change: &Change, key: &'static Key, by: Moved) {
    let so_far = given.moved(key).unwrap_or(Moved::NOT);
    given.shift(key, Moved { factor: by.factor * so_far.factor, plus: by.factor * so_far.plus + by.plus });
    if let Some(of) = given.get(key).cloned() {
        let shown = format!("{} on {}", change.written, of.shown);
        given.set(key, Given { shown, ..of });
    }
}

/// A value that was moved out of what is believable.
fn out_of_range(given: &Givens, before: &[Entry], change: &Change) -> Option<Problem> {
    let Kind::Quantity { dimension, low, high } = change.key.kind else { return None };
    let moved = given.moved(change.key)?;
    let of = match given.get(change.key).map(|g| &g.value) {
        Some(Value::Number { si, .. }) => *si,
        _ => before.iter().find(|entry| entry.key.path == change.key.path)?.si_value()?,
    };
    let now = moved.of(of);
    if (low..=high).contains(&now) {
        return None;
    }
    let shown = |si| dimension.show(si, UnitSystem::Si);
    let what = format!("this makes {} of {}, which is outside of what is believable", shown(now), shown(of));
    Some(problem(change, Fault::OutOfRange, what, format!("what leaves {} to {}", shown(low), shown(high))))
}

/// Problems of the car with its changes, told at the changes where they lie there.
fn told_of(problems: Problems, changes: &[Change]) -> Problems {
    let told = problems.0.into_iter().map(|problem| match changes.iter().find(|c| c.key.path == problem.key) {
        Some(change) => Problem { file: change.place.file.clone(), line: change.place.line, ..problem },
        None => Problem { what: format!("with the change: {}", problem.what), ..problem },
    });
    Problems(told.collect())
}
