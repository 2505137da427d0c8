//! The `bitepoint` command: what a timed standing start will be, and why.

mod args;
mod car;
mod command;
mod command_line;
mod conditions;
mod document;
mod failure;
mod fit_screen;
mod new_file;
mod notes;
mod option;
mod plan;
mod progress;
mod report;
mod review;
mod screen;
mod sweep_screen;
mod sweep_table;
mod whole_file;

use std::io::Write as _;
use std::process::ExitCode;

use clap::Parser;

use args::{Args, Command};

fn main() -> ExitCode {
    let args = Args::parse();
    let outcome = match &args.command {
        None => command::example::run(),
        Some(Command::Run(run)) => command::run::run(run),
        Some(Command::Plan(plan)) => command::plan::run(plan),
        Some(Command::Sweep(sweep)) => command::sweep::run(sweep),
        Some(Command::Fit(fit)) => command::fit::run(fit),
        Some(Command::Conditions(conditions)) => command::conditions::run(conditions),
        Some(Command::Check(check)) => command::check::run(check),
        Some(Command::Sheet(sheet)) => command::sheet::run(sheet),
        Some(Command::Compare(compare)) => command::compare::run(compare),
        Some(Command::Review(review)) => command::review::run(review),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            // Where nobody can be told, the exit code still tells.
            let _ = writeln!(std::io::stderr(), "{}", screen::plain_spaces(&failure.to_string()));
            failure.exit_code()
        }
    }
}
