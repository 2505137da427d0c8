//! The `bitepoint` command: what a timed standing start will be, and why.

mod args;
mod command;
mod document;
mod failure;
mod notes;
mod report;
mod screen;

use std::process::ExitCode;

use clap::Parser;

use args::{Args, Command};

fn main() -> ExitCode {
    let args = Args::parse();
    let outcome = match &args.command {
        None => command::example::run(),
        Some(Command::Run(run)) => command::run::run(run),
        Some(Command::Check(check)) => command::check::run(check),
        Some(Command::Sheet(sheet)) => command::sheet::run(sheet),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("{failure}");
            failure.exit_code()
        }
    }
}
