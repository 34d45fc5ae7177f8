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
    /// Done, but something failed its check.
    CheckFailed,
}

impl Status {
    /// Every status, in the order of its number.
    pub(crate) const ALL: [Self; 4] = [
        Self::Done,
        Self::CouldNot,
        Self::BadInput,
        Self::CheckFailed,
    ];

    /// The number that the system gets to see.
    pub(crate) const fn number(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::CouldNot => 1,
            Self::BadInput => 2,
            Self::CheckFailed => 3,
        }
    }

    /// What it means, as README and help say it.
    pub(crate) const fn meaning(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::CouldNot => "the program could not do it: a port, a file, a full disk",
            Self::BadInput => "wrong usage or a bad input file",
            Self::CheckFailed => "done, but something failed its check",
        }
    }
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        Self::from(status.number())
    }
}

/// What the person gave cannot be used; ends the program with [`Status::BadInput`].
#[derive(Debug, Error)]
#[error("{0}")]
pub(crate) struct BadInput(pub(crate) String);
