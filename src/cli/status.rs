//! [`Status`]: how a command ended, and [`BadInput`]: the error that means wrong usage or a bad file.

use std::process::ExitCode;

use thiserror::Error;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Status {
    /// Done.
    Done,
    /// The program could not do it.
    CouldNot,
    /// Wrong usage, or a bad input file.
    BadInput,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        Self::from(match status {
            Status::Done => 0,
            Status::CouldNot => 1,
            Status::BadInput => 2,
        })
    }
}

/// What the person gave cannot be used; ends the program with [`Status::BadInput`].
#[derive(Debug, Error)]
#[error("{0}")]
pub(crate) struct BadInput(pub(crate) String);
