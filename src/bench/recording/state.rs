//! [`State`]: what a reader knows so far, apart from the lines themselves.

use super::ending::Ending;
use super::fields::excerpt;
use super::problem::{Flaw, Problem, ReadError};
use super::version::Version;
use super::word::Word;
use crate::engine::quantity::Stamp;
use std::ops::Range;
use std::path::PathBuf;

/// What the reader knows so far, apart from the lines themselves.
pub(super) struct State {
    pub(super) file: PathBuf,
    pub(super) version: Version,
    pub(super) last: Stamp,
    pub(super) skipped: u64,
    pub(super) ending: Option<Ending>,
    /// The flaw that ended the reading.
    pub(super) stopped: Option<Problem>,
    /// Whether to go on behind flaws.
    pub(super) surveying: bool,
}

/// A line that is to be understood: where it stands and what it is about.
pub(super) struct Located {
    pub(super) line: u64,
    pub(super) offset: u64,
    pub(super) at: Stamp,
    pub(super) word: Word,
    pub(super) fields: Range<usize>,
}

impl State {
    /// Takes note of a line's time.
    pub(super) fn advance(&mut self, at: Stamp) -> Result<(), Flaw> {
        if at < self.last {
            return Err(Flaw::Backwards {
                at,
                before: self.last,
            });
        }
        self.last = at;
        Ok(())
    }

    /// A word that is none of ours is no flaw in a newer edition.
    pub(super) fn unknown(&self, word: &[u8]) -> Result<Option<Located>, Flaw> {
        if self.version.is_newer_edition() {
            return Ok(None);
        }
        Err(Flaw::UnknownWord {
            word: excerpt(word),
        })
    }

    /// The error for `problem`, which ends the reading unless this is a survey.
    pub(super) fn damaged(&mut self, problem: Problem) -> ReadError {
        if !self.surveying {
            self.ending = None;
            self.stopped = Some(problem.clone());
        }
        ReadError::Damaged {
            file: self.file.clone(),
            problem: Box::new(problem),
        }
    }
}
