//! [`tell`]: an error that ends a command, told, and the exit status that goes with it.

use std::error::Error;
use std::io;

use super::remark::remark;
use super::status::{BadInput, Status};
use crate::bench::link::AddressError;
use crate::bench::recording::ReadError;
use crate::books::archive::ArchiveError;
use crate::books::job::JobError;
use crate::books::ledger::{BookError, DecisionsFileError, LedgerError};
use crate::books::session::NotGiven;
use crate::engine::judge::TomlError;
use crate::engine::meter::ProfileError;
use crate::engine::parts::ListErrors;
use crate::engine::settings::SettingsError;
use crate::engine::sitting::PlanError;

/// Tells the error and gives the exit status that goes with it.
pub(super) fn tell(error: &anyhow::Error) -> Status {
    if error.chain().any(is_broken_pipe) {
        return Status::Done;
    }
    remark(&format!("probewright: {}", told(error)));
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

/// Whether what was given is wrong, rather than that the system refuses it.
fn is_bad_input(cause: &(dyn Error + 'static)) -> bool {
    if let Some(error) = cause.downcast_ref::<JobError>() {
        return is_bad_job(error);
    }
    if let Some(error) = cause.downcast_ref::<BookError>() {
        return is_bad_book(error);
    }
    if let Some(error) = cause.downcast_ref::<ArchiveError>() {
        return error.is_bad_input();
    }
    if let Some(error) = cause.downcast_ref::<DecisionsFileError>() {
        return matches!(error, DecisionsFileError::OtherColumns { .. });
    }
    if let Some(error) = cause.downcast_ref::<ReadError>() {
        return !matches!(error, ReadError::Open { .. } | ReadError::Read { .. });
    }
    cause.is::<BadInput>()
        || cause.is::<NotGiven>()
        || cause.is::<SettingsError>()
        || cause.is::<TomlError>()
        || cause.is::<ListErrors>()
        || cause.is::<LedgerError>()
        || cause.is::<PlanError>()
        || cause.is::<ProfileError>()
        || cause.is::<AddressError>()
}

/// Whether what was given is no job, rather than that a file cannot be read.
const fn is_bad_job(error: &JobError) -> bool {
    matches!(
        error,
        JobError::NoJob { .. } | JobError::NotAFolder { .. } | JobError::Exists { .. }
    )
}

/// Whether a file of the ledger has errors, rather than that it cannot be read.
const fn is_bad_book(error: &BookError) -> bool {
    match error {
        BookError::Job(error) => is_bad_job(error),
        BookError::Settings(_) | BookError::Parts(_) | BookError::Ledger(_) => true,
    }
}
