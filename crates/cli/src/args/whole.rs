//! The command line as a whole.

use clap::{Parser, Subcommand};

use super::{Check, Compare, Conditions, Fit, Plan, Review, Run, Sheet, Sweep};

/// Simulates a timed standing start in a manual-gearbox car. Without a command: runs a built-in example and writes its
/// report to the folder `reports`.
///
/// Closed course only; local law and the venue's rules come first. A prediction does not make it safe or legal.
#[derive(Debug, Parser)]
#[command(name = "bitepoint", version, max_term_width = 100)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// What time, what happened, what limited it
    Run(Run),
    Plan(Plan),
    /// One or two inputs varied: where the best lies, how much room there is, what goes wrong beyond
    Sweep(Sweep),
    Compare(Compare),
    /// What slope, wind, air and rollout are worth; what a measured time would be without them
    Conditions(Box<Conditions>),
    /// What happened in measured starts, what it cost, and what to change next
    Review(Review),
    /// The car's unknowns from logs of its starts and coast-downs, with standard errors
    Fit(Fit),
    /// Is a file valid; what it gives and what is estimated, by which rule
    Check(Check),
    /// Write a commented sheet to fill in for your own car
    Sheet(Sheet),
}
