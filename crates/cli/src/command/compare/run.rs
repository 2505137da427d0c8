//! The command itself.

use bitepoint_inputs::entry::Entry;
use bitepoint_plot::compare::{ChangedInput, CompareReport, Fitted, files, words};
use bitepoint_plot::folder::write_folder;
use bitepoint_runner::case::{Case, Resolved};
use bitepoint_runner::compare::{Asked, CompareError, compare, runs_asked};
use bitepoint_runner::plan::{Effort, Limits};

use super::changes::{With, changed, read};
use super::screen::summary;
use crate::args::Compare;
use crate::car;
use crate::command_line::command_line;
use crate::document::{CompareDocument, text};
use crate::failure::Failure;
use crate::option::{self, clock, usual_gate};
use crate::progress::Progress;
use crate::screen;

pub(crate) fn run(args: &Compare) -> Result<(), Failure> {
    let units = args.output.reader.units();
    let target = option::target(args.to.as_deref().unwrap_or(usual_gate(units)), clock(false))?;
    let with = read(&args.changes)?;
    let scenario = option::scenario(args.scenario.as_deref())?;
    let base = Case::new(car::read(&args.vehicle, &args.known, args.output.reader.system())?, scenario);
    let variants = with.iter().map(|with| with.variant(&base)).collect::<Result<Vec<_>, _>>()?;
    let together = if args.together { Some(changed(&base, &with.iter().collect::<Vec<_>>())?) } else { None };
    let asked = Asked {
        base,
        variants,
        together,
        target,
        effort: Effort::default(),
        limits: Limits::default(),
        draws: args.draws,
        seed: args.seed,
    };
    let progress = Progress::new(runs_asked(&asked), "runs");
    let comparison = compare(&asked, &progress).map_err(|error| failure(error, progress.runs()))?;
    drop(progress);
    let resolved = asked.base.resolve()?;
    let fitted = fitted(&asked, &with, &resolved, args)?;
    let command = command_line();
    let notes = car::told(&asked.base.vehicle);
    let report = CompareReport {
        notes: &notes,
        vehicle_name: &resolved.vehicle.name,
        scenario_name: &resolved.scenario.name,
        command: &command,
        comparison: &comparison,
        fitted: &fitted,
        units,
    };
    if let Some(folder) = &args.output.out {
        write_folder(folder, &files(&report))?;
    }
    if args.output.json {
        let words = comparison.changes.iter().map(|worth| {
            let verdict = words::verdict(worth, comparison.driver.sd_s);
            core::iter::once(verdict).chain(words::costs(&report, worth)).collect()
        });
        screen::print(&text(&CompareDocument::new(&asked.base, &resolved, &comparison, words.collect())))?;
    } else {
        screen::print(&summary(&report))?;
        screen::print_place(args.output.out.as_deref())?;
    }
    Ok(())
}

/// What each change does to the car's values, in the reader's units.
fn fitted(asked: &Asked, with: &[With], base: &Resolved, args: &Compare) -> Result<Vec<Fitted>, Failure> {
    let system = args.output.reader.system();
    let entries = |resolved: &Resolved| [resolved.vehicle.entries.clone(), resolved.scenario.entries.clone()].concat();
    let before = entries(base);
    let shown = |all: &[Entry], key: &str| {
        let entry = all.iter().find(|entry| entry.key.path == key)?;
        let spread = entry.spread_text(system);
        let value = entry.value_text(system);
        Some(if spread.is_empty() { value } else { format!("{value} {spread}") })
    };
    let each = asked.variants.iter().zip(with).map(|(variant, with)| {
        let after = entries(&variant.case.resolve()?);
        let inputs = with.keys().into_iter().map(|key| ChangedInput {
            key: key.to_owned(),
            before: shown(&before, key).unwrap_or_default(),
            after: shown(&after, key).unwrap_or_default(),
        });
        Ok(Fitted { note: with.note.clone(), inputs: inputs.collect() })
    });
    each.collect()
}

fn failure(error: CompareError, runs: u64) -> Failure {
    match error {
        CompareError::Files(..) => Failure::Input(error.to_string()),
        CompareError::BaseDoesNotArrive => Failure::Computation(format!("{error}.")),
        CompareError::CalledOff => Failure::Computation(format!("Called off after {runs} runs; nothing was written.")),
    }
}
