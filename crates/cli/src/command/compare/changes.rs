//! From `--with` to cars with something changed.

use std::path::Path;

use bitepoint_inputs::files::read_part;
use bitepoint_inputs::part::{Change, Item, PartLine, Price, unknown_key};
use bitepoint_inputs::problem::Problems;
use bitepoint_runner::case::{Case, Owner, find_key};
use bitepoint_runner::compare::{Money, Variant};
use bitepoint_runner::plan::Decision;

use crate::failure::Failure;

/// One `--with`, read.
#[derive(Debug)]
pub(super) struct With {
    label: String,
    price: Option<Price>,
    /// Notes of the part files; may be empty.
    pub(super) note: String,
    changes: Vec<Change>,
    /// Keys of the scenario, with their values.
    of_scenario: Vec<(String, String)>,
}

/// Whether a plan decides a key.
fn is_planned(path: &str) -> bool {
    Decision::keys().any(|key| key.path == path)
}

/// Reads every `--with` and the part files that they name.
///
/// # Errors
/// Everything that is wrong with any of them.
pub(super) fn read(texts: &[String]) -> Result<Vec<With>, Failure> {
    let mut read: Vec<With> = Vec::new();
    let mut wrong: Vec<String> = Vec::new();
    for text in texts {
        match read_one(text) {
            Ok(with) => match read.iter().find(|other| other.label == with.label) {
                Some(_) => wrong.push(format!(
                    "--with {:?}: there are two changes of this name\n    accepted: a label of its own for each, such as \"{} 2: …\"",
                    with.label, with.label
                )),
                None => read.push(with),
            },
            Err(why) => wrong.push(why),
        }
    }
    if wrong.is_empty() { Ok(read) } else { Err(Failure::Input(wrong.join("\n"))) }
}

fn read_one(text: &str) -> Result<With, String> {
    let line = PartLine::parse(text).map_err(|problems| problems.to_string())?;
    let (mut names, mut notes, mut prices) = (Vec::new(), Vec::new(), Vec::new());
    let (mut changes, mut of_scenario) = (Vec::new(), Vec::new());
    let mut wrong: Vec<Problems> = Vec::new();
    for item in line.items {
        match item {
            Item::Change(change) => changes.push(change),
            Item::File(path) => match read_part(Path::new(&path)) {
                Ok(part) => {
                    names.push(if part.name.is_empty() { stem(&path) } else { part.name });
                    notes.extend(Some(part.note).filter(|note| !note.is_empty()));
                    prices.push(part.price);
                    changes.extend(part.changes);
                }
                Err(problems) => wrong.push(problems),
            },
            Item::Other { key, value } => match find_key(&key) {
                Ok((Owner::Scenario, _)) if !is_planned(&key) => of_scenario.push((key, value)),
                Ok(_) => {
                    return Err(format!(
                        "--with {:?}: {key}: the launch and the shift points are recommended, not compared\n    found:    {value}\n    \
                         accepted: a key of the car, or one of the scenario that no plan decides",
                        line.label
                    ));
                }
                Err(_) => wrong.push(unknown_key(&line.label, &key, &value)),
            },
        }
    }
    if !wrong.is_empty() {
        return Err(wrong.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"));
    }
    let label = match (line.label.is_empty(), names.is_empty()) {
        (false, _) => line.label,
        (true, false) => names.join(" + "),
        (true, true) => text.trim().to_owned(),
    };
    Ok(With { label, price: line.price.or_else(|| sum(prices)), note: notes.join(" "), changes, of_scenario })
}

fn stem(path: &str) -> String {
    Path::new(path).file_stem().map_or_else(|| path.to_owned(), |stem| stem.to_string_lossy().into_owned())
}

/// What several parts cost, if each has a price in the same currency.
fn sum(prices: Vec<Option<Price>>) -> Option<Price> {
    let prices: Vec<Price> = prices.into_iter().collect::<Option<_>>()?;
    let currency = prices.first()?.currency.clone();
    let amount = prices.iter().map(|price| price.amount).sum();
    prices.iter().all(|price| price.currency == currency).then_some(Price { amount, currency })
}

impl With {
    /// The keys that it changes, each once.
    pub(super) fn keys(&self) -> Vec<&str> {
        let mut keys: Vec<&str> = Vec::new();
        for key in self.changes.iter().map(|c| c.key.path).chain(self.of_scenario.iter().map(|(key, _)| key.as_str())) {
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        keys
    }

    /// The case with this change made.
    pub(super) fn variant(&self, base: &Case) -> Result<Variant, Problems> {
        let price = self.price.as_ref().map(|p| Money { amount: p.amount, currency: p.currency.clone() });
        Ok(Variant { label: self.label.clone(), price, case: changed(base, &[self])? })
    }
}

/// The case with several changes made.
pub(super) fn changed(base: &Case, all: &[&With]) -> Result<Case, Problems> {
    let changes: Vec<Change> = all.iter().flat_map(|with| with.changes.iter().cloned()).collect();
    let mut case = base.clone();
    if !changes.is_empty() {
        case.vehicle = base.vehicle.fitted(&changes)?;
    }
    for (key, value) in all.iter().flat_map(|with| &with.of_scenario) {
        case.scenario = case.scenario.with(key, value)?;
    }
    Ok(case)
}
