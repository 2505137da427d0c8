//! How a command fails, and with which exit code.

use std::fmt;
use std::process::ExitCode;

use bitepoint_inputs::problem::Problems;
use bitepoint_plot::folder::FolderError;
use bitepoint_runner::timed_run::TimedRunError;

/// Why a command did not do what was asked. (Exit code 2, wrong usage, is clap's.)
#[derive(Debug)]
pub(crate) enum Failure {
    /// The input is wrong: exit code 1.
    Input(String),
    /// The computation failed, or its result could not be written: exit code 3.
    Computation(String),
}

impl Failure {
    pub(crate) fn exit_code(&self) -> ExitCode {
        match self {
            Self::Input(_) => ExitCode::from(1),
            Self::Computation(_) => ExitCode::from(3),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(what) | Self::Computation(what) => f.write_str(what),
        }
    }
}

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Self {
        Self::Input(problems.to_string())
    }
}

impl From<TimedRunError> for Failure {
    fn from(error: TimedRunError) -> Self {
        match error {
            TimedRunError::Files(problems) => problems.into(),
            TimedRunError::Run(error) => Self::Computation(error.to_string()),
        }
    }
}

impl From<FolderError> for Failure {
    fn from(error: FolderError) -> Self {
        Self::Computation(error.to_string())
    }
}
