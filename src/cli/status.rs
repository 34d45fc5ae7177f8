//! [`Status`]: how a command ended, [`BadInput`]: the error that means wrong usage or a bad file, and [`tell`]: which error ends
//! with which status.

use std::error::Error;
use std::io;
use std::process::ExitCode;

use super::remark::remark;
use crate::bench::link::AddressError;
use crate::bench::profile::NoProfile;
use crate::bench::recording::ReadError;
use crate::books::archive::ArchiveError;
use crate::books::job::JobError;
use crate::books::session::NotGiven;
use crate::engine::meter::UnsupportedQuantity;
use crate::engine::sitting::{PlanError, UnknownCommand};
use crate::engine::source::TextError;

/// The outcome of a command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Status {
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

    /// Meaning, as manual, README and help give it.
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

/// Input that cannot be used; ends the program with [`Status::BadInput`].
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub(crate) struct BadInput(pub(crate) String);

/// Tells the error and gives the exit status that goes with it.
pub(super) fn tell(error: &anyhow::Error) -> Status {
    if error.chain().any(is_broken_pipe) {
        return Status::Done;
    }
    let words = told(error);
    // Faults in files have the word already.
    let first = if words.starts_with("error: ") {
        ""
    } else {
        "error: "
    };
    remark(&format!("{first}{words}"));
    if error.chain().any(is_bad_input) {
        Status::BadInput
    } else {
        Status::CouldNot
    }
}

/// An error with its causes; one that the words before it end with already is not said twice.
fn told(error: &anyhow::Error) -> String {
    let mut words = String::new();
    for cause in error.chain().map(ToString::to_string) {
        if words.is_empty() {
            words = cause;
        } else if !words.ends_with(&cause) {
            words = format!("{words}: {cause}");
        }
    }
    words
}

/// Whether nobody reads what is printed.
fn is_broken_pipe(cause: &(dyn Error + 'static)) -> bool {
    let error = cause.downcast_ref::<io::Error>();
    error.is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

/// Tells wrong input from a refusal of the system.
fn is_bad_input(cause: &(dyn Error + 'static)) -> bool {
    if let Some(error) = cause.downcast_ref::<JobError>() {
        return !matches!(error, JobError::Io { .. } | JobError::NotAdded { .. });
    }
    if let Some(error) = cause.downcast_ref::<ArchiveError>() {
        return error.is_bad_input();
    }
    if let Some(error) = cause.downcast_ref::<ReadError>() {
        return !matches!(error, ReadError::Open { .. } | ReadError::Read { .. });
    }
    cause.is::<BadInput>()
        || cause.is::<NotGiven>()
        || cause.is::<TextError>()
        || cause.is::<PlanError>()
        || cause.is::<AddressError>()
        || cause.is::<NoProfile>()
        || cause.is::<UnknownCommand>()
        || cause.is::<UnsupportedQuantity>()
}
