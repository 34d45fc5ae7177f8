//! [`survey`]: looks at the whole of a recording, past everything that is wrong with it; [`State`] of every reader.

use std::fs::File;
use std::io::Read;
use std::ops::Range;
use std::path::{Path, PathBuf};

use super::block::TagFault;
use super::event::{Ending, Word};
use super::fields::excerpt;
use super::problem::{Flaw, Problem, ReadError, Version};
use super::reader::Reader;
use crate::engine::quantity::Stamp;

/// Findings of a look at a whole recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Survey {
    /// The version that the recording is written in.
    pub version: Version,
    /// Whole lines, good or not.
    pub lines: u64,
    /// Lines that were skipped because their word belongs to a newer edition of the format.
    pub skipped: u64,
    /// Faults in the order of the file; at most [`Survey::LISTED`] of them.
    pub problems: Vec<Problem>,
    /// Problems that came after those.
    pub unlisted: u64,
    /// State of the last line: sealed, torn, or without a seal.
    pub ending: Ending,
}

impl Survey {
    /// Most problems that are kept in full, so that a file of nothing but damage fits into memory.
    pub const LISTED: usize = 1000;

    /// Whether the recording is as it was written, from its first line to its seal.
    pub fn is_whole(&self) -> bool {
        self.problems.is_empty() && matches!(self.ending, Ending::Sealed(_))
    }

    fn add(&mut self, problem: Problem) {
        if self.problems.len() < Self::LISTED {
            self.problems.push(problem);
        } else {
            self.unlisted += 1;
        }
    }

    /// Says more about the altered lines just before `line`, now that it is known what the chain goes on from.
    fn explain(&mut self, line: u64, finding: TagFault) {
        let mut before = line;
        for problem in self.problems.iter_mut().rev() {
            let Flaw::Altered { expected, says } = &problem.flaw else {
                return;
            };
            if problem.line + 1 != before {
                return;
            }
            before = problem.line;
            let (expected, says) = (*expected, says.clone());
            match finding {
                TagFault::FollowsLastGood => problem.flaw = Flaw::Inserted { says },
                TagFault::FollowsBody => {
                    problem.flaw = Flaw::TagAltered { expected, says };
                    return;
                }
                TagFault::Differs { .. } => return,
            }
        }
    }
}

/// Looks at the whole recording `file` and says everything that is wrong with it.
///
/// # Errors
/// All of [`ReadError`] but [`ReadError::Damaged`].
pub fn survey(file: impl AsRef<Path>) -> Result<Survey, ReadError> {
    let path = file.as_ref();
    let input = File::open(path).map_err(|source| ReadError::Open {
        file: path.to_path_buf(),
        source,
    })?;
    survey_of(input, path)
}

/// Looks at a whole recording from any input; `file` is the name in messages.
///
/// # Errors
/// As [`survey`], but [`ReadError::Open`].
pub fn survey_of(
    input: impl Read + Send + 'static,
    file: impl Into<PathBuf>,
) -> Result<Survey, ReadError> {
    let mut reader = Reader::surveying(Box::new(input), file)?;
    let mut survey = Survey {
        version: reader.version(),
        lines: 0,
        skipped: 0,
        problems: Vec::new(),
        unlisted: 0,
        ending: Ending::Unsealed { lines: 0 },
    };
    survey.problems.extend(reader.take_first_line());
    loop {
        let outcome = reader.next_entry().map(|entry| entry.is_some());
        if let Some(finding) = reader.last_finding() {
            survey.explain(reader.lines(), finding);
        }
        match outcome {
            Ok(true) => {}
            Ok(false) => break,
            Err(ReadError::Damaged { problem, .. }) => survey.add(*problem),
            Err(error) => return Err(error),
        }
    }
    survey.lines = reader.lines();
    survey.skipped = reader.skipped();
    survey.ending = reader.ending().cloned().unwrap_or(survey.ending);
    Ok(survey)
}

/// Knowledge of the reader so far, apart from the lines themselves.
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
